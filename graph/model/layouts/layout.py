"""A layout's places: every position in each corner and on the vehicle, with the joints and figures between them."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from typing import NamedTuple, Self, TypeVar

import msgspec

from knockon.graph.model.layouts.mechanism import Figure, InTheWay, Joint, Layout, Position
from knockon.graph.model.things import SIDES, Fitting, Vehicle


class Place(str):
    """A position in one corner (side left or right), or on the vehicle (side blank).

    It is the text that people read and type, ``left hub``, and knows what it is made of: answers carry it as it is, and
    nobody takes the text apart again.
    """

    __slots__ = ("position", "side")
    position: str
    side: str

    def __new__(cls, position: str, side: str = "") -> Self:
        """Of a position, and the side of its corner."""
        place = super().__new__(cls, f"{side} {position}".strip())
        place.position, place.side = position, side
        return place

    def __reduce__(self) -> tuple[type[Self], tuple[str, str]]:  # to be copied
        return type(self), (self.position, self.side)

    def __eq__(self, other: object) -> bool:
        if isinstance(other, Place) and self.side != other.side:
            return False  # a position of the vehicle may be called "left hub" too
        return str.__eq__(self, other)

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = str.__hash__

    @property
    def other_hand(self) -> Place:
        """The same position in the other corner; on the vehicle itself."""
        return Place(self.position, {"left": "right", "right": "left"}.get(self.side, ""))


def nowhere() -> Place:
    """The place of what stands in none."""
    return Place("")


class PlaceEnd(NamedTuple):
    """One end of a joint between two places; ``number`` is 0 or 1, as of the rule's end."""

    number: int
    place: Place
    feature: str
    reached: str


T = TypeVar("T")


class JointAt(msgspec.Struct, frozen=True):
    """A joint between two places."""

    joint: Joint
    first: Place
    second: Place

    @property
    def ends(self) -> tuple[PlaceEnd, PlaceEnd]:
        """Both ends, as the rule has them."""
        one, other = self.joint.ends
        return PlaceEnd(0, self.first, *one[1:]), PlaceEnd(1, self.second, *other[1:])

    def end_at(self, place: Place) -> PlaceEnd:
        """The end in one of its two places."""
        return self.ends[place != self.first]

    def beyond(self, end: PlaceEnd) -> PlaceEnd:
        """The other end."""
        return self.ends[1 - end.number]

    def in_order(self, place: Place, here: T, there: T) -> tuple[T, T]:
        """What is in one of its two places and what is in the other, as the joint has them."""
        return (here, there) if place == self.first else (there, here)

    @property
    def side(self) -> str:
        """The corner it is in, blank for the vehicle."""
        return self.first.side or self.second.side


class FigureAt(msgspec.Struct, frozen=True):
    """A figure in one corner, or on the vehicle."""

    figure: Figure
    side: str
    places: tuple[Place, ...]


class Places(msgspec.Struct, frozen=True, dict=True):
    """All places of a layout, and what stands between them, in the layout's order."""

    layout: Layout

    @cached_property
    def positions(self) -> dict[str, Position]:
        """Positions by name."""
        return {p.position: p for p in self.layout.positions}

    def sides_of(self, position: str) -> tuple[str, ...]:
        """The sides in which a position stands."""
        return SIDES if self.positions[position].level == "corner" else ("",)

    @cached_property
    def all(self) -> tuple[Place, ...]:
        """Every place, in order."""
        return tuple(Place(p.position, s) for p in self.layout.positions for s in self.sides_of(p.position))

    def at(self, position: str, side: str) -> Place | None:
        """The place of ``position`` as seen from a corner."""
        if position not in self.positions:
            return None
        return Place(position, side if self.positions[position].level == "corner" else "")

    def seen_from(self, position: str, side: str) -> tuple[Place, ...]:
        """The places of ``position`` as seen from a corner; from the vehicle those in both corners."""
        if position not in self.positions:
            return ()
        sides = self.sides_of(position)
        return tuple(Place(position, s) for s in sides if not side or s in ("", side))

    def features_at(self, position: str) -> set[str]:
        """The features that joints and figures read at a position."""
        used = {t.feature for figure in self.layout.figures for t in figure.terms if t.position == position}
        return used | {e.feature for j in self.layout.joints for e in j.ends if e.position == position}

    def _sides(self, names: tuple[str, ...]) -> tuple[str, ...]:
        return SIDES if any(self.positions[n].level == "corner" for n in names) else ("",)

    @cached_property
    def joints(self) -> tuple[JointAt, ...]:
        """Every joint, once for each corner that it stands in."""
        found = []
        for joint in self.layout.joints:
            names = tuple(end.position for end in joint.ends)
            if all(n in self.positions for n in names):
                for side in self._sides(names):
                    first, second = (self.at(n, side) for n in names)
                    assert first is not None and second is not None
                    found.append(JointAt(joint, first, second))
        return tuple(found)

    @cached_property
    def figures(self) -> tuple[FigureAt, ...]:
        """Every stack and figure that is judged, once for each corner that it stands in."""
        return tuple(self._standing(self.layout.figures))

    @cached_property
    def told(self) -> tuple[FigureAt, ...]:
        """Every figure that is told and never judged, once for each corner that it stands in."""
        return tuple(self._standing(self.layout.told))

    def _standing(self, figures: tuple[Figure, ...]) -> Iterator[FigureAt]:
        for figure in figures:
            names = tuple(t.position for t in figure.terms)
            if names and all(n in self.positions for n in names):
                for side in self._sides(names):
                    places = tuple(p for n in names if (p := self.at(n, side)) is not None)
                    yield FigureAt(figure, side, places)

    def carrier(self, place: Place) -> Place | None:
        """The place that this one hangs on."""
        found = self.seen_from(self.positions[place.position].carried_by, place.side)
        return found[0] if len(found) == 1 else None


def stands_in(thing: Position | Joint | Figure | InTheWay, arrangements: Collection[str]) -> bool:
    """Whether a thing of a layout is there while these arrangements hold: it is in all of them, or in one of these."""
    return not thing.arrangement or thing.arrangement in arrangements


def others_than(layout: Layout, arrangement: str) -> set[str]:
    """The arrangements of the same choice, of which none holds while this one does."""
    found = (set(c.arrangements) - {arrangement} for c in layout.choices if arrangement in c.arrangements)
    return set().union(*found)


def unread(vehicle: Vehicle, places: Places) -> frozenset[Place]:
    """The places of a vehicle of which a row was set aside."""
    rows = {(f.position, f.side): f for f in vehicle.fittings}
    found = ((p, rows.get((p.position, p.side)) or rows.get((p.position, ""))) for p in places.all)
    return frozenset(p for p, fitting in found if fitting is not None and fitting.unread)


def fitted(vehicle: Vehicle, places: Places) -> Mapping[Place, Fitting]:
    """What is in each place of a vehicle; a row for one side stands before a row for both."""
    rows = {(f.position, f.side): f for f in vehicle.fittings}
    found = {}
    for place in places.all:
        fitting = rows.get((place.position, place.side)) or rows.get((place.position, ""))
        if fitting is not None and (fitting.part or fitting.item):
            found[place] = fitting
    return found
