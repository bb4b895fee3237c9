"""First plans, bounds, and the search that closes the gap between them."""
