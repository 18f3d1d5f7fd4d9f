"""Records going out and coming in: canonical RDF, clubs beside one's own records, writing that is all or nothing."""
