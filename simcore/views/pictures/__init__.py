"""Figures of results; each function takes tables and gives a figure."""
