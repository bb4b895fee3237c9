"""Sentences that several pages share, each written once."""
