"""Random small worlds, with everything in them that has ever made two readings differ.

Parts come in two families, so that a swap drags others along: sizes of one family mostly agree.
Choices are made by a `Chooser`, so that the same code serves hypothesis (which shrinks) and a plain
seed (which is fast).  A choice of 0 is always the plainest one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import NamedTuple

from hypothesis import strategies as st

from tests.oracle.layouts import BENCH, SOURCES, Drawn, Seeded
from tests.oracle.motion import Property, Request
from tests.oracle.switches import ALL, PRESSED, PRICE_FIRST, REACH, SET_JOINTS, STRADDLING, SURCHARGES
from tests.oracle.vehicles import VehicleMaker
from tests.oracle.world import Claim, Fitting, InTheWay, Joint, Note, Offer, Part, Position, Vehicle, Window, World

CAP = "cap"
"""A position that only a joint owns, an end of which is in the way of what is asked for."""


class Case(NamedTuple):
    """A world and what is asked of one of its vehicles."""

    world: World
    vehicle: Vehicle
    request: Request


@dataclass
class Maker(VehicleMaker):
    """Makes one case; what is made so far is in its fields."""

    claims: list[Claim] = field(default_factory=list)

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
        if self.may_have(STRADDLING, 40):
            self.claims_across(self.pick(self.joints))

    def claims_across(self, joint: Joint) -> None:
        """Of most parts at one end it is said that they go with some at the other."""
        one, other = (next(p.part_type for p in self.positions if p.name == name)
                      for name in (joint.position, joint.other_position))  # fmt: skip
        about = [p.number for p in self.parts if p.part_type == other]
        for part in self.parts:
            if part.part_type == one and about and self.chance(70):
                self.claim(Claim(part.number, "goes with", self.pick(about)))

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
            Offer(supplier, number, 1 + self.choose.below(9), self.surcharge())
            for number in numbers
            for supplier in ("north", "south")
            if self.chance(60)
        ]

    def surcharge(self) -> int:
        """What one costs more where no old one is handed in."""
        return self.pick((3, 6, 1)) if self.may_have(SURCHARGES, 35) else 0

    def request(self) -> Request:
        """A part, a size, a renewal, a part to avoid, a position to keep."""
        wants: list[tuple[str, str]] = []
        properties: list[Property] = []
        pressed = [part for part in self.parts if self.pressed_in(part)]
        if pressed and self.may_have(PRESSED, 15):
            part = self.pick(pressed)
            wants.append((next(p.name for p in self.positions if p.part_type == part.part_type), part.number))
        elif self.sets and (self.chance(15) or (self.states_a_joint() and self.may_have(SET_JOINTS, 50))):
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
        prefer = ("price",) if not prefer and self.may_have(PRICE_FIRST, 15) else prefer
        only = (self.pick(self.arrangements),) if self.chance(6) else ()
        return Request(tuple(wants), tuple(properties), keep, avoid, renew, prefer, only)

    def states_a_joint(self) -> bool:
        """Whether the set states a joint as made."""
        return bool({joint.name for joint in self.joints} & set(self.sets[0].states))

    def pressed_in(self, part: Part) -> bool:
        """Whether it is for a place where it is pressed into what carries it."""
        return any(p.pressed_in for p in self.positions if p.part_type == part.part_type)

    def ways(self, request: Request) -> tuple[InTheWay, ...]:
        """Now and then what is in the way of another position, mostly near one-use parts and what is asked for."""
        if len(self.positions) < 2 or not self.may_have(REACH, 60):
            return ()
        wasted = {p.name for p in self.positions if any(q.one_use for q in self.parts if q.part_type == p.part_type)}
        ends = [{j.position, j.other_position, *j.owns} for j in self.joints]
        near = wasted.union(*(end for end in ends if end & wasted))
        asked = {*request.renew, *(n for n, _ in request.wants), *(p.position for p in request.properties)}
        names = [p.name for p in self.positions]
        found: dict[tuple[str, str, str], InTheWay] = {}
        under = [(j, off) for j in self.joints for off in (j.position, j.other_position) if asked - {*_ends(j)}]
        if under and self.chance(60):
            joint, off = self.pick(under)
            goal = self.pick(sorted(asked - {*_ends(joint)}))
            found[off, goal, ""] = InTheWay(off, goal)
            self.cap(joint)
        for _ in range(1 + self.choose.below(4)):
            off = self.pick([n for n in names if n in near] if near and self.chance(70) else names)
            goal = self.pick([n for n in names if n in asked] if self.chance(60) else names)
            slackened = self.chance(8)
            only = self.pick(self.arrangements) if len(self.arrangements) > 1 and self.chance(20) else ""
            own = [j.name for j in self.joints if off in (j.position, j.other_position)]
            leaves = (self.pick(own),) if own and self.chance(15) else ()
            way = InTheWay(off, goal, only, slackened, leaves)
            if off != goal and (slackened or not self.leads(found.values(), goal, off)):
                found.setdefault((off, goal, only), way)
        return tuple(found.values())

    def cap(self, joint: Joint) -> None:
        """A one-use part that a joint owns, on every vehicle that has an end of that joint."""
        ends = [p for p in self.positions if p.name in _ends(joint)]
        only = max((joint.arrangement, *(p.arrangement for p in ends)))
        level = "vehicle" if all(p.level == "vehicle" for p in ends) else "corner"
        self.positions.append(Position(CAP, level, f"type {CAP}", arrangement=only))
        self.joints = [replace(j, owns=(*j.owns, CAP)) if j is joint else j for j in self.joints]
        self.parts.append(Part("CAP", f"type {CAP}", one_use=True))
        self.vehicles = [
            replace(v, fittings=(*v.fittings, Fitting(CAP, "", "CAP")))
            if {f.position for f in v.fittings} & {*_ends(joint)}
            else v
            for v in self.vehicles
        ]

    def leads(self, ways: Iterable[InTheWay], off: str, goal: str) -> bool:
        """Whether a position must come off to reach another already, by way of others or not."""
        reached, growing = {goal}, True
        while growing:
            more = {w.position for w in ways if w.in_the_way_of in reached and not w.slackened} - reached
            reached |= more
            growing = bool(more)
        return off in reached

    def case(self) -> Case:
        """All of it."""
        self.layout()
        self.catalogue()
        self.all_vehicles()
        self.all_claims()
        offers, notes, request = tuple(self.offers()), self.notes(), self.request()
        ways = self.ways(request)  # drawn last: the rest of a world is as it is without
        world = World(
            kinds=self.kinds,
            rules=tuple(self.rules),
            sources=(*SOURCES, *BENCH),
            parts=tuple(self.parts),
            sets=tuple(self.sets),
            claims=tuple(self.claims),
            rows=tuple(self.rows),
            choices=self.choices,
            positions=tuple(self.positions),
            joints=tuple(self.joints),
            stacks=tuple(self.stacks),
            items=tuple(self.items),
            vehicles=tuple(self.vehicles),
            in_the_way=ways,
            offers=offers,
            notes=notes,
        )
        return Case(world, self.vehicles[-1], request)


def _ends(joint: Joint) -> tuple[str, str]:
    return joint.position, joint.other_position


def case_from_seed(seed: int, features: Iterable[str] = ALL) -> Case:
    """The case of one seed, always the same for the same features."""
    return Maker(Seeded(seed), switched_on=frozenset(features)).case()


@st.composite
def cases(draw: st.DrawFn) -> Case:
    """Cases for hypothesis."""
    return Maker(Drawn(draw), switched_on=frozenset(ALL)).case()
