"""Measured sizes: from how they are written to quantities, with units, two units, tolerances."""
