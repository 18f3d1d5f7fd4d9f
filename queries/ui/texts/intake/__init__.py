"""Texts about records coming in."""
