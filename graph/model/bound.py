"""Readings "on the item" bound to their thing: what stands in one place of one vehicle, and nothing else of its number.

A thing without a name gets one when it is first read: an item that says in which place it was read. It is what stands
there as long as the number there is its own. A reading that names no such thing, and may have been made on several,
counts as ``worn`` knowledge of the number: measured on some thing of it, nobody knows which.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

import msgspec
from msgspec.structs import replace

from knockon.graph.model.drawings import member_at, member_thing, members_by_name, merged
from knockon.graph.model.layouts.layout import Place, Places, fitted
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import (
    STANDINGS,
    Feature,
    Fitting,
    Item,
    Note,
    Said,
    SetMember,
    Statement,
    Unbound,
    Vehicle,
)

ON_THE_ITEM = STANDINGS.index("on the item") + 1
WORN = STANDINGS.index("worn") + 1


class Things(msgspec.Struct, frozen=True):
    """The part of a catalogue that says which thing is where, and what is recorded of it."""

    layouts: Mapping[str, Layout]
    vehicles: Mapping[str, Vehicle]
    items: Mapping[str, Item]
    set_members: Mapping[str, tuple[SetMember, ...]]
    features: Mapping[str, Mapping[str, Feature]]


class InPlace(msgspec.Struct, frozen=True):
    """A thing in a place of a vehicle: the number that it is known by (blank: none is), and its own name if it has
    one."""

    vehicle: str
    place: Place
    number: str = ""
    item: str = ""
    member: str = ""
    condition: str = "unknown"

    def __str__(self) -> str:
        return f"{self.vehicle}, {self.place}"

    @property
    def thing(self) -> str:
        """The key of its features."""
        return self.item or self.member or self.number


def in_places(things: Things, vehicle: Vehicle) -> tuple[InPlace, ...]:
    """What stands in the places of a vehicle, in the layout's order; places of which nothing is recorded left out."""
    layout = things.layouts.get(vehicle.layout)
    if layout is None:
        return ()
    now = fitted(vehicle, Places(layout))
    return tuple(_in_place(things, vehicle.vehicle, place, fitting) for place, fitting in now.items())


def _in_place(things: Things, vehicle: str, place: Place, fitting: Fitting) -> InPlace:
    item = things.items.get(fitting.item)
    number = fitting.part or (item.part if item else "")
    named = fitting.member or (item.member if item else "")
    member = member_at(things.set_members, number, named, place.position, place.side)
    thing = member_thing(member) if member else ""
    return InPlace(vehicle, place, number, fitting.item, thing, fitting.condition)


def named_in_place(things: Things, at: InPlace) -> Item:
    """The item for a thing that is read where it stands: its own, or one named after the vehicle and the place."""
    if at.item in things.items:
        return things.items[at.item]
    place = at.place
    base = " ".join(x for x in (at.vehicle, place, at.number) if x).replace("/", " ")
    name, count = base, 1
    while name in things.items and not _is_named_for(things.items[name], at):
        count += 1
        name = f"{base} {count}"
    title = f"{place} of {at.vehicle}"
    return Item(name, at.number, title, vehicle=at.vehicle, position=place.position, side=place.side, member=at.member)


def _is_named_for(item: Item, at: InPlace) -> bool:
    return (item.vehicle, item.position, item.side, item.part) == (
        at.vehicle, at.place.position, at.place.side, at.number,
    )  # fmt: skip


def bind(things: Things, notes: Iterable[Note]) -> tuple[Things, tuple[Unbound, ...]]:
    """The things with each item in the place that it was read in and each reading on its item; and what is unclear."""
    things, unplaced = _in_their_places(things)
    things, unclear = _readings_bound(things, notes)
    return things, tuple(sorted({*unplaced, *unclear}, key=repr))


def _in_their_places(things: Things) -> tuple[Things, list[Unbound]]:
    vehicles, items = dict(things.vehicles), dict(things.items)
    unplaced = []
    for item in sorted((i for i in items.values() if i.vehicle), key=lambda i: (not i.part, i.item)):
        vehicle = vehicles.get(item.vehicle)
        layout = things.layouts.get(vehicle.layout) if vehicle else None
        if vehicle is None or layout is None:
            continue
        places, place = Places(layout), Place(item.position, item.side)
        problem = (
            ""
            if place in places.all
            else "does not name one place of the vehicle. Give the position, and the side if there are two"
        )
        rows = {(f.position, f.side): f for f in vehicle.fittings}
        there = fitted(vehicle, places).get(place) or Fitting(place.position, place.side)
        other = items.get(there.item)
        number = there.part or (other.part if other else "")
        if not problem and (there.item not in ("", item.item) or item.part not in ("", number)):
            now = f"the thing {there.item!r}" if there.item else number or "nothing recorded"
            problem = f"the place now holds {now}, so what was read there is not used for it"
        if problem:
            unplaced.append(Unbound(item.source, item.item, "", problem, (f"{item.vehicle}, {place}",)))
            continue
        rows[(place.position, place.side)] = replace(there, position=place.position, side=place.side, item=item.item)
        vehicles[vehicle.vehicle] = replace(vehicle, fittings=tuple(f for _, f in sorted(rows.items())))
        items[item.item] = replace(item, part=number, member=item.member or there.member)
    return replace(things, vehicles=vehicles, items=items), unplaced


