"""How names that a user types compare with those of the records, and the error of a question that cannot be read."""

from __future__ import annotations

import re

from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.nearest import nearest
from knockon.graph.model.things import SIDES


class RequestError(ValueError):
    """The question cannot be understood; the message says what was read and what is expected."""


def fold(name: str) -> str:
    """Names compare without case, blanks, hyphens and underscores."""
    return re.sub(r"[\s_-]+", " ", name.strip().casefold())


def find_places(places: Places, name: str) -> tuple[Place, ...]:
    """The places that a name means: ``rotor`` (both hands), ``left rotor``, ``rotor left``; raises UnknownNameError."""
    words = fold(name)
    known = {fold(p): p for p in places.positions}
    side = ""
    if words not in known:
        for s in SIDES:
            if words.startswith(s + " ") or words.endswith(" " + s):
                side, words = s, words.removeprefix(s + " ").removesuffix(" " + s)
    if words not in known:
        raise UnknownNameError("position", name, nearest(name, places.positions))
    position = known[words]
    found = tuple(Place(position, s) for s in places.sides_of(position) if not side or s == side)
    if not found:  # the vehicle has one of it, and neither a left nor a right one
        raise UnknownNameError("position", name, (position,))
    return found
