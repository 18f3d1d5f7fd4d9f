"""knockon: which parts go together, and what a swap forces and why."""

__version__ = "0.1.0"
