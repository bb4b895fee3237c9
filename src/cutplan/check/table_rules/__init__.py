"""The rules for the work at the table: in which order the cuts are made, and when."""
