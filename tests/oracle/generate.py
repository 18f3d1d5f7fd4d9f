"""Random small worlds, with everything in them that has ever made two readings differ.

Parts come in two families, so that a swap drags others along: sizes of one family mostly agree.
Choices are made by a `Chooser`, so that the same code serves hypothesis (which shrinks) and a plain
seed (which is fast).  A choice of 0 is always the plainest one.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from hypothesis import strategies as st

from tests.oracle.layouts import (
    BENCH,
    DIMENSIONS,
    FORMS,
    HOLE,
    PEG,
    SOURCES,
    TWINS,
    Drawn,
    LayoutMaker,
    Seeded,
)
from tests.oracle.motion import Property, Request
from tests.oracle.world import (
    HANDS,
    Cell,
    Claim,
    Dimension,
    Fitting,
    Item,
    Mark,
    Member,
    Note,
    Offer,
    Part,
    PartSet,
    Position,
    Row,
    Size,
    Vehicle,
    Window,
    World,
)


class Case(NamedTuple):
    """A world and what is asked of one of its vehicles."""

    world: World
    vehicle: Vehicle
    request: Request


@dataclass
class Maker(LayoutMaker):
    """Makes one case; what is made so far is in its fields."""

    parts: list[Part] = field(default_factory=list)
    family: dict[str, int] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)
    sets: list[PartSet] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    vehicles: list[Vehicle] = field(default_factory=list)
    claims: list[Claim] = field(default_factory=list)

    # --------------------------------------------------------------------------------------- parts

    def catalogue(self) -> None:
        """Parts of each type with their features, and sets."""
        for position in self.positions:
            for number in range(1, 2 + self.choose.below(3)):
                self.part(position, number)
        if self.chance(45):
            self.part_set()

    def part(self, position: Position, number: int) -> None:
        """A part for both hands, or a pair of mirrored ones."""
        name, family = f"{position.name.upper()}-{number}", (number + 1) % 2
        one_use = self.chance(30)
        if position.level == "corner" and self.chance(20):
            left, right = f"{name}L", f"{name}R"
            self.parts.append(Part(left, position.part_type, "left", one_use, right))
            self.parts.append(Part(right, position.part_type, "right", one_use, left, left))
            self.family[left] = self.family[right] = family
            self.features(left, position, family)
        else:
            self.parts.append(Part(name, position.part_type, "either", one_use, accepted=not self.chance(4)))
            self.family[name] = family
            self.features(name, position, family)

    def features_of(self, position: Position) -> list[tuple[str, str]]:
        """Feature and kind of every place where the position's parts meet others."""
        found = []
        for joint in self.joints:
            if joint.position == position.name:
                found.append((joint.feature, PEG.name))
            if joint.other_position == position.name:
                found.append((joint.other_feature, HOLE.name))
        return found

    def features(self, owner: str, position: Position, family: int) -> None:
        """What sources say of the owner's features."""
        for feature, kind in self.features_of(position):
            if self.chance(6):
                continue
            source = self.pick_source()
            self.statement(owner, feature, kind, family, source)
            if self.chance(20):
                second = TWINS.get(source, source) if self.chance(60) else self.pick_source()
                other = 1 - family if self.chance(25) else family
                self.statement(owner, feature, kind, other, second)
        if any(p.lacking_feature and p.with_position == position.name for p in self.positions):
            said = self.choose.below(4)
            if said < 2:
                cell: Cell = Mark.ABSENT if said else Size(20, 20)
                self.add_row(owner, "valve", PEG.name, {"teeth": cell}, SOURCES[0].name)

    def pick_source(self) -> str:
        """Mostly the drawing."""
        return SOURCES[0].name if self.chance(60) else self.pick(SOURCES).name

    def statement(self, owner: str, feature: str, kind: str, family: int, source: str) -> None:
        """One row of a feature table."""
        if self.chance(4):
            return self.add_row(owner, feature, kind, {"width": Mark.ABSENT}, source)
        cells: dict[str, Cell] = {}
        for dimension in DIMENSIONS:
            cell = self.cell(dimension, family)
            if cell is not None:
                cells[dimension.name] = cell
        if cells:
            self.add_row(owner, feature, kind, cells, source)
        return None

    def add_row(self, owner: str, feature: str, kind: str, cells: dict[str, Cell], source: str) -> None:
        """Record it, unless the same source has spoken of the feature already."""
        if not any((r.owner, r.feature, r.source) == (owner, feature, source) for r in self.rows):
            self.rows.append(Row(owner, feature, kind, tuple(cells.items()), source))

    def cell(self, dimension: Dimension, family: int) -> Cell | None:
        """A size near the family's, or nothing, or a question mark."""
        luck = self.choose.below(100)
        if luck >= 93:
            return None
        if luck >= 90:
            return Mark.UNSURE
        if self.chance(12):
            family = 1 - family
        if dimension.datatype == "code":
            return FORMS[family]
        if dimension.datatype == "count":
            return Size(20 + family, 20 + family)
        value = 10 + 2 * family + self.choose.below(4) // 3
        if self.chance(45):
            return Size(value, value + 1)
        return Size(value, value, nominal=True)

    def part_set(self) -> None:
        """A set for a corner, or for both hands of an axle."""
        corner = [p for p in self.positions if p.level == "corner"]
        first = self.pick(corner)
        chosen = [p for p in corner if p is first or (p.arrangement == first.arrangement and self.chance(50))]
        sides = HANDS if self.chance(35) else ("",)
        family = 1 - self.choose.below(4) // 3
        number = "SET-1"
        members = []
        for position in chosen:
            like = [
                part.number
                for part in self.parts
                if part.part_type == position.part_type and self.family[part.number] == family
            ]
            as_part = self.pick(like) if like and self.chance(60) else ""
            members += [Member(position.name, side, as_part) for side in sides]
            if not as_part:
                self.features(f"{number}/{position.name}", position, family)
        states = tuple(stack.name for stack in self.stacks if self.chance(50))
        self.sets.append(PartSet(number, tuple(members), states))

    # ------------------------------------------------------------------------------------ vehicles

    def all_vehicles(self) -> None:
        """A model as made of each family, and one vehicle as found."""
        for name, family in (("model a", 0), ("model b", 1)):
            arrangement = self.arrangements[family % len(self.arrangements)]
            self.vehicles.append(Vehicle(name, arrangement, tuple(self.as_made(arrangement, family)), as_made=True))
        made = self.vehicles[0]
        fitted = self.with_a_set(made.fittings) if self.sets and self.chance(20) else made.fittings
        found = tuple(fitting for one in fitted for fitting in self.as_found(one))
        like = made.name if self.chance(30) else ""
        self.vehicles.append(Vehicle("found", made.arrangement, found, made_as=made.name, like=like))

    def as_made(self, arrangement: str, family: int) -> list[Fitting]:
        """Parts of one family in every position of the arrangement."""
        fitted: list[Fitting] = []
        for position in self.positions:
            if position.arrangement not in ("", arrangement):
                continue
            if position.need != "needed" and self.chance(35):
                continue
            options = [p for p in self.parts if p.part_type == position.part_type]
            options = [p for p in options if self.family[p.number] == family] or options
            part = self.pick(options)
            if part.hand == "either":
                fitted.append(Fitting(position.name, "", part.number))
            else:
                fitted += [Fitting(position.name, hand, f"{part.number[:-1]}{hand[0].upper()}") for hand in HANDS]
        return fitted

    def with_a_set(self, fittings: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
        """The fittings with the members of a set in all of its positions."""
        one = self.sets[0]
        positions = {member.position for member in one.members}
        if not positions <= {fitting.position for fitting in fittings}:
            return fittings
        others = tuple(fitting for fitting in fittings if fitting.position not in positions)
        return (*others, *(Fitting(position, "", one.number) for position in sorted(positions)))

    def as_found(self, made: Fitting) -> list[Fitting]:
        """What a survey finds there: due, measured, or another part on one hand."""
        condition = self.pick(("sound",) * 6 + ("due", "unknown"))
        position = next(p for p in self.positions if p.name == made.position)
        others = [p.number for p in self.parts if p.part_type == position.part_type and p.hand == "either"]
        if others and self.chance(8) and not made.side and position.level == "corner":
            return [
                Fitting(made.position, "left", made.part, condition=condition),
                Fitting(made.position, "right", self.pick(others), condition=condition),
            ]
        if self.chance(25) and made.part in self.family:
            return self.measured(made, position, condition)
        if made.side:
            return [Fitting(made.position, made.side, made.part, condition=condition)]
        return [Fitting(made.position, "", made.part, condition=condition)]

    def measured(self, made: Fitting, position: Position, condition: str) -> list[Fitting]:
        """The same part as a particular item with readings, on each hand."""
        sides: tuple[str, ...] = (made.side,)
        if not made.side and position.level == "corner":
            sides = HANDS
        found = []
        for side in sides:
            name = f"ours {position.name} {side}".strip()
            self.items.append(Item(name, "" if self.chance(6) else made.part))
            for feature, kind in self.features_of(position):
                if self.chance(70):
                    family = self.family[made.part]
                    self.statement(name, feature, kind, family, self.reader())
                    if self.chance(10):
                        self.statement(name, feature, kind, family, BENCH[1].name)
            found.append(Fitting(made.position, side, self.items[-1].part, name, condition))
            if self.chance(12):
                self.after_work(self.items[-1], position, self.family[made.part])
        return found

    def reader(self) -> str:
        """Who speaks of a particular thing: mostly who read it, now and then one who was only told."""
        return self.pick(SOURCES).name if self.chance(25) else BENCH[0].name

    def after_work(self, item: Item, position: Position, family: int) -> None:
        """What the item is once something is done to it."""
        worked = Item(f"{item.name} worked", item.part, item.name)
        for feature, kind in self.features_of(position):
            if self.chance(70):
                self.statement(worked.name, feature, kind, 1 - family if self.chance(50) else family, self.reader())
        self.items.append(worked)

    # ------------------------------------------------------------------------ claims and requests

    def all_claims(self) -> None:
        """Some parts go with others, are listed for a model, or are the same as others."""
        for _ in range(self.choose.below(6)):
            part, claim = self.pick(self.parts), self.pick(("goes with", "listed for", "same as"))
            likes = [p.number for p in self.parts if p.part_type == part.part_type]
            about = {
                "goes with": [p.number for p in self.parts],
                "listed for": ["model a", "model b"],
                "same as": likes,
            }[claim]
            self.claim(Claim(part.number, claim, self.pick(about)))
            if claim != "same as" and self.chance(40):
                self.namesake(part.number, likes)

    def claim(self, made: Claim) -> None:
        """A claim, unless it is made already, or says that a part is itself."""
        if made.about != made.part and made not in self.claims:
            self.claims.append(made)

    def namesake(self, number: str, likes: list[str]) -> None:
        """Another part that is said to be this one, either of them named first; now and then by way of a third."""
        way = [number, self.pick(likes), *([self.pick(likes)] if self.chance(30) else [])]
        for one, other in pairwise(way):
            self.claim(Claim(*((one, "same as", other) if self.chance(50) else (other, "same as", one))))

    def notes(self) -> tuple[Note, ...]:
        """Now and then two parts that somebody made to fit."""
        if not self.chance(20):
            return ()
        joint = self.pick(self.joints)
        types = {p.part_type for p in self.positions if p.name in (joint.position, joint.other_position)}
        named = tuple(p.number for p in self.parts if p.part_type in types and self.chance(70))
        return (Note("N1", joint.name, named),) if named else ()

    def offers(self) -> list[Offer]:
        """Most parts are offered, some twice, some by nobody."""
        numbers = [part.number for part in self.parts] + [one.number for one in self.sets]
        return [
            Offer(supplier, number, 1 + self.choose.below(9))
            for number in numbers
            for supplier in ("north", "south")
            if self.chance(60)
        ]

    def request(self) -> Request:
        """A part, a size, a renewal, a part to avoid, a position to keep."""
        wants: list[tuple[str, str]] = []
        properties: list[Property] = []
        if self.sets and self.chance(15):
            wants.append((self.sets[0].members[0].position, self.sets[0].number))
        elif self.chance(80):
            part = self.pick(self.parts)
            position = next(p for p in self.positions if p.part_type == part.part_type)
            wants.append((position.name, part.number))
        else:
            joint = self.pick(self.joints)
            low = 10 + self.choose.below(3)
            properties.append(Property(joint.position, "width", Window(low, None)))
        if self.chance(15):
            part = self.pick(self.parts)
            position = next(p for p in self.positions if p.part_type == part.part_type)
            if position.name not in {name for name, _ in wants}:
                wants.append((position.name, part.number))
        asked = {name for name, _ in wants} | {one.position for one in properties}
        fitted = {fitting.part for fitting in self.vehicles[-1].fittings}
        rest = [p.name for p in self.positions if p.name not in asked]
        there = [n for n in rest if any(f.position == n for f in self.vehicles[-1].fittings)]
        keep = (self.pick(there),) if there and self.chance(10) else ()
        renew = tuple(n for n in there if n not in keep and self.chance(6))
        unwanted = [p.number for p in self.parts if p.number not in fitted and p.number not in
                    {number for _, number in wants}]  # fmt: skip
        avoid: tuple[str, ...] = (self.pick(unwanted),) if unwanted and self.chance(10) else ()
        avoid += (self.pick(("north", "south")),) if self.chance(5) else ()
        prefer: tuple[str, ...] = (self.pick(("unproven", "unoffered", "price")),) if self.chance(15) else ()
        prefer += ("price",) if prefer and "price" not in prefer and self.chance(30) else ()
        only = self.pick(self.arrangements) if self.chance(6) else ""
        return Request(tuple(wants), tuple(properties), keep, avoid, renew, prefer, only)

    def case(self) -> Case:
        """All of it."""
        self.layout()
        self.catalogue()
        self.all_vehicles()
        self.all_claims()
        world = World(
            kinds=(PEG, HOLE),
            rules=tuple(self.rules),
            sources=(*SOURCES, *BENCH),
            parts=tuple(self.parts),
            sets=tuple(self.sets),
            claims=tuple(self.claims),
            rows=tuple(self.rows),
            arrangements=self.arrangements,
            positions=tuple(self.positions),
            joints=tuple(self.joints),
            stacks=tuple(self.stacks),
            items=tuple(self.items),
            vehicles=tuple(self.vehicles),
            offers=tuple(self.offers()),
            notes=self.notes(),
        )
        return Case(world, self.vehicles[-1], self.request())


def case_from_seed(seed: int) -> Case:
    """The case of one seed, always the same."""
    return Maker(Seeded(seed)).case()


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Cases for hypothesis."""
    return Maker(Drawn(draw)).case()
