"""The job: one paper, the rolls that may be cut, the drops wanted, and where along paper each may start."""
