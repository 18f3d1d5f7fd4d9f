"""Mutation: one change in the program at a time, each of which some test has to notice. Run by ``make mutants``."""
