"""Broken inputs in great number, through the functions that the commands call: nothing raises, hangs or dies.

``make fuzz-inputs`` tries KNOCKON_FUZZ_INPUTS of each kind (a club's Turtle, RDF of others, sheets, requests). Each
input is made from the seed, its kind and its number alone; a run goes on where the last one stopped. What fails is
kept in ``build/fuzz/KIND/``: the input as it was, and what it did.
"""
