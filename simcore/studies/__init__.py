"""Studies: one file for each question that can be asked of a scenario; each returns a result."""
