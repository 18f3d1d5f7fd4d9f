"""A cell of a table: what is written in it, the grammars that read it, and what a reading is."""
