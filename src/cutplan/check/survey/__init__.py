"""The room as its author surveyed it, read from the echo."""
