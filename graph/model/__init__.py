"""What there is to know: the vocabulary as data, parts and layouts, and the catalogue that answers read."""
