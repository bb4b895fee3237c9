"""The rules for a record of work: its lines are whole, its plans hold, and what it tells can have happened."""
