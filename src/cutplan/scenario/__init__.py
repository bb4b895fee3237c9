"""Scenarios: the TOML files that say which paper, which rolls, and which drops or which room to plan for."""
