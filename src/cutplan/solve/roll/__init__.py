"""What one roll can hold: places, longest paths, and which way to reckon them suits an instance."""
