"""From forces to motion: the ledger filled, summed and solved."""
