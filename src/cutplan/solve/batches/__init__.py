"""One batch for each wall: the choice that needs the fewest rolls, proved over every choice."""
