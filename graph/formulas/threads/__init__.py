"""Screw threads: profile, designations, limits of size, and what happens when two of them meet."""
