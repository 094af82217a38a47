"""The computed sentence above a result and above each of its pictures."""
