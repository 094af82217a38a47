"""Integration in time: standing start, events that end a run, the raw trace."""
