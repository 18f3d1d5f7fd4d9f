"""Readings to offer for a cell that cannot be read: slips that are commonly made. None is applied."""

from __future__ import annotations

from knockon.graph.quantity.cell import Cell
from knockon.graph.quantity.model import CellError
from knockon.graph.quantity.spreadsheet import offers_behind_a_date

_LETTERS_FOR_FIGURES = str.maketrans("OoIl|", "00111")


def further_offers(cell: Cell, error: CellError) -> tuple[str, tuple[str, ...]]:
    """What is wrong with the cell, if more can be said than `error` says, and texts to offer.

    The offers are not yet sifted: some may not be readable either.
    """
    behind = offers_behind_a_date(cell)
    if behind is not None:
        return "a date: did a spreadsheet make it of something else?", behind
    return error.why, (*_misspelled(cell), *_unsure(cell))


def _misspelled(cell: Cell) -> tuple[str, ...]:
    """Letters typed for figures, and the missing unit of what is then a size."""
    if cell.datatype in ("code", "hand", "date", "part number"):
        return ()
    figures = "".join(
        character.translate(_LETTERS_FOR_FIGURES) if _beside_figure(cell.text, place) else character
        for place, character in enumerate(cell.text)
    )
    if figures == cell.text:
        return ()
    units = (" mm", " in") if cell.datatype == "length" else ()
    return (figures, *(figures + unit for unit in units))


def _beside_figure(text: str, place: int) -> bool:
    """Whether a letter stands where a figure would: beside a figure, a point or another of its kind."""
    around = text[max(0, place - 1) : place] + text[place + 1 : place + 2]
    return any(character in "0123456789.,/Oo" for character in around)


def _unsure(cell: Cell) -> tuple[str, ...]:
    """A value with a question mark: the value, or unknown."""
    if "?" not in cell.text or cell.datatype == "code":
        return ()
    plain = " ".join(cell.text.replace("?", " ").split())
    units = (f"{plain} mm", f"{plain} in") if cell.datatype == "length" else ()
    return ("?", plain, *units)
