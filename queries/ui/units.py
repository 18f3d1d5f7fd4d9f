"""Sizes for people: millimetres and inches side by side, a fraction where a fraction was written.

One inch is 25.4 mm exactly. Millimetres are shown to 0.001 at the finest; inches to 0.001, or as finely as they were
written.
"""

from __future__ import annotations

import re

from knockon.queries.fits.checking.evidence import Line, Value
from knockon.queries.fits.checking.size_names import WrittenSize
from knockon.queries.ui.sentences import sizes as say

MM_PER_INCH = 25.4
KPA_PER_PSI = 6.894757293168361  # 1 lbf/in2: 0.45359237 kg x 9.80665 m/s2 over (0.0254 m)2, exact by definition
LEAST_INCH_PLACES = 3
MOST_PLACES = 6

FRACTION = re.compile(r"(?:(\d+)[ -])?(\d+)/(\d+)")
DECIMAL_INCH = re.compile(r"\d*[.,](\d+)\s*(?:in\b|inch|\"|″)")
MOST_INCH_PLACES = 5


def number(value: float, places: int = 3) -> str:
    """A number without needless zeros: 25.4, 28, -0.058."""
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def inches(mm: float, written: str = "") -> str:
    """A length in inches as a person of the trade writes it: ``1 1/8 in`` if it was written so, else ``1.125 in``."""
    found = FRACTION.search(written)
    if found and "mm" not in written:
        whole, over, under = (int(g) if g else 0 for g in found.groups())
        if under and abs((whole + over / under) * MM_PER_INCH - mm) < 1e-6:
            return f"{found.group().replace('-', ' ')} in"
    decimals = DECIMAL_INCH.search(written)
    places = min(MOST_INCH_PLACES, max(LEAST_INCH_PLACES, len(decimals.group(1)))) if decimals else LEAST_INCH_PLACES
    while places < MOST_INCH_PLACES and mm and round(abs(mm) / MM_PER_INCH, places) == 0:
        places += 1
    text = f"{mm / MM_PER_INCH:.{places}f}"
    return (text.removeprefix("-") if float(text) == 0 else text) + " in"


def _inch_range(low: float, high: float) -> str:
    """Both ends in inches, as finely as they need to differ."""
    ends = ("", "")
    for places in range(LEAST_INCH_PLACES, MOST_INCH_PLACES + 1):
        ends = (f"{low / MM_PER_INCH:.{places}f}", f"{high / MM_PER_INCH:.{places}f}")
        if ends[0] != ends[1]:
            break
    return f"{ends[0]} to {ends[1]}"


def length(low: float | None, high: float | None, written: str = "") -> str:
    """``25.4 mm (1.000 in)``; of an interval ``3.5 to 4.5 mm (0.138 to 0.177 in)``; an open end: at least, up to."""
    if low is not None and high is not None:
        if abs(high - low) < 1e-9:
            return f"{number(low)} mm ({inches(low, written)})" if low else "0 mm"
        return say.BETWEEN.format(low=number(low), high=number(high), inches=_inch_range(low, high))
    if low is not None:
        return say.AT_LEAST.format(size=length(low, low, written))
    return say.UP_TO.format(size=length(high, high, written)) if high is not None else say.NOT_KNOWN


def amount(low: float | None, high: float | None, unit: str) -> str:
    """An amount in any unit of a check; lengths in mm and inch."""
    if unit == "mm":
        return length(low, high)
    places = 1 if unit in ("%", "turns", "kPa") else 3
    ends = [_not_nought(x, places) for x in (low, high) if x is not None]
    if unit == "kPa" and ends:
        psi = dict.fromkeys(number(x / KPA_PER_PSI, 1) for x in (low, high) if x is not None)
        return f"{' to '.join(dict.fromkeys(ends))} kPa ({' to '.join(psi)} psi)"
    return f"{' to '.join(dict.fromkeys(ends))} {unit}".strip() if ends else say.NOT_KNOWN


def _not_nought(value: float, places: int) -> str:
    """A number with so many decimals; with more where it would read as nought and is not."""
    text = number(value, places)
    while value and float(text) == 0 and places < MOST_PLACES:
        places += 1
        text = number(value, places)
    return text


