"""How names that a user types compare with those of the records, and the error of a question that cannot be read."""

from __future__ import annotations

import re
from collections.abc import Iterable

from knockon.graph.model.catalogue import SeveralReadingsError, UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.nearest import Others, in_own_words, meanings, nearest
from knockon.graph.model.things import SIDES

ALL = "all"
"""In the place of a vehicle's name: every vehicle that is recorded."""


class RequestError(ValueError):
    """The question cannot be understood; the message says what was read and what is expected."""


def fold(name: str) -> str:
    """Names compare without case, blanks, hyphens and underscores."""
    return re.sub(r"[\s_-]+", " ", name.strip().casefold())


def others_of(places: Places) -> Others:
    """What else the positions are called, by name."""
    return {name: position.also_called for name, position in places.positions.items()}


def _position_meant(places: Places, name: str, words: str, side: str) -> str:
    meant = meanings(words, others_of(places)) or meanings(name, others_of(places))
    if len(meant) > 1:
        raise SeveralReadingsError("position", name, tuple(f"{side} {m}".strip() for m in meant))
    if not meant:
        raise UnknownNameError("position", name, nearest(name, places.positions, others=others_of(places)))
    return meant[0]


def check_meant(sort: str, name: str, known: Iterable[str], others: Others) -> str:
    """The joint or figure of this name, also where a word of it is said as the trade says it: ``disc in caliper``.

    Raises UnknownNameError, and SeveralReadingsError where several are called so.
    """
    names = {fold(k): k for k in sorted(known, reverse=True)}
    if fold(name) in names:
        return names[fold(name)]
    said = [fold(s) for s in in_own_words(name, others)]
    meant = tuple(dict.fromkeys(names[s] for s in said if s in names))
    if len(meant) > 1:
        raise SeveralReadingsError(sort, name, meant)
    if meant:
        return meant[0]
    likely = [n for s in said for n in nearest(s, names.values(), others={})]
    raise UnknownNameError(sort, name, tuple(dict.fromkeys((*likely, *nearest(name, names.values(), others={}))))[:3])


def find_places(places: Places, name: str) -> tuple[Place, ...]:
    """The places that a name means: ``rotor`` (both hands), ``left rotor``, ``rotor left``, ``left brake disc``.

    Raises UnknownNameError, and SeveralReadingsError where the trade calls several positions so.
    """
    words = fold(name)
    known = {fold(p): p for p in places.positions}
    side = ""
    if words not in known:
        for s in SIDES:
            if words.startswith(s + " ") or words.endswith(" " + s):
                side, words = s, words.removeprefix(s + " ").removesuffix(" " + s)
    position = known[words] if words in known else _position_meant(places, name, words, side)
    found = tuple(Place(position, s) for s in places.sides_of(position) if not side or s == side)
    if not found:  # the vehicle has one of it, and neither a left nor a right one
        raise UnknownNameError("position", name, (position,))
    return found
