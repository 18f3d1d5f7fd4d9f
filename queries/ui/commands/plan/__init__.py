"""Commands about plans."""
