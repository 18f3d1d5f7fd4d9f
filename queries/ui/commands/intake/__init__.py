"""Commands about records coming in."""
