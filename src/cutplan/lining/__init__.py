"""Lining: plain paper hung under the paper, set out in courses or strips from the same survey."""
