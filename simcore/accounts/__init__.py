"""Accounts of a run: who carries which load, and whether the run obeys mechanics."""
