"""Limits, read as they are written: a bare number, a length, a pressure, an angle or a torque, in the base unit."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from knockon.graph.quantity import DATATYPES, CellError, read_cell

_BARE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")


SORTS = ("number", "length", "pressure", "angle", "torque")
"""The datatypes that a limit may be of."""


class Limit(NamedTuple):
    """A limit in its base unit, which is blank for a bare number."""

    value: float
    unit: str


def is_percentage(written: str) -> bool:
    """Whether a limit is written in percent."""
    return written.rstrip().endswith("%")


def read_limit_in(written: str, unit: str) -> Limit:
    """The same of a result in this unit: of one in %, ``0.5 %`` and ``0.5`` are both half a point. Raises CellError."""
    if unit == "%" and is_percentage(written):
        return Limit(float(Decimal(str(read_limit(written).value)) * 100), "%")
    return read_limit(written)


def read_limit(written: str) -> Limit:
    """``3 mm`` -> (3.0, mm), ``2 psi`` -> (13.79, kPa), ``0.8`` -> (0.8, blank), ``5 %`` -> (0.05, blank); raises
    CellError."""
    if _BARE.fullmatch(written):
        return Limit(float(written), "")

    sorts = list(SORTS)
    if written.endswith((" mm", " in")):  # read without the grammar, which takes long to load
        sorts.sort(key=lambda datatype: datatype != "length")
    for datatype in sorts:
        try:
            size = read_cell(written, datatype)[""]
        except CellError:
            continue
        if size.low is not None and size.low == size.high:
            return Limit(size.low, DATATYPES[datatype].symbol)
    raise CellError(written, "one number with its unit, such as 3 mm or 2 psi", ())
