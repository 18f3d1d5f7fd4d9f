"""Texts about finding out which one it is."""
