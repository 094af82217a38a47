"""Results of a run: what its quantities are, its series, its metrics, and what squat support did."""
