"""Texts about whether things go together."""
