"""Slips in a rig file that its checks cannot refuse: what is out of all custom, and what would explain it."""
