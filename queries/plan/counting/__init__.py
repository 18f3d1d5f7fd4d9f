"""Counting: how many combinations a layout has, by contraction of a network of factors, never by listing them."""
