"""The head of a sheet: which rows are headers, what unit a header states, and which rows below are no data."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass

from knockon.graph.sheets.opened import Sheet, SheetError

UNITS = {"mm": "mm", "millimetres": "mm", "in": "in", "inch": "in", "inches": "in", '"': "in", "thou": "thou",
         "deg": "deg", "psi": "psi", "bar": "bar", "kpa": "kPa"}  # fmt: skip
SEARCHED = 30
_LONGEST_UNIT = 4
_BRACKETED = re.compile(r"^(.*?)[\s]*[\[(,/]\s*([^\[\](),/]+?)\s*[\])]?$")
_TOTALS = ("total", "totals", "sub-total", "subtotal", "sub total", "grand total", "sum")


@dataclass(frozen=True, slots=True)
class Head:
    """``titles`` and ``units`` of the columns; data begins after row ``last``. ``first`` is the first header row."""

    first: int
    last: int
    titles: tuple[str, ...]
    units: tuple[str, ...]


def is_word(text: str) -> bool:
    """Whether a cell is words, not a size: a header may be."""
    return any(c.isalpha() for c in text) and not text[0].isdigit()


def _is_unit(text: str) -> bool:
    return text.strip("()[] .").casefold() in UNITS or text in ("", "-", '"')


def title_and_unit(text: str, whole: Collection[str] = ()) -> tuple[str, str]:
    """``Bore (mm)`` -> (``Bore``, ``mm``); a title without a unit gives an empty one.

    ``whole``: titles in lower case that end like a unit and are none, such as "cut in".
    """
    text = " ".join(text.split())
    if text.casefold() in whole:
        return text, ""
    match = _BRACKETED.match(text)
    if match and match.group(2).strip(". ").casefold() in UNITS:
        return match.group(1), UNITS[match.group(2).strip(". ").casefold()]
    head, _, tail = text.rpartition(" ")
    if head and tail.strip(".").casefold() in UNITS:
        return head, UNITS[tail.strip(".").casefold()]
    return text, ""


def find_head(sheet: Sheet, whole: Collection[str] = ()) -> Head:
    """The header row or two header rows of a sheet; ``whole`` as in title_and_unit. Raises SheetError where there is
    none."""
    rows = [r for r in sheet.rows if any(r[1])][:SEARCHED]
    for place, (number, cells) in enumerate(rows):
        filled = [c for c in cells if c]
        if len(filled) < 2 or sum(map(is_word, filled)) * 3 < len(filled) * 2:
            continue
        below = rows[place + 1] if place + 1 < len(rows) else (number, ())
        second = _second_row(cells, below[1])
        pairs = [title_and_unit(t, whole) for t in (second or cells)]
        return Head(number, below[0] if second else number, tuple(t for t, _ in pairs), tuple(u for _, u in pairs))
    raise SheetError(f"{sheet.file}: {sheet.name or 'the table'} has no row of headers")


def _second_row(upper: tuple[str, ...], lower: tuple[str, ...]) -> tuple[str, ...] | None:
    """The two header rows as one, or None where the lower one is data.

    It is a header where it holds units only, or names only and fills gaps of the row above or divides its groups.
    """
    filled = [c for c in lower if c]
    if not filled:
        return None
    wide = max(len(upper), len(lower))
    above, below = upper + ("",) * (wide - len(upper)), lower + ("",) * (wide - len(lower))
    if all(_is_unit(c) for c in filled):
        return tuple(f"{a} ({b.strip('()[] ')})" if b.strip("()[] -") else a for a, b in zip(above, below, strict=True))
    named = [c for c in above if c]
    divides = len(set(named)) < len(named) or any(not a and b for a, b in zip(above, below, strict=True))
    if divides and all(is_word(c) and not any(x.isdigit() for x in c) for c in filled):
        group, out = "", []
        for a, b in zip(above, below, strict=True):
            group = a or group
            out.append(f"{group} {b}".strip() if b else a)
        return tuple(out)
    return None


def is_data(head: Head, raw_head: tuple[tuple[str, ...], ...], cells: tuple[str, ...]) -> str:
    """Why a row is no data: "empty", "headers repeated" or "total"; an empty text for data."""
    filled = [c for c in cells if c]
    if not filled:
        return "empty"
    if any(tuple(filled) == tuple(c for c in row if c) for row in raw_head):
        return "headers repeated"
    first = filled[0].casefold().rstrip(":. ")
    is_total = first in _TOTALS or first.startswith(("total ", "totals "))
    return "total" if is_total and all(map(_is_sum, filled[1:])) else ""


def _is_sum(text: str) -> bool:
    """Whether a cell may be what a total row holds: a number, perhaps with a unit or currency."""
    return any(c.isdigit() for c in text) and sum(c.isalpha() for c in text) <= _LONGEST_UNIT
