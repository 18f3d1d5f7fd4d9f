"""Commands about buying."""
