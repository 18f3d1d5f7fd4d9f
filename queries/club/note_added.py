"""What a note that was just written does: to which things its readings belong, and what it contradicts."""

from __future__ import annotations

from collections.abc import Iterator

import msgspec

from knockon.graph.judge.beliefs import share_a_value
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import STANDINGS, Feature, Statement
from knockon.queries.club.contradictions import is_sized, note_conflicts

PRESENCE = ""


class Bound(msgspec.Struct, frozen=True, order=True):
    """A thing that a reading of the note belongs to: in a place of a vehicle, known by a number or by none."""

    thing: str
    vehicle: str
    place: Place
    number: str


class Against(msgspec.Struct, frozen=True, order=True):
    """Something that the note contradicts: what was ``written``, and what ``source`` states otherwise.

    A blank ``dimension``: whether the feature is there at all. ``of_number``: stated of the number, not of the thing,
    which may differ. Of a note with another outcome, ``note`` is its name and ``check`` what both are about.
    """

    thing: str = ""
    feature: str = ""
    dimension: str = ""
    written: str = ""
    otherwise: str = ""
    source: str = ""
    standing: str = ""
    of_number: bool = False
    note: str = ""
    check: str = ""


def bound_readings(catalogue: Catalogue, name: str) -> tuple[Bound, ...]:
    """The particular things that a note's readings belong to, with their places."""
    source = catalogue.notes[name].source
    found = set()
    for vehicle in catalogue.vehicles.values():
        for fitting in vehicle.fittings:
            own = catalogue.features.get(fitting.item, {}) if fitting.item and not vehicle.as_made else {}
            if any(_states(feature, source) for feature in own.values()):
                item = catalogue.items.get(fitting.item)
                number = fitting.part or (item.part if item else "")
                found.add(Bound(fitting.item, vehicle.vehicle, Place(fitting.position, fitting.side), number))
    return tuple(sorted(found))


def _states(feature: Feature, source: str) -> bool:
    said = [s for statements in feature.dimensions.values() for s in statements if s.source == source]
    return bool(said) or any(s.source == source for s in (*feature.absent, *feature.there))


def contradicted_by(catalogue: Catalogue, name: str) -> tuple[Against, ...]:
    """What a note contradicts: sizes stated otherwise, features said to be there or not, notes of another outcome."""
    source = catalogue.notes[name].source
    found: dict[Against, None] = {}
    for thing in sorted(catalogue.features, key=lambda t: (t not in catalogue.items, t)):
        for feature in catalogue.features[thing].values():
            if any(_first_hand(feature, source)):
                found |= dict.fromkeys(_against(thing, feature, source))
    told = {(a.feature, a.dimension, a.written, a.otherwise, a.source): a for a in reversed(found)}
    found = {a: None for a in found if told[(a.feature, a.dimension, a.written, a.otherwise, a.source)] is a}
    for conflict in note_conflicts(catalogue):
        own = next((n for n in conflict.notes if n.note == name), None)
        for other in conflict.notes if own else ():
            if own is not None and (other.outcome == "failed") != (own.outcome == "failed"):
                found[Against(written=own.outcome, otherwise=other.outcome, note=other.note, check=conflict.check)] = (
                    None
                )
    return tuple(found)


def _first_hand(feature: Feature, source: str) -> Iterator[bool]:
    yield from (s.source == source and not s.of_number for v in feature.dimensions.values() for s in v)
    yield from (s.source == source and not s.of_number for s in (*feature.absent, *feature.there))


def _against(thing: str, feature: Feature, source: str) -> Iterator[Against]:
    told: set[tuple[str, str]] = set()
    for dimension, statements in feature.dimensions.items():
        base = column_of(dimension)
        sized = [s for s in statements if is_sized(s)]
        for own in (s for s in sized if s.source == source and not s.of_number):
            for other in (s for s in sized if s.source != source and not share_a_value(own, s)):
                if (base, other.source + other.written) not in told:  # a thread is one size with several numbers
                    told.add((base, other.source + other.written))
                    yield _otherwise(thing, feature.name, base, own.written, other)
    absent = any(s.source == source and not s.of_number for s in feature.absent)
    for said in feature.there if absent else feature.absent:
        if said.source != source:
            written, otherwise = ("absent", "recorded") if absent else ("recorded", "absent")
            yield Against(
                thing=thing,
                feature=feature.name,
                dimension=PRESENCE,
                written=written,
                otherwise=otherwise,
                source=said.source,
                standing=STANDINGS[said.rank - 1],
                of_number=said.of_number,
            )


def _otherwise(thing: str, feature: str, dimension: str, written: str, other: Statement) -> Against:
    standing = STANDINGS[other.rank - 1]
    return Against(
        thing=thing,
        feature=feature,
        dimension=dimension,
        written=written,
        otherwise=other.written,
        source=other.source,
        standing=standing,
        of_number=other.of_number,
    )
