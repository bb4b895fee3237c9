"""Pictures of walls, rolls and the table, as SVG: black on white, to scale, with words beside every sign."""
