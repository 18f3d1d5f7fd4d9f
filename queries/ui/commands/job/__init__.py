"""Commands about the work itself."""