def _readings_bound(things: Things, notes: Iterable[Note]) -> tuple[Things, list[Unbound]]:
    on_item = [
        (thing, name, source)
        for thing, features in things.features.items()
        for name, feature in features.items()
        for source in sorted(_sources_on_item(feature))
    ]
    if not on_item:
        return things, []
    binder = _Binder(things, notes)
    for thing, name, source in on_item:
        if thing in things.items:
            binder.stay(thing, name, source)
        else:
            binder.move(thing, name, source)
    return replace(binder.things, features=binder.features), binder.unclear


def with_readings(features: Mapping[str, Mapping[str, Feature]]) -> frozenset[str]:
    """The things of which something is read on the item."""
    read = {
        id(f) for f in {id(f): f for own in features.values() for f in own.values()}.values() if _sources_on_item(f)
    }
    return (
        frozenset(thing for thing, own in features.items() if any(id(f) in read for f in own.values()))
        if read
        else (frozenset())
    )


def _sources_on_item(feature: Feature) -> set[str]:
    sizes = {s.source for said in feature.dimensions.values() for s in said if s.rank == ON_THE_ITEM}
    return sizes | {s.source for s in (*feature.absent, *feature.there) if s.rank == ON_THE_ITEM}


class _Binder:
    """Binds readings to what stands where on the vehicles as found, which is given a name as it is read."""

    def __init__(self, things: Things, notes: Iterable[Note]) -> None:
        self.things = things
        self.features = {thing: dict(own) for thing, own in things.features.items()}
        self.unclear: list[Unbound] = []
        self._read_on: dict[str, set[str]] = defaultdict(set)
        for note in notes:
            self._read_on[note.source].add(note.vehicle)
        self._members = members_by_name(things.set_members)
        self._refresh()

    def _refresh(self) -> None:
        found = (v for v in self.things.vehicles.values() if not v.as_made)
        self._all = [at for vehicle in found for at in in_places(self.things, vehicle)]

    def stay(self, item: str, name: str, source: str) -> None:
        """Leave a reading on the item that it names, unless that stands in several places."""
        places = self._of(item, name)
        if len(places) > 1:
            problem = "is recorded in several places, and the reading does not say in which"
            self._count_as_worn(Unbound(source, item, name, problem, tuple(map(str, places))))

    def move(self, thing: str, name: str, source: str) -> None:
        """Bind a reading that names a number to the one thing of it on the vehicle of its note, if there is one."""
        places = self._of(thing, name)
        here = [at for at in places if at.vehicle in self._read_on.get(source, ())]
        if len(here) != 1:
            problem = "is a part number, and the reading does not say on which thing it was taken"
            self._count_as_worn(Unbound(source, thing, name, problem, tuple(map(str, here or places))))
            return
        item, own = self._named(here[0]), self.features[thing]
        read = _of_source(own[name], source, True)
        self.features[item] = merged(self.features.get(item, {}), {name: read})
        own[name] = _of_source(own[name], source, False)
        if not (own[name].dimensions or own[name].absent or own[name].there):
            del own[name]

    def _count_as_worn(self, unbound: Unbound) -> None:
        own = self.features[unbound.thing]
        own[unbound.feature] = _as_worn(own[unbound.feature], unbound.source)
        self.unclear.append(unbound)

    def _of(self, thing: str, feature: str) -> list[InPlace]:
        """The places in which things of a number, a set's member or an item stand; where some of them call for the
        feature, those."""
        found = [at for at in self._all if self._is(at, thing)]
        calling = [at for at in found if feature in self._features_at(at)]
        return calling or found

    def _is(self, at: InPlace, thing: str) -> bool:
        if thing in self.things.items:
            return at.item == thing
        if thing in self._members:
            return at.member in map(member_thing, self._members[thing])
        return at.number == thing

    def _features_at(self, at: InPlace) -> set[str]:
        layout = self.things.layouts[self.things.vehicles[at.vehicle].layout]
        return Places(layout).features_at(at.place.position)

    def _named(self, at: InPlace) -> str:
        """The name of the thing there, given now if it has none."""
        item = named_in_place(self.things, at)
        if item.item in self.things.items:
            return item.item
        items = {**self.things.items, item.item: item}
        self.things = replace(self.things, items={n: items[n] for n in sorted(items)})
        self.things, _ = _in_their_places(self.things)
        self._refresh()
        return item.item


def _of_source(feature: Feature, source: str, wanted: bool) -> Feature:
    """What one source says of a feature, or what all others say."""

    def keep(said: Statement | Said) -> bool:
        return (said.source == source) is wanted

    dimensions = {d: tuple(s for s in v if keep(s)) for d, v in feature.dimensions.items()}
    absent, there = (tuple(s for s in said if keep(s)) for said in (feature.absent, feature.there))
    return Feature(feature.name, feature.kind, {d: v for d, v in dimensions.items() if v}, absent, there)


def _as_worn(feature: Feature, source: str) -> Feature:
    """A feature with what a source read on some thing as knowledge of the number."""
    worn = (source, ON_THE_ITEM)
    dimensions = {
        d: tuple(replace(s, rank=WORN) if (s.source, s.rank) == worn else s for s in v)
        for d, v in feature.dimensions.items()
    }
    absent = tuple(s._replace(rank=WORN) if (s.source, s.rank) == worn else s for s in feature.absent)
    there = tuple(s._replace(rank=WORN) if (s.source, s.rank) == worn else s for s in feature.there)
    return replace(feature, dimensions=dimensions, absent=absent, there=there)
