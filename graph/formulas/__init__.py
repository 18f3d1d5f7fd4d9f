"""Arithmetic with its published sources, over plain numbers or intervals."""
