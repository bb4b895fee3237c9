"""Asking: the survey's questions one at a time, and the scenario that their answers make."""
