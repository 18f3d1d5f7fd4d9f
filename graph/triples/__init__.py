"""Statements of Turtle: what each sort of statement says, and on which line."""
