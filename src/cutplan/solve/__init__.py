"""From a job to a plan with its proof. This folder alone knows solvers; none of their objects leaves it."""
