"""Spellings that a careful reader stops at: each is refused with what it may mean, or read and said."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from math import gcd

from knockon.graph.quantity.amounts import Amount
from knockon.graph.quantity.cell import Cell
from knockon.graph.quantity.size_tree import Measure, Size

_WORD_AND_FIGURE = re.compile(r"[^\W\d]\.(?=\d)")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_DIVIDED = frozenset({2, 3, 4, 8, 16})
"""By what a pressure or a torque is divided; 28/32 psi is of two tyres."""
_MOST_SCREWS = 24
"""So many screws may be meant by 4 M8."""
_SLIPPED_FIGURES, _SLIPPED_TIMES = 3, 20
"""1-125: a whole number of so many figures, this many times the one before it, may be its decimals."""


def check_amount(cell: Cell, amount: Amount) -> None:
    """Raises CellError for an amount that cannot stand, or may be another number."""
    if amount.fault:
        offers = (cell.text.replace(amount.written, amount.offer),) if amount.offer else ()
        raise cell.error(amount.fault, *offers)
    if amount.comma and not cell.context.decimal_comma:
        plain = cell.text.replace(amount.written, amount.written.replace(".", "").replace(",", "."))
        units = (" mm", " in") if cell.datatype == "length" and not cell.context.unit else ()
        with_unit = (plain + unit for unit in units)
        raise cell.error("a decimal comma, but the sheet is not known to write one", plain, *with_unit)
    if cell.context.strict:
        return
    if amount.lost_blanks and cell.datatype in ("length", "thread"):
        _refuse_lost_blank(cell, amount)
    if cell.datatype == "length" and amount.whole and amount.written[0] == "0" and amount.value > 0:
        texts = (f".{amount.written}", f"{amount.value}")
        raise cell.error("was a point lost?", *(cell.text.replace(amount.written, text) for text in texts))
    if cell.context.decimal_comma and _THOUSANDS.fullmatch(amount.written):
        texts = (amount.written.replace(".", ""), amount.written.replace(".", ","))
        meant = (cell.text.replace(amount.written, text) for text in texts)
        raise cell.error("a point for thousands or for decimals? the sheet writes decimals with a comma", *meant)


def _refuse_lost_blank(cell: Cell, amount: Amount) -> None:
    meant = (cell.text.replace(amount.written, text) for text in (*amount.lost_blanks, _mixed(amount.value)))
    unit = " in" if cell.datatype == "length" and cell.text == amount.written else ""
    raise cell.error(f"{amount.written}: more than one, or was a blank lost?", *(text + unit for text in meant))


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if rest else str(whole)


def spelling_flags(cell: Cell, amount: Amount) -> tuple[str, ...]:
    """What the spelling of a number needed to be read, in a cell of this sheet."""
    point = cell.context.decimal_comma and "." in amount.written and not amount.comma and not amount.vulgar
    if not point or amount.flags:
        return amount.flags
    return (f"{amount.written} read with a decimal point, though the sheet writes commas",)


def without_doubtful_point(cell: Cell) -> Cell:
    """The cell, refused for dia.497 and c.25: a shortened word and a number, or a number that begins with its point?

    A sheet that writes decimals with a comma begins none with a point.
    """
    found = _WORD_AND_FIGURE.search(cell.text)
    if found is None:
        return cell
    at = found.start() + 1
    spelled = (cell.text[: at + 1] + " " + cell.text[at + 1 :], cell.text[:at] + " " + cell.text[at:])
    if cell.context.decimal_comma:
        return replace(cell, text=spelled[0])
    raise cell.error("does the point belong to the word or to the number?", *spelled)


def check_span(cell: Cell, measure: Measure) -> None:
    """Refuse 22.20-40, which may end at 22.40, and 1-125, which may be 1.125."""
    first, last = measure.sizes
    if cell.datatype == "angle" and measure.dashed and first.unit is not None and last.unit is None:
        meant = (f"{first.amount.written}°{last.amount.written}'", f"{first.amount.written}..{last.amount.written} deg")
        raise cell.error("a range, or minutes of arc?", *meant)
    if cell.context.strict or not measure.dashed or first.unit is not None or first.amount.vulgar:
        return
    if not last.amount.whole or last.sign < 0 or first.sign < 0:
        return
    unit = f" {last.unit.written}" if last.unit else ""
    whole, _, decimals = first.amount.written.replace(",", ".").partition(".")
    if decimals and len(decimals) == len(last.amount.written):
        end = f"{whole or '0'}.{last.amount.written}"
        if Fraction(end) > first.amount.value:
            offers = (f"{first.amount.written}..{text}{unit}" for text in (end, last.amount.written))
            raise cell.error(f"does it end at {end} or at {last.amount.written}?", *offers)
    long = len(last.amount.written) == _SLIPPED_FIGURES
    if first.amount.whole and long and last.value > _SLIPPED_TIMES * first.value:
        texts = (f"{first.amount.written}{sign}{last.amount.written}{unit}" for sign in ("..", "."))
        raise cell.error("a range, or a dash for a point?", *texts)


def check_divided(cell: Cell, size: Size) -> None:
    """Refuse 28/32 psi and 180/200 lbf ft: two values, not a fraction."""
    thousandths = size.unit is not None and size.unit.name == "thousandth"
    if not size.amount.vulgar or not (thousandths or cell.datatype in ("pressure", "torque", "force", "angle")):
        return
    above, _, below = (text.strip() for text in size.amount.written.partition("/"))
    mixed = not above.isdecimal()
    above = above.split()[-1].rpartition("-")[2]  # of 10 1/2 only the half is divided
    if not (above.isdecimal() and below.isdecimal()):
        return
    if int(below) in _DIVIDED and int(above) < int(below) and gcd(int(above), int(below)) == 1:
        return
    unit = f" {size.unit.written}" if size.unit else ""
    offers = () if mixed else (f"{above}..{below}{unit}", f"{above}{unit}", f"{below}{unit}")
    raise cell.error("a fraction, or two values?", *offers)


def refuse_fraction_of_class(cell: Cell, size: Size, tolerance: str) -> None:
    """Refuse 3/8 H7: its class is of millimetres, and nobody writes eighths of one."""
    written = size.amount.written
    if size.amount.vulgar and (size.unit is None or size.unit.name != "inch"):
        offers = (f"{written} in {tolerance}", f"{float(size.amount.value):g} mm {tolerance}")
        raise cell.error(f"a fraction with {tolerance}, which is a class of millimetres", *offers)


def refuse_screws(cell: Cell, size: Size, tolerance: str) -> None:
    """Refuse 4 M8 of a sheet, which is four screws as likely as a hole."""
    written = size.amount.written
    screws = tolerance[0] == "M" and size.amount.whole and size.unit is None and "ø" not in cell.text
    if screws and size.amount.value <= _MOST_SCREWS:
        raise cell.error(f"a hole of class {tolerance}, or {written} screws?", f"{written} mm {tolerance}")
