"""The tables of a records folder: rows read, checked by themselves and beside each other, and turned into quads."""
