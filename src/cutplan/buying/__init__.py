"""How many rolls to buy: numbers that hold however the rolls begin, and what stands behind each."""
