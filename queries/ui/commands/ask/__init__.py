"""Commands about SPARQL."""
