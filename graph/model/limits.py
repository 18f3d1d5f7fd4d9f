"""Limits of figures, read as they are written: a bare number, a length, a pressure or an angle, in the base unit."""

from __future__ import annotations

import re

from knockon.graph.quantity import DATATYPES, CellError, read_cell

_BARE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")


SORTS = ("number", "length", "pressure", "angle")
"""The datatypes that a limit may be of."""


def read_limit(written: str) -> float:
    """``3 mm`` -> 3.0, ``2 psi`` -> 13.79 (kPa), ``0.8`` -> 0.8; raises CellError."""
    return _read(written)[0]


def sort_of_limit(written: str) -> str:
    """The base unit of a limit: ``3 in`` -> mm; blank of a bare number. Raises CellError."""
    return _read(written)[1]


def _read(written: str) -> tuple[float, str]:
    if _BARE.fullmatch(written):
        return float(written), ""

    sorts = list(SORTS)
    if written.endswith((" mm", " in")):  # read without the grammar, which takes long to load
        sorts.sort(key=lambda datatype: datatype != "length")
    for datatype in sorts:
        try:
            size = read_cell(written, datatype)[""]
        except CellError:
            continue
        if size.low is not None and size.low == size.high:
            return size.low, DATATYPES[datatype].symbol
    raise CellError(written, "one number with its unit, such as 3 mm or 2 psi", ())
