"""Involute splines: how two of them meet, how they are measured, and their standards."""
