"""Writes readings as a cell that reads to the same again, in a table of our own."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from functools import lru_cache

from knockon.graph.quantity.cells.model import CellError, Quantity
from knockon.graph.quantity.read import read_cell
from knockon.graph.quantity.sizes.units import BASE_SYMBOLS

Readings = Mapping[str, Quantity]


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
    return next((t for t in _candidates(found, datatype, base=base) if _says_the_same(t, found, datatype)), None)


def _candidates(readings: Readings, datatype: str, *, base: bool) -> Iterator[str]:
    written = next(iter(readings.values())).written
    if not base:
        if datatype != "length" or not written.replace(".", "", 1).isdigit():  # which without a unit is no length
            yield written
        if datatype == "length":
            yield f"{written.strip()} in"
            yield f"{written.strip()} mm"
    if all(reading.absent for reading in readings.values()):
        yield "absent"
    elif all(reading.not_applicable for reading in readings.values()):
        yield "n/a"
    elif all(reading.unknown for reading in readings.values()):
        yield "?"
    elif datatype in _WRITERS:
        yield from _WRITERS[datatype](readings)
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


def _spelled(quantity: Quantity, datatype: str) -> str:
    if quantity.code is not None:
        return quantity.code
    low, high = quantity.low, quantity.high
    unit = BASE_SYMBOLS.get(datatype, "")
    single = low == high and (quantity.nominal or datatype not in ("length", "angle"))
    numbers = f"{low!r}" if single else f"{low!r}..{high!r}"
    return f"{numbers} {unit}".rstrip()


def _spline_pitch(readings: Readings) -> Iterator[str]:
    yield f"module {readings[''].low!r}"


def _count(readings: Readings) -> Iterator[str]:
    low, high = (int(end or 0) for end in (readings[""].low, readings[""].high))
    yield f"{low}" if low == high else f"{low}..{high}"


def _thread(readings: Readings) -> Iterator[str]:
    major, pitch = readings["major"].low, readings["pitch"].low
    angle, hand = readings["flank angle"].low, readings["hand"].code
    behind = {"left": " LH", "right": " RH"}.get(hand or "", "")
    if major is None:
        return
    if angle == 60 or angle is None:
        inch = _inch_thread(major, pitch)
        if inch:
            yield inch + ("" if angle is None else " UN") + behind
    if angle == 60:
        yield f"M{major!r}" + (f"x{pitch!r}" if pitch is not None else "") + behind
    if angle == 30:
        yield f"Tr {major!r}" + (f"x{pitch!r}" if pitch is not None else "") + behind
    if angle == 55:
        yield _inch_thread(major, pitch) + " Whit" + behind


def _inch_thread(major: float, pitch: float | None) -> str:
    """`3/8-24` if the sizes are those of whole 64ths and whole threads per inch, else nothing."""
    if pitch is None:
        return ""
    inches = Fraction(major / 25.4).limit_denominator(64)
    per_inch = Fraction(25.4 / pitch).limit_denominator(2)
    whole, rest = divmod(inches, 1)
    size = " ".join(str(part) for part in (whole, rest) if part)
    return f"{size}-{float(per_inch):g}" if size else ""


def _quantity(readings: Readings) -> Iterator[str]:
    number, each, basis = readings[""].low or 0, readings["each"].low, readings["basis"].code
    groups = f"{number / (each or 1):g}"
    yield {
        "piece": groups,
        "pair": f"{groups} pairs",
        "side": f"{each or 0:g} each side",
        "set": f"{groups} sets" + (f" of {each:g}" if each else ""),
        "kit": f"{groups} kits" + (f" of {each:g}" if each else ""),
    }.get(basis or "", "")


def _money(readings: Readings) -> Iterator[str]:
    codes = {part: reading.code or "" for part, reading in readings.items()}
    surcharge = readings["surcharge"].low
    words = [
        "$" if codes["currency"] == "dollar" else codes["currency"],
        f"{readings[''].low:.2f}",
        {"excluded": "ex VAT", "included": "inc VAT"}.get(codes["tax"], ""),
        codes["per"] and f"per {codes['per']}",
        codes["terms"],
        f"+ {surcharge:.2f} surcharge" if surcharge is not None else "",
    ]
    yield " ".join(word for word in words if word)


_WRITERS: dict[str, Callable[[Readings], Iterator[str]]] = {
    "spline pitch": _spline_pitch,
    "count": _count,
    "thread": _thread,
    "quantity": _quantity,
    "money": _money,
}
