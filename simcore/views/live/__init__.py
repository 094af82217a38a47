"""The live page: knobs of a scenario in a browser of this machine, each turn of which is run at once."""
