"""The laws of force, one page each; they do not know each other."""
