"""From readings of a bench to values of a rig, each with its error."""
