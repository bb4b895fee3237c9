"""Pages of plain text, 80 columns wide, one module for each page or part of one."""
