"""Texts about swaps: the first page, and its parts in full."""
