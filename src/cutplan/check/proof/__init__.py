"""The proof of a lower bound, verified."""
