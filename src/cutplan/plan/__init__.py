"""The plan: rolls laid out with the bound that proves them, and the order in which the cuts are made."""
