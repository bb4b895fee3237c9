"""Whether rolls that are opened and measured first are enough, asked many times for the same drops."""
