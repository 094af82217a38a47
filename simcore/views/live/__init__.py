"""The live page: a scenario whose knobs are turned in a browser of this machine, and whose run answers at once."""
