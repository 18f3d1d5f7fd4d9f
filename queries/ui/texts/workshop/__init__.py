"""Texts about the workshop's arithmetic."""
