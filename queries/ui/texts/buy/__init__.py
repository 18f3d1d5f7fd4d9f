"""Texts about buying."""
