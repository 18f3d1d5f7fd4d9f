"""Commands about a club's notes and disputes."""
