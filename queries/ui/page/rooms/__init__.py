"""How the answer of each question is laid out in its room."""
