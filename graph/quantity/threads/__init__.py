"""Threads as they are written: designations, and the standard series that they name."""
