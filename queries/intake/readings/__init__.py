"""Readings typed one by one: what each is of, what it says, and what it changes."""
