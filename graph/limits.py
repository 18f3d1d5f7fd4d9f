"""Limits of figures, read as they are written: a bare number, a length, a pressure or an angle, in the base unit."""

from __future__ import annotations

import re

_BARE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")


def read_limit(written: str) -> float:
    """``3 mm`` -> 3.0, ``2 psi`` -> 13.79 (kPa), ``0.8`` -> 0.8; raises CellError."""
    if _BARE.fullmatch(written):
        return float(written)
    from knockon.graph.quantity import CellError, read_cell

    sorts = ["number", "length", "pressure", "angle"]
    if written.endswith((" mm", " in")):  # read without the grammar, which takes long to load
        sorts.sort(key=lambda datatype: datatype != "length")
    for datatype in sorts:
        try:
            size = read_cell(written, datatype)[""]
        except CellError:
            continue
        if size.low is not None and size.low == size.high:
            return size.low
    raise CellError(written, "one number with its unit, such as 3 mm or 2 psi", ())
