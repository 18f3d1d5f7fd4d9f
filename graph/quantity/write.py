"""Writes readings as a cell that reads to the same again, in a table of our own."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from knockon.graph.quantity.cells.cell import Datatype, Readings
from knockon.graph.quantity.cells.model import CellError, Quantity
from knockon.graph.quantity.datatypes import DATATYPES
from knockon.graph.quantity.read import read_cell


def write_cell(readings: Readings, datatype: str, *, base: bool = False) -> str:
    """A cell that read_cell reads strictly to the same intervals and codes as `readings`.

    That is the cell as it was written where it will do, or one in the base unit; with `base` always
    the latter, if there is one. Raises ValueError where no cell says just that, as for a size with
    its worn size beside it.
    """
    text = _written(tuple(readings.items()), datatype, base)
    if text is None:
        raise ValueError(f"no single cell of {datatype} says {dict(readings)!r}")
    return text


@lru_cache(maxsize=65_536)
def _written(readings: tuple[tuple[str, Quantity], ...], datatype: str, base: bool) -> str | None:
    """The cell, or None; kept, as readings are: sheets repeat their cells."""
    found = dict(readings)
    candidates = _candidates(found, DATATYPES[datatype], base=base)
    return next((t for t in candidates if _says_the_same(t, found, datatype)), None)


def _candidates(readings: Readings, datatype: Datatype, *, base: bool) -> Iterator[str]:
    written = next(iter(readings.values())).written
    if not base:
        yield from datatype.respelled(written)
    if all(reading.absent for reading in readings.values()):
        yield "absent"
    elif all(reading.not_applicable for reading in readings.values()):
        yield "n/a"
    elif all(reading.unknown for reading in readings.values()):
        yield "?"
    elif datatype.write is not None:
        yield from datatype.write(readings)
    elif "" in readings:
        yield _spelled(readings[""], datatype)
    yield written


def _says_the_same(text: str, readings: Readings, datatype: str) -> bool:
    try:
        again = read_cell(text, datatype)
    except CellError:
        return False
    return {part: _meaning(q) for part, q in again.items()} == {part: _meaning(q) for part, q in readings.items()}


def _meaning(quantity: Quantity) -> tuple[object, ...]:
    """What of a quantity must survive: all but the spelling and what was said of it."""
    lacks = (quantity.unknown, quantity.absent, quantity.not_applicable)
    return quantity.low, quantity.high, quantity.nominal, quantity.code, *lacks


def _spelled(quantity: Quantity, datatype: Datatype) -> str:
    if quantity.code is not None:
        return quantity.code
    low, high = quantity.low, quantity.high
    single = low == high and (quantity.nominal or not datatype.nominal)
    numbers = f"{low!r}" if single else f"{low!r}..{high!r}"
    return f"{numbers} {datatype.symbol}".rstrip()
