"""Limits of figures, read as they are written: a bare number, a length, a pressure or an angle, in the base unit."""

from __future__ import annotations

from knockon.graph.quantity import CellError, read_cell


def read_limit(written: str) -> float:
    """``3 mm`` -> 3.0, ``2 psi`` -> 13.79 (kPa), ``0.8`` -> 0.8; raises CellError."""
    for datatype in ("number", "length", "pressure", "angle"):
        try:
            size = read_cell(written, datatype)[""]
        except CellError:
            continue
        if size.low is not None and size.low == size.high:
            return size.low
    raise CellError(written, "one number with its unit, such as 3 mm or 2 psi", ())
