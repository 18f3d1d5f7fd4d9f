"""A club's own Turtle: read, checked as strictly as the tables, and used only as far as it was understood."""
