"""The page for the whole job, served on this machine: survey, start, rolls, table, in the same files as elsewhere."""
