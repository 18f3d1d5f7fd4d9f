"""Needed positions with nothing in them, beside the parts that a question gives: left out, or left empty on purpose.

Three parts that agree with each other are not the whole of a corner: the collar that nobody named may be what keeps the
nut off plain shank. So a needed position that stands between the given parts, and of which nothing is said, leaves the
verdict open; one that is said to be empty is judged as empty.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

import msgspec

from knockon.graph.model.catalogue import SeveralReadingsError, UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.nearest import nearest
from knockon.queries.as_typed import find_places, others_of


class Vacancy(msgspec.Struct, frozen=True):
    """A needed position with nothing in it (one hand's where only that one is vacant), and what it is needed for: the
    joints and the figures that it has with the given parts."""

    position: str
    part_type: str
    joints: tuple[str, ...]
    figures: tuple[str, ...]
    given: tuple[str, ...]


class Beside(msgspec.Struct, frozen=True):
    """What a place has with the given parts: which of them, at which places, by which joints and figures."""

    joints: dict[str, None] = msgspec.field(default_factory=dict)
    figures: dict[str, None] = msgspec.field(default_factory=dict)
    given: dict[str, dict[Place, None]] = msgspec.field(default_factory=dict)

    def note(self, at: Place, numbers: Iterable[str]) -> None:
        """Note that these numbers stand at a place that it has something with."""
        for number in numbers:
            self.given.setdefault(number, {})[at] = None

    def parts(self, given: Mapping[str, int]) -> int:
        """How many of the given parts it is beside, of which each may be given more than once."""
        return sum(min(given.get(number, 0), len(places)) for number, places in self.given.items())


def beside(
    places: Places, place: Place, given: Mapping[Place, Sequence[str]], idle: Iterable[str], formulas: bool
) -> Beside:
    """What ``place`` has with the numbers that are ``given``; checks of ``idle`` arrangements are passed over, and,
    without ``formulas``, figures that are no signed sums."""
    passed = set(idle)
    found = Beside()
    for joint in places.joints:
        ends = (joint.first, joint.second)
        other = ends[place == joint.first]
        if place in ends and other != place and joint.joint.arrangement not in passed and other in given:
            found.joints[joint.joint.joint] = None
            found.note(other, given[other])
    for figure in places.figures:
        if (
            place not in figure.places
            or figure.figure.arrangement in passed
            or (figure.figure.formula and not formulas)
        ):
            continue
        for other in figure.places:
            if other != place and other in given:
                found.figures[figure.figure.figure] = None
                found.note(other, given[other])
    return found


def vacancies(places: Places, found: Mapping[Place, Beside], vacant: Collection[Place]) -> tuple[Vacancy, ...]:
    """What was found of vacant places, by position; a hand is named where the other hand's place is not vacant."""
    named: dict[str, list[Place]] = {}
    for place in found:
        whole = all(Place(place.position, side) in vacant for side in places.sides_of(place.position))
        named.setdefault(place.position if whole else place, []).append(place)
    return tuple(_vacancy(places, name, [found[p] for p in at], at[0].position) for name, at in named.items())


def _vacancy(places: Places, name: str, found: Sequence[Beside], position: str) -> Vacancy:
    return Vacancy(
        name,
        places.positions[position].part_type,
        tuple(dict.fromkeys(j for b in found for j in b.joints)),
        tuple(dict.fromkeys(f for b in found for f in b.figures)),
        tuple(dict.fromkeys(n for b in found for n in b.given)),
    )


def empty_places(layouts: Iterable[Places], names: Iterable[str]) -> dict[str, frozenset[Place]]:
    """The places that are to be taken as empty, by layout.

    Raises UnknownNameError where a name is of no position in any of the layouts.
    """
    every = list(layouts)
    found: dict[str, set[Place]] = {places.layout.layout: set() for places in every}
    for name in names:
        known = 0
        for places in every:
            try:
                found[places.layout.layout].update(find_places(places, name))
            except SeveralReadingsError:
                raise
            except UnknownNameError:
                continue
            known += 1
        if not known:
            others = {p: words for places in every for p, words in others_of(places).items()}
            raise UnknownNameError("position", name, nearest(name, others, others=others))
    return {layout: frozenset(places) for layout, places in found.items()}
