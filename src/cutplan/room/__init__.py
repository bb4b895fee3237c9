"""The room as it was surveyed: walls, corners, openings and fittings, and what is wrong with it."""
