"""Keeps changes of a scenario: as a variant in its file, as a rig file of its own, as a command to type.

Comments, order and layout of a file stay. It is replaced whole or not at all, and never where it is not what
was read any more.
"""