def pressure(kpa_low: float, kpa_high: float, written: str) -> str:
    """A pressure as written, and in kPa, bar and psi where it was not written so."""
    low, high = (number(kpa / KPA_PER_PSI, 1) for kpa in (kpa_low, kpa_high))
    psi = low if low == high else f"{low} to {high}"
    kpa = number(kpa_low, 1) if kpa_low == kpa_high else f"{number(kpa_low, 1)} to {number(kpa_high, 1)}"
    return f"{written} ({kpa} kPa)" if "psi" in written else f"{written} ({psi} psi)"


def size(value: Value) -> str:
    """A stated size for people: both units for a length, the designation for a thread or a spline pitch."""
    if value.low is None and value.high is None:
        return say.WRITTEN_AS.format(written=value.written) if value.written.strip() == "?" else value.written
    return _SHOWN[value.datatype](value) if value.datatype in _SHOWN else value.written


def size_or_designation(value: Value) -> str:
    """A size as in ``size``; one of several that a designation says, by the designation alone."""
    return value.written if value.is_part else size(value)


def _of_length(value: Value) -> str:
    text = length(value.low, value.high, value.written)
    return (
        text
        if value.low == value.high or ".." in value.written
        else say.AS_WRITTEN.format(size=text, written=value.written)
    )


def _of_pressure(value: Value) -> str:
    if value.low is None or value.high is None:
        return value.written
    return pressure(value.low, value.high, value.written)


def _of_spline_pitch(value: Value) -> str:
    if "mod" in value.written.lower():
        return value.written
    return f"{value.written} (module {amount(value.low, value.high, '')})"


def _of_thread(value: Value) -> str:
    """One number of a thread beside its designation; an inch pitch also as threads to the inch."""
    if value.dimension.endswith(".pitch") and value.low is not None and value.low == value.high:
        per_inch = MM_PER_INCH / value.low if value.low else 0.0
        is_whole = per_inch and abs(per_inch - round(per_inch)) < 1e-6
        whole = say.TO_THE_INCH.format(threads=round(per_inch)) if is_whole else ""
        return f"{value.written} ({number(value.low)} mm{whole})"
    return f"{value.written} ({amount(value.low, value.high, value.unit)})"


_SHOWN = {
    "length": _of_length,
    "pressure": _of_pressure,
    "spline pitch": _of_spline_pitch,
    "thread": _of_thread,
}
"""How a size is shown, by its datatype; of any other as it is written."""


def margin(line: Line) -> str:
    """How much room is left to the nearest limit, or how much is lacking; blank where there is none to tell."""
    if line.margin is None:
        return ""
    text = amount(abs(line.margin), abs(line.margin), line.unit)
    if line.margin >= 0:
        return text
    return (say.OVER_BY if is_over(line) else say.SHORT_BY).format(size=text)


def is_over(line: Line) -> bool:
    """Whether a sum lies above its highest limit (else it lies below its lowest)."""
    return line.low is not None and line.window_high is not None and line.low > line.window_high


def asks_equality(line: Line) -> bool:
    """Whether a condition asks two sizes to be equal, give or take next to nothing."""
    low, high = line.window_low, line.window_high
    return low is not None and high is not None and low == -high and high < 0.5


def miss(line: Line) -> str:
    """By how much a condition that is a no misses: the difference where sizes must be equal, else what is lacking."""
    if line.low is None or line.high is None:
        return ""
    if asks_equality(line):
        ends = sorted((abs(line.low), abs(line.high)))
        return say.DIFFER_BY.format(size=amount(ends[0], ends[1], line.unit))
    return margin(line)


def window(line: Line) -> str:
    """What a condition allows, in words."""
    low, high = line.window_low, line.window_high
    if low is None and high is None:
        return ""
    if low is not None and high is not None:
        if asks_equality(line):
            return say.EQUAL_WITHIN.format(size=amount(high, high, line.unit)) if high else say.EQUAL
        return amount(low, high, line.unit)
    if low is not None:
        return say.AT_LEAST.format(size=amount(low, low, line.unit))
    return say.AT_MOST.format(size=amount(high, high, line.unit))


def written_length(size: WrittenSize) -> str:
    """A plain length as it stands in a record, in both units; anything else as it stands."""
    return length(size.low, size.high, size) if size.low is not None and size.low == size.high else size
