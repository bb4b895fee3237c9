"""Jobs of several parts: bands above one another, borders, lining; each an ordinary scenario in one paper."""
