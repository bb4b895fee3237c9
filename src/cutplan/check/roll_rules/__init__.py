"""The rules that rolls, drops and figures must keep, on paper that is not yet hung."""
