"""What a rig is before it moves: its standing facts, from its file alone."""
