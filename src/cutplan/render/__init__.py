"""Pages made from a plan: each module here writes for one kind of reader and decides nothing."""
