"""Readings to offer for a cell that cannot be read: slips that are commonly made. None is applied."""

from __future__ import annotations

import re

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.model import CellError
from knockon.graph.quantity.spreadsheet import offers_behind_a_date

_MOST_WORDS = 8
_CHANGING = frozenset(
    {
        *("not", "no", "never", "or", "max", "min", "maximum", "minimum", "maybe", "except", "wrong", "over", "under"),
        *(
            "oversize",
            "undersize",
            "os",
            "us",
            "osize",
            "usize",
            "full",
            "bare",
            "plus",
            "less",
            "minus",
            "af",
            "spanner",
        ),
        *("left", "right", "lh", "rh", "lhand", "rhand", "lht", "rht", "ns", "links", "rechts", "linksgewinde"),
        *("up", "more", "worn", "new", "same", "as", "half", "quarter", "than", "v", "vs", "and", "by", "a", "per"),
    }
)
"""Words without which a cell would say something else."""
_UNIT_WORDS = frozenset("mm in ins inch inches thou cm deg psi bar unf unc bsf bsw lh rh".split())  # noqa: SIM905
_BLANK_IN_NUMBER = re.compile(r"(?<=\d) (?=\d{3}(?!\d))|(?<=\d) (?=\.\d)|(?<=\d\.) (?=\d)|(?<=^\.) (?=\d)")
_BLANK_IN_CLASS = re.compile(r"(?<=\d [A-Za-z]) (?=\d{1,2}$)|(?<=\d [A-Za-z]{2}) (?=\d{1,2}$)")
_LETTERS_FOR_FIGURES = str.maketrans("OoIl|", "00111")


def further_offers(cell: Cell, error: CellError) -> tuple[str, tuple[str, ...]]:
    """What is wrong with the cell, if more can be said than `error` says, and texts to offer.

    The offers are not yet sifted: some may not be readable either.
    """
    behind = offers_behind_a_date(cell)
    if behind is not None:
        return "a date: did a spreadsheet make it of something else?", behind
    without = _without_words(cell) if error.why.startswith("not ") and not error.suggestions else ()
    torn = _torn(cell) if error.why.startswith("not ") else ()
    return error.why, (*_misspelled(cell), *_unsure(cell), *_clock(cell), *torn, *without)


def _torn(cell: Cell) -> tuple[str, ...]:
    """Figures and classes with blanks in them: 1 234.5 mm, 25 .4 mm, 35 H 7."""
    if cell.datatype.sort != "size":
        return ()
    joined = _BLANK_IN_NUMBER.sub("", cell.text)
    classed = _BLANK_IN_CLASS.sub("", joined) if cell.datatype.name == "length" else joined
    return tuple(text for text in dict.fromkeys((joined, classed)) if text != cell.text)


def _misspelled(cell: Cell) -> tuple[str, ...]:
    """Letters typed for figures, and the missing unit of what is then a size."""
    if cell.datatype.sort == "word":
        return ()
    figures = "".join(
        character.translate(_LETTERS_FOR_FIGURES) if _beside_figure(cell.text, place) else character
        for place, character in enumerate(cell.text)
    )
    if figures == cell.text:
        return ()
    return (figures, *(figures + unit for unit in cell.datatype.slip_units))


def _beside_figure(text: str, place: int) -> bool:
    """Whether a letter stands where a figure would: beside a figure, a point or another of its kind."""
    around = text[max(0, place - 1) : place] + text[place + 1 : place + 2]
    return any(character in "0123456789.,/Oo" for character in around)


def _unsure(cell: Cell) -> tuple[str, ...]:
    """A value with a question mark: the value, or unknown."""
    if "?" not in cell.text or cell.datatype.any_text:
        return ()
    plain = " ".join(cell.text.replace("?", " ").split())
    return ("?", plain, *(plain + unit for unit in cell.datatype.slip_units))


def _clock(cell: Cell) -> tuple[str, ...]:
    """01:08:00: a ratio that a spreadsheet took for a time of day."""
    figures = cell.text.split(":")
    if cell.datatype.name != "ratio" or len(figures) != 3 or not all(f.isdecimal() and len(f) < 3 for f in figures):
        return ()
    return (f"{int(figures[0])}:{int(figures[1])}",)


def _without_words(cell: Cell) -> tuple[str, ...]:
    """`28 mm bore`, `stud M12x1.5`: what is left without the words, unless one of them changes what is said."""
    if cell.datatype.sort != "size" or cell.context.strict:
        return ()
    words = cell.text.rstrip("*,;:.'").lstrip("'").split()
    plain = ["".join(c for c in word.casefold() if c.isalnum()) for word in words]
    head, bracket, _ = cell.text.partition("(")
    if bracket and not _CHANGING.intersection(plain):
        return (head.strip(),)
    if len(words) > _MOST_WORDS or _CHANGING.intersection(plain) or any(c in "?<>≤≥" for c in cell.text):
        return ()
    kept = [n for n, w in enumerate(words) if any(c.isdigit() for c in w) or plain[n] in _UNIT_WORDS]
    if not kept or plain[kept[0]] in _UNIT_WORDS:
        return ()
    found = [" ".join(words[begin:end]) for end in range(len(words), kept[-1], -1) for begin in (0, kept[0])]
    return tuple(text + unit for text in dict.fromkeys(found) for unit in ("", *cell.datatype.slip_units))
