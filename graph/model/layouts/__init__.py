"""Layouts: positions, joints, places; ready-made ones, and rows of them that could not be read."""
