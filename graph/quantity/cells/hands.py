"""Hands: left, right or either, and the sides that depend on where the driver sits."""

from __future__ import annotations

import re

from knockon.graph.quantity.cells.cell import Cell
from knockon.graph.quantity.cells.model import Quantity, Side

_LEFT_ELSEWHERE = ("left hand side", "links", "linke seite", "gauche", "izquierda", "sinistra")
_RIGHT_ELSEWHERE = ("right hand side", "rechts", "rechte seite", "droite", "derecha", "destra")
_FIXED = {
    "left": ("left", "l", "lh", "l/h", "left hand", "lefthand", "left side", "lhs", "l side", *_LEFT_ELSEWHERE),
    "right": ("right", "r", "rh", "r/h", "right hand", "righthand", "right side", "rhs", "r side", *_RIGHT_ELSEWHERE),
    "either": (
        *("either", "l/r same", "not handed", "unhanded", "either side", "either hand"),
        *("same both sides", "same left and right"),
    ),
    "left and right": (
        *("left and right", "l+r", "l & r", "l and r", "l&r", "left & right", "lh+rh", "lh & rh", "lh and rh"),
    ),
}
_NEAR = ("n/s", "ns", "nearside", "near side", "kerb side", "kerbside", "passenger side", "passenger")
_OFF = ("o/s", "os", "offside", "off side", "driver's side", "drivers side", "driver side", "driver")
_BOTH = ("n/s, o/s", "n/s o/s", "n/s & o/s", "n/s and o/s", "n/s+o/s", "n/s + o/s", "o/s, n/s", "ns+os")

_CODES = {spelling: code for code, spellings in _FIXED.items() for spelling in spellings}


_BEFORE, _AFTER = r"(?<![\w./])", r"(?![\w/])"
_SAYS = {
    hand: rf"{_BEFORE}({letter}\s?[./]?\s?h(and|t|s)?\.?|{word}([\s-]?hand(ed)?)?|{more}|{letter}){_AFTER}"
    for hand, letter, word, more in (
        ("left", "l", "left", r"links\w*|gauche"),
        ("right", "r", "right", r"rechts\w*|droite"),
    )
}
_DEPENDS = rf"{_BEFORE}(n\s?/\s?s|o\s?/\s?s|near\s?side|off\s?side|other (hand|side)){_AFTER}"
_PAIR = r"L\s*[+&]\s*R\b"
"""Both hands of one number, as in 201L+R."""


def hands_said(text: str) -> frozenset[str]:
    """The hands that a text of several words names; both where it names one that depends on the driver's side."""
    if re.search(_DEPENDS, text, re.I) or re.search(_PAIR, text):
        return frozenset(_SAYS)
    return frozenset(hand for hand, says in _SAYS.items() if re.search(says, text, re.I))


def read_hand(cell: Cell) -> dict[str, Quantity]:
    """The reading "": the code left, right, either, or left and right. Raises CellError.

    Nearside is the kerb's side, away from the driver; it is read only where the context says on
    which side the driver sits.
    """
    words = cell.text.casefold().replace(".", "").replace("-", " ")
    if words in _CODES:
        return {"": cell.coded(_CODES[words])}
    if words not in (*_NEAR, *_OFF, *_BOTH):
        offers = ("either", "left and right") if words in ("both", "pair", "l/r") else ()
        raise cell.error("not a hand", *offers)
    driver = cell.context.driver
    if driver is None:
        why = "the side depends on where the driver sits, which the sheet does not state"
        raise cell.error(why, "left", "right")
    if words in _BOTH:
        return {"": cell.coded("left and right", ("names both sides",))}
    side = driver if words in _OFF else _other(driver)
    return {"": cell.coded(side, (f"read as {side}: the driver sits on the {driver}",))}


def _other(side: Side) -> Side:
    return "left" if side == "right" else "right"
