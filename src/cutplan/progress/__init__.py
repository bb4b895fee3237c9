"""Work in progress: the record of what was done at the table, where that leaves the job, and the plan for the rest."""
