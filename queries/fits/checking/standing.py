"""What stands in each place of a vehicle as found: what its fittings say, and something not recorded in a needed place
of which they say nothing."""

from __future__ import annotations

from collections.abc import Collection, Mapping

import msgspec

from knockon.graph.judge.beliefs import presence_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import member_at, member_thing
from knockon.graph.model.layouts.layout import Place, Places, fitted, stands_in, unread
from knockon.graph.model.things import Fitting, Vehicle


class Standing(msgspec.Struct, frozen=True):
    """What a vehicle has. ``found``: the fitting in each place that holds something, one with neither part nor item
    where nobody recorded what it is; ``perhaps``: places that are needed in some arrangement only, where nothing tells
    which one the vehicle has."""

    found: Mapping[Place, Fitting]
    perhaps: Mapping[Place, Fitting]


def is_recorded(fitting: Fitting) -> bool:
    """Whether a fitting says what stands there."""
    return bool(fitting.part or fitting.item)


def arrangements_of(vehicle: Vehicle, places: Places) -> frozenset[str]:
    """The arrangements that a vehicle has, at most one of each choice: as it says, else that of what it is recorded to
    have, where that tells."""
    shown = {places.positions[p.position].arrangement for p in fitted(vehicle, places)} - {""}
    found: set[str] = set()
    for choice in places.layout.choices:
        own = set(choice.arrangements) & set(vehicle.arrangements) or set(choice.arrangements) & shown
        found |= own if len(own) == 1 else set()
    return frozenset(found)


def standing_on(catalogue: Catalogue, places: Places, vehicle: Vehicle) -> Standing:
    """What a vehicle has in each place. A place that may be empty is empty where nothing is recorded of it; where the
    row that says so was set aside, something not recorded stands there."""
    recorded = fitted(vehicle, places)
    own = arrangements_of(vehicle, places)
    ways = [way for way in places.layout.ways() if own <= way]
    needed = [_needed(catalogue, places, recorded, way) for way in ways]
    positions = places.positions
    unclear = {p for p in unread(vehicle, places) if any(stands_in(positions[p.position], way) for way in ways)}
    there = {p for p in places.all if p not in recorded and (p in unclear or any(p in n for n in needed))}
    blank = {p: _unrecorded(vehicle, p) for p in places.all if p in there}
    always = {p: f for p, f in blank.items() if p in unclear or all(p in n for n in needed)}
    every = {**recorded, **always}
    return Standing(
        {p: every[p] for p in places.all if p in every}, {p: f for p, f in blank.items() if p not in always}
    )


def _unrecorded(vehicle: Vehicle, place: Place) -> Fitting:
    """A fitting that says nothing, or no more than the condition of what is there."""
    rows = {f.side: f for f in vehicle.fittings if f.position == place.position}
    row = rows.get(place.side) or rows.get("")
    return Fitting(place.position, place.side, condition=row.condition if row is not None else "unknown")


def _needed(
    catalogue: Catalogue, places: Places, recorded: Mapping[Place, Fitting], way: Collection[str]
) -> set[Place]:
    """The places that must be filled with what is there, where these arrangements hold."""
    open_ones = [p for p in places.all if stands_in(places.positions[p.position], way)]
    needed = {p for p in open_ones if not partners_of(places, p) and places.positions[p.position].need != "optional"}
    more = [p for p in open_ones if partners_of(places, p)]
    while True:  # what is needed with something may itself be what another thing is needed with
        there = needed | {p for p in open_ones if p in recorded}
        called = {p for p in more if p not in needed and _is_called_for(catalogue, places, recorded, there, p)}
        if not called:
            return needed
        needed |= called


def partners_of(places: Places, place: Place) -> tuple[Place, ...]:
    """The places with which this one is needed; none where it does not depend on another."""
    position = places.positions[place.position]
    return places.seen_from(position.with_position, place.side) if position.need == "with" else ()


def _is_called_for(
    catalogue: Catalogue, places: Places, recorded: Mapping[Place, Fitting], there: set[Place], place: Place
) -> bool:
    """Whether what stands in a partner's place calls for this one; something not recorded is not known to lack it."""
    feature = places.positions[place.position].lacking_feature
    partners = [p for p in partners_of(places, place) if p in there]
    if not feature:
        return bool(partners)
    return any(lacks(catalogue, thing_in(catalogue, p, recorded[p]), feature) for p in partners if p in recorded)


def thing_in(catalogue: Catalogue, place: Place, fitting: Fitting) -> str:
    """The key of the features of what a fitting says is there: an item, a member of a set, or a part."""
    if fitting.item:
        return fitting.item
    member = member_at(catalogue.set_members, fitting.part, fitting.member, place.position, place.side)
    return member_thing(member) if member else fitting.part


def lacks(catalogue: Catalogue, thing: str, feature: str) -> bool:
    """Whether a thing is known to lack a feature."""
    return presence_of(catalogue.features_of(thing).get(feature)) == "absent"
