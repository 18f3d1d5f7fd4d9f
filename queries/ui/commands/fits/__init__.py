"""Commands about whether things go together."""
