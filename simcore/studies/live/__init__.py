"""A scenario under a hand: what may be moved, and what comes of it while the hand still moves."""
