"""Commands about the workshop's arithmetic."""
