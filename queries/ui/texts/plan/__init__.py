"""Texts about plans."""
