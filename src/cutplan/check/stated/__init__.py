"""What the document states, read with the judge's own arithmetic."""
