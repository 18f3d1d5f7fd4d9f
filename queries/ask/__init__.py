"""SPARQL over the records, and its ready-made queries."""
