"""At the pasting table: which piece is cut when, in numbered steps; what is left; when to paste and to hang."""
