"""A request, the problem that it makes, and its solution."""
