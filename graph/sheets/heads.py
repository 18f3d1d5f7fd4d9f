"""The head of a sheet: which rows are headers, what unit a header states, and which rows below are no data."""

from __future__ import annotations

import re
from collections.abc import Collection

import msgspec

from knockon.graph.sheets.opened import Sheet, SheetError

UNITS = {
    "mm": "mm", "mms": "mm", "millimetre": "mm", "millimetres": "mm", "millimeters": "mm", "cm": "cm",
    "in": "in", "ins": "in", "inch": "in", "inches": "in", '"': "in", "thou": "thou", "micron": "micron",
    "microns": "micron", "deg": "deg", "degrees": "deg", "°": "deg", "psi": "psi", "bar": "bar", "kpa": "kPa",
    "millimeter": "mm", "millimètre": "mm", "millimètres": "mm", "cms": "cm", "zoll": "in", "pouce": "in",
    "pouces": "in", "pulgadas": "in", "pollici": "in", "duim": "in", "grad": "deg",
}  # fmt: skip
_NO_INCH_AFTER = frozenset(
    {"made", "cut", "cuts", "fit", "fits", "fitted", "goes", "let", "built", "pressed", "screwed"}
)
"""Words behind which "in" at the end of a title is no unit."""
SEARCHED = 30
_LONGEST_UNIT = 4
_WORDS = re.compile(r'[()\[\],/]|[^\s()\[\],/"]+|"')
_EMPTY = re.compile(r"[(\[][\s,/]*[)\]]")
_TOTALS = frozenset(
    {
        *("total", "totals", "sub-total", "subtotal", "sub total", "grand total", "sum", "summe", "gesamt"),
        *("gesamtsumme", "zwischensumme", "somme", "sous-total", "total général"),
    }
)


class Head(msgspec.Struct, frozen=True):
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
    found = list(_WORDS.finditer(text))
    words = [m.group() for m in found]
    stated = [] if text.casefold() in whole else _stated_units(words)
    numbered = any(any(c.isdigit() for c in w) for n in stated for w in _beside(words, n))
    if not stated or numbered:  # (0.001") and (1/16 in) are no plain unit
        return text, ""
    units = {UNITS[_plain(words[n])] for n in stated}
    gone = [*stated, *(n for n in range(stated[0], len(words)) if _plain(words[n]) == "or")]
    if words[stated[0] - 1] == "in":
        gone.append(stated[0] - 1)  # "Length in mm"
    left = "".join(" " if any(found[n].start() <= i < found[n].end() for n in gone) else c for i, c in enumerate(text))
    title = " ".join(_EMPTY.sub(" ", left).split()).strip(" ,/-")
    # Two units in one title say nothing of a cell without one.
    return (title or text), units.pop() if len(units) == 1 else ""


def _odd_unit(text: str, whole: Collection[str] = ()) -> str:
    """The unit of a title that numbers it, such as 1/16 in or 0.001": no cell without a unit of its own is of that."""
    words = [m.group() for m in _WORDS.finditer(" ".join(text.split()))]
    if text.casefold() in whole:
        return ""
    for place in _stated_units(words):
        numbered = [w for w in _beside(words, place) if w not in "()[],"]
        if any(any(c.isdigit() for c in w) for w in numbered):
            return f"{''.join(numbered)} {words[place]}"
    return ""


def _plain(word: str) -> str:
    return word.strip(".").casefold()


def _beside(words: list[str], place: int) -> list[str]:
    """What stands before a unit in its brackets, or the word before it."""
    opened = max((n for n in range(place) if words[n] in "(["), default=-1)
    closed = max((n for n in range(place) if words[n] in ")]"), default=-1)
    return words[opened:place] if opened > closed else words[place - 1 : place]


def _stated_units(words: list[str]) -> list[int]:
    """Which of a title's words are its units: in brackets, or at its end."""
    found = []
    depth = 0
    for place, word in enumerate(words):
        depth += (word in "([") - (word in ")]")
        behind = [_plain(w) for w in words[place + 1 :] if w not in "()[],/"]
        only_units = all(w in UNITS or w == "or" for w in behind)
        is_unit = _plain(word) in UNITS and (depth > 0 or only_units)
        before = _plain(words[place - 1]) if place else ""
        if is_unit and _plain(word) == "in" and depth == 0:
            is_unit = not behind[:1] or behind[0] == "or"
            is_unit = is_unit and before not in _NO_INCH_AFTER
        if is_unit and place:
            found.append(place)
    return found


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
        last = below[0] if second else number
        titles = _widened(second or cells, [c for n, c in sheet.rows if n > last])
        pairs = [title_and_unit(t, whole) for t in titles]
        units = tuple(unit or _odd_unit(t, whole) for t, (_, unit) in zip(titles, pairs, strict=True))
        return Head(number, last, tuple(t for t, _ in pairs), units)
    raise SheetError(f"{sheet.file}: {sheet.name or 'the table'} has no row of headers")


def _widened(titles: tuple[str, ...], rows: list[tuple[str, ...]]) -> tuple[str, ...]:
    """The titles, with empty ones for columns that hold something and have none."""
    wide = max((n for row in rows for n, cell in enumerate(row, 1) if cell), default=0)
    return titles + ("",) * (wide - len(titles))


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
