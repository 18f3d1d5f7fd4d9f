"""Gives a world names of its own, so that several worlds can stand in one records folder."""

from __future__ import annotations

from dataclasses import replace

from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.world import HANDS, Item, Stack, Vehicle, World


def named_apart(case: Case, prefix: str) -> Case:
    """The same case with `prefix` before the names of everything but sources, kinds and checks."""
    renaming = _Renaming(prefix)
    world = renaming.layout(renaming.catalogue(case.world))
    vehicle = world.vehicle[renaming.name(case.vehicle.name)]
    return Case(world, vehicle, renaming.request(case.request))


class _Renaming:
    def __init__(self, prefix: str) -> None:
        self.prefix = prefix

    def name(self, old: str) -> str:
        """The new name; no name stays none."""
        return f"{self.prefix}-{old}" if old else ""

    def names(self, old: tuple[str, ...]) -> tuple[str, ...]:
        """The new names."""
        return tuple(map(self.name, old))

    def owner(self, old: str) -> str:
        """The new name of the owner of a row: a part, an item or SET/position."""
        return "/".join(map(self.name, old.split("/")))

    def catalogue(self, world: World) -> World:
        """Parts, sets, items, claims, rows and offers."""
        name = self.name
        return replace(
            world,
            parts=tuple(
                replace(
                    part,
                    number=name(part.number),
                    part_type=name(part.part_type),
                    mirror_of=name(part.mirror_of),
                    drawn_as=name(part.drawn_as),
                )
                for part in world.parts
            ),
            sets=tuple(
                replace(
                    one,
                    number=name(one.number),
                    members=tuple(replace(m, position=name(m.position), as_part=name(m.as_part)) for m in one.members),
                )
                for one in world.sets
            ),
            items=tuple(map(self.item, world.items)),
            claims=tuple(replace(c, part=name(c.part), about=name(c.about)) for c in world.claims),
            rows=tuple(replace(row, owner=self.owner(row.owner)) for row in world.rows),
            offers=tuple(replace(offer, part=name(offer.part)) for offer in world.offers),
            notes=tuple(replace(n, name=name(n.name), parts=self.names(n.parts)) for n in world.notes),
        )

    def item(self, one: Item) -> Item:
        """Its name, and what it names."""
        read_at = one.read_at
        if read_at is not None:
            read_at = (self.name(read_at[0]), self.name(read_at[1]), read_at[2])
        part = self.member(one.part)
        return replace(one, name=self.name(one.name), part=part, work_on=self.name(one.work_on), read_at=read_at)

    def member(self, old: str) -> str:
        """The new name of a part, or of a set's member: SET/position, perhaps with a side."""
        return "/".join(one if one in HANDS else self.name(one) for one in old.split("/"))

    def layout(self, world: World) -> World:
        """Layout, rules, positions, and where checks and vehicles name them."""
        name = self.name
        return replace(
            world,
            layout=name(world.layout),
            rules=tuple(replace(rule, name=name(rule.name)) for rule in world.rules),
            positions=tuple(
                replace(
                    p,
                    name=name(p.name),
                    part_type=name(p.part_type),
                    with_position=name(p.with_position),
                    carried_by=name(p.carried_by),
                )
                for p in world.positions
            ),
            joints=tuple(
                replace(
                    j,
                    position=name(j.position),
                    other_position=name(j.other_position),
                    rule=name(j.rule),
                    owns=self.names(j.owns),
                )
                for j in world.joints
            ),
            stacks=tuple(map(self.stack, world.stacks)),
            in_the_way=tuple(
                replace(w, position=name(w.position), in_the_way_of=name(w.in_the_way_of)) for w in world.in_the_way
            ),
            vehicles=tuple(map(self.vehicle, world.vehicles)),
        )

    def stack(self, one: Stack) -> Stack:
        """Its terms name positions."""
        terms = tuple(replace(term, position=self.name(term.position)) for term in one.terms)
        return replace(one, terms=terms)

    def vehicle(self, one: Vehicle) -> Vehicle:
        """Its name, and what its fittings name."""
        name = self.name
        fittings = tuple(
            replace(f, position=name(f.position), part=name(f.part), item=name(f.item)) for f in one.fittings
        )
        return replace(one, name=name(one.name), made_as=name(one.made_as), like=name(one.like), fittings=fittings)

    def request(self, old: Request) -> Request:
        """The positions and parts that it names."""
        suppliers = ("north", "south")
        return Request(
            wants=tuple((self.name(position), self.name(part)) for position, part in old.wants),
            properties=tuple(p._replace(position=self.name(p.position)) for p in old.properties),
            keep=self.names(old.keep),
            avoid=tuple(one if one in suppliers else self.name(one) for one in old.avoid),
            renew=self.names(old.renew),
            prefer=old.prefer,
            arrangements=old.arrangements,
        )
