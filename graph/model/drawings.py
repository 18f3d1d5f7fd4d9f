"""Which features a thing has: its own, and those of the drawing, the number or the set's member that it shares."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from msgspec.structs import replace

from knockon.graph.model.things import Feature, Item, Part, SetMember, Vehicle

Features = Mapping[str, Feature]
SetMembers = Mapping[str, tuple[SetMember, ...]]


def member_thing(member: SetMember) -> str:
    """A set's member as its features name it: ``SET/position``, with its side where it has one."""
    return both_sides_of(member) + (f"/{member.side}" if member.side else "")


def both_sides_of(member: SetMember) -> str:
    """The name by which all members that the set has for this one's position are known: ``SET/position``."""
    return f"{member.set}/{member.position}"


def members_by_name(set_members: SetMembers) -> dict[str, tuple[SetMember, ...]]:
    """The members that a name means: one with its side, or all of a position without."""
    found: dict[str, tuple[SetMember, ...]] = {}
    for member in (m for members in set_members.values() for m in members):
        for name in dict.fromkeys((member_thing(member), both_sides_of(member))):
            found[name] = (*found.get(name, ()), member)
    return found


def member_at(set_members: SetMembers, number: str, named: str, position: str, side: str) -> SetMember | None:
    """The set's member that stands in a place: the one that is named, else the one that the set has for that place."""
    members = set_members.get(number, ())
    if named:
        members = tuple(m for m in members if named in (member_thing(m), both_sides_of(m)))
    here = (m for m in members if (named or m.position == position) and (m.side in ("", side) or len(members) == 1))
    return next(here, None)


def number_of(thing: str, items: Mapping[str, Item], members: Mapping[str, tuple[SetMember, ...]]) -> str:
    """The number by which a thing of the records is known: of an item its part's, of a set's member the set's."""
    item = items.get(thing)
    if item is not None:
        return item.part or thing
    known = members.get(thing)
    return known[0].set if known else thing


class Drawn:
    """Finds the features of every thing; ``own`` are those that are recorded of the thing itself."""

    def __init__(
        self,
        own: Mapping[str, Features],
        parts: Mapping[str, Part],
        items: Mapping[str, Item],
        set_members: SetMembers,
        vehicles: Mapping[str, Vehicle],
    ) -> None:
        self.own, self.parts, self.items, self.set_members = own, parts, items, set_members
        self._found: dict[str, dict[str, Feature]] = {}
        self._members = members_by_name(set_members)
        self._places: dict[str, dict[tuple[str, str], None]] = defaultdict(dict)
        for vehicle in vehicles.values():
            for fitting in vehicle.fittings:
                self._places[fitting.item][(fitting.position, fitting.side)] = None

    def all(self) -> dict[str, dict[str, Feature]]:
        """The features of each part, set's member and item with those of the drawing (or number) that it shares, its
        own beside them."""
        things = sorted({*self.parts, *self.items, *self.own, *self._members})
        return {thing: self._of(thing, ()) for thing in things}

    def _of(self, thing: str, seen: tuple[str, ...]) -> dict[str, Feature]:
        if thing in seen:
            return {}
        if thing not in self._found:
            self._found[thing] = self._made(thing, (*seen, thing))
        return self._found[thing]

    def _made(self, thing: str, seen: tuple[str, ...]) -> dict[str, Feature]:
        own = dict(self.own.get(thing, {}))
        item = self.items.get(thing)
        if item is not None and item.after_work_on:
            base = self._of(item.after_work_on, seen)
            return merged(own, {n: _of_number_only(f) if n in own else f for n, f in base.items()})
        if item is not None:
            theirs = self._of(self.base_of(item), seen)
            return merged(own, {n: _as_of_number(f) for n, f in theirs.items()})
        if thing in self.parts:
            drawing = self.parts[thing].drawn_as
            return merged(own, self._of(drawing, seen)) if drawing else own
        return merged(own, self._of_member(thing, seen))

    def _of_member(self, thing: str, seen: tuple[str, ...]) -> dict[str, Feature]:
        """What a set's member shares: with the other hand what is said of both, and its drawing."""
        meant = self._members.get(thing, ())
        drawings = {m.as_part for m in meant} - {thing}
        drawn = self._of(drawings.pop(), seen) if len(drawings) == 1 and "" not in drawings else {}
        both = both_sides_of(meant[0]) if meant else thing
        return merged(self.own.get(both, {}), drawn) if both != thing else drawn

    def bases(self, thing: str) -> tuple[str, ...]:
        """The things from which this one's features are taken over, directly."""
        item = self.items.get(thing)
        if item is not None:
            return (item.after_work_on or self.base_of(item),)
        if thing in self.parts:
            return tuple(filter(None, (self.parts[thing].drawn_as,)))
        meant = self._members.get(thing, ())
        both = {both_sides_of(m) for m in meant} - {thing}
        return tuple(sorted(({m.as_part for m in meant} | both) - {"", thing}))

    def base_of(self, item: Item) -> str:
        """The number, or the set's member, whose sizes an item shares: of a set the member of its place."""
        places = [*self._places.get(item.item, ()), *([(item.position, item.side)] if item.position else [])]
        found = {
            member_thing(member)
            for position, side in places or [("", "")]
            if (member := member_at(self.set_members, item.part, item.member, position, side)) is not None
        }
        return found.pop() if len(found) == 1 else item.member or item.part


def _as_of_number(feature: Feature) -> Feature:
    """What is known of a number, as it is known of one thing of that number."""
    dimensions = {d: tuple(replace(s, of_number=True) for s in v) for d, v in feature.dimensions.items()}
    absent, there = (tuple(s._replace(of_number=True) for s in said) for said in (feature.absent, feature.there))
    return replace(feature, dimensions=dimensions, absent=absent, there=there)


def _of_number_only(feature: Feature) -> Feature:
    """What is known of a thing without what was said of the thing itself."""
    kept = {d: tuple(s for s in v if s.of_number) for d, v in feature.dimensions.items()}
    absent, there = (tuple(s for s in said if s.of_number) for said in (feature.absent, feature.there))
    return Feature(feature.name, feature.kind, {d: v for d, v in kept.items() if v}, absent, there)


def merged(first: Features, second: Features) -> dict[str, Feature]:
    """The features of both; of one that both have all statements."""
    found = dict(second)
    for name, feature in first.items():
        other = second.get(name)
        if other is not None:
            dimensions = {
                d: feature.dimensions.get(d, ()) + other.dimensions.get(d, ())
                for d in sorted({*feature.dimensions, *other.dimensions})
            }
            absent, there = feature.absent + other.absent, feature.there + other.there
            feature = Feature(name, feature.kind, dimensions, absent, there)
        found[name] = feature
    return {n: found[n] for n in sorted(found)}
