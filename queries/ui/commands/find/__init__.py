"""Commands about finding out which one it is."""
