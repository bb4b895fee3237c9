"""Materials: what is bought beside paper, by the area or the joints that it is for, and how long things dry."""
