"""JSON documents that other programs read."""
