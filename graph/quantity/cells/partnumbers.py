"""Part numbers as they are written, against those that are known."""

from __future__ import annotations

import re

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.hands import hands_said
from knockon.graph.quantity.cells.model import Quantity

_POINTING = (
    r"^(as|like|same|similar|mirror(ed)?|opposite|reverse|handed|copy|wie|gleich|spiegelbild|comme|pareil)\b\s+\S"
    r"|\s(but|except|instead|aber|sauf|mais)\s"
)
"""Words with which a text says what a part is like, and not its number."""


def read_part_number(cell: Cell) -> dict[str, Quantity]:
    """The reading "": the part number as it is known, or as it is written where none are known.

    Raises CellError for a number that is not known, with those that it may be.
    """
    index = cell.context.parts
    if re.search(_POINTING, cell.text, re.I):
        known = index.of_hand(index.contained(cell.text), hands_said(cell.text)) if index else ()
        raise cell.error("it points to another part, and is no number of its own", *known)
    if index is None:
        return {"": cell.coded(cell.text, _letter_for_figure(cell))}
    if "?" in cell.text:
        plain = cell.text.replace("?", " ")
        raise cell.error("not sure of its number", *index.of_hand(index.contained(plain), hands_said(plain)))
    if cell.written in index.names:
        return {"": cell.coded(cell.written)}
    spelled = index.spelled(cell.text)
    if len(spelled) == 1:
        return {"": cell.coded(spelled[0], (f"read as {spelled[0]}",))}
    if spelled:
        raise cell.error("more than one known number is written like this", *spelled)
    handed = index.handed(cell.text)
    if handed:
        raise cell.error("the hand is missing", *handed)
    alike = (*index.contained(cell.text), *index.alike(cell.text))
    raise cell.error("not a known part number", *index.of_hand(alike, hands_said(cell.text)))


def _letter_for_figure(cell: Cell) -> tuple[str, ...]:
    """Refuses a letter O or I between figures; no other check is possible without known numbers."""
    text = cell.text
    for before, letter, after in zip(text, text[1:], text[2:], strict=False):
        if before.isdigit() and after.isdigit() and letter in "OoIl":
            figure = "0" if letter in "Oo" else "1"
            better = text.replace(f"{before}{letter}{after}", f"{before}{figure}{after}")
            raise cell.error(f"the letter {letter} between figures", better)
    return ()
