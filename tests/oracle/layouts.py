"""Random layouts: positions, the joints between them with their rules, stacks through them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from random import Random
from typing import Protocol, TypeVar

from hypothesis import strategies as st

from tests.oracle.switches import CHAINS, CHOICES, PINS, PLAIN, PRESSED, THREADS
from tests.oracle.world import (
    Alternatives,
    Condition,
    Dimension,
    Joint,
    Kind,
    Position,
    Rule,
    Source,
    Stack,
    StackTerm,
    Term,
    Window,
    one_of,
)

T = TypeVar("T")

DIMENSIONS = (
    Dimension("width", "length"),
    Dimension("teeth", "count"),
    Dimension("reach", "length"),
    Dimension("form", "code"),
)
THREAD = Dimension("thread", "thread")
PEG, HOLE = Kind("peg end", DIMENSIONS), Kind("hole end", DIMENSIONS)
FORMS = ("oak", "elm")
SOURCES = (
    Source("book", "drawing"),
    Source("book two", "drawing"),
    Source("m003", "same number, new"),
    Source("m004", "same number, new"),
    Source("old", "worn"),
    Source("shop", "seller"),
    Source("shop two", "seller"),
    Source("talk", "hearsay"),
)
TWINS = {"book": "book two", "m003": "m004", "shop": "shop two"}
"""Sources of equal standing."""

BENCH = (Source("bench", "on the item"), Source("bench two", "on the item"))
ARRANGEMENTS = ("east", "west")
TWO_CHOICES = (Alternatives("land", ("dale", "hill")), Alternatives("wind", ARRANGEMENTS))

CHAIN = ("mid", "tip")
"""Positions of one-use parts that take each other along."""

PIN = "pin"
"""A position that only a joint owns."""


class Chooser(Protocol):
    """Where choices come from."""

    def below(self, limit: int) -> int:
        """A whole number from 0 to `limit` - 1."""
        ...


class Seeded:
    """Choices from a seed."""

    def __init__(self, seed: int) -> None:
        self._random = Random(seed)

    def below(self, limit: int) -> int:
        """A whole number from 0 to `limit` - 1."""
        return self._random.randrange(limit)


class Drawn:
    """Choices by hypothesis."""

    def __init__(self, draw: st.DrawFn) -> None:
        self._draw = draw

    def below(self, limit: int) -> int:
        """A whole number from 0 to `limit` - 1."""
        return self._draw(st.integers(0, limit - 1))


@dataclass
class LayoutMaker:
    """Makes a layout; what is made so far is in its fields."""

    choose: Chooser
    positions: list[Position] = field(default_factory=list)
    joints: list[Joint] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    stacks: list[Stack] = field(default_factory=list)
    choices: tuple[Alternatives, ...] = one_of("east")
    switched_on: frozenset[str] = PLAIN
    due: str = ""
    may_be_untold: bool = False

    # ------------------------------------------------------------------------------- small choices

    def chance(self, percent: int) -> bool:
        """True in so many of a hundred."""
        return self.choose.below(100) >= 100 - percent

    def may_have(self, name: str, percent: int) -> bool:
        """True in so many of a hundred, where worlds may have the feature; else nothing is drawn."""
        return name in self.switched_on and self.chance(percent)

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """What each kind of these worlds has."""
        return (*DIMENSIONS, THREAD) if THREADS in self.switched_on else DIMENSIONS

    @property
    def kinds(self) -> tuple[Kind, ...]:
        """The kinds of these worlds."""
        return tuple(Kind(kind.name, self.dimensions) for kind in (PEG, HOLE))

    @property
    def arrangements(self) -> tuple[str, ...]:
        """The arrangements of all choices."""
        return tuple(name for choice in self.choices for name in choice.arrangements)

    @property
    def several(self) -> bool:
        """Whether there are several choices."""
        return len(self.choices) > 1

    def pick(self, options: Sequence[T]) -> T:
        """One of them, each as likely."""
        return options[self.choose.below(len(options))]

    # -------------------------------------------------------------------------------------- layout

    def layout(self) -> None:
        """Positions, the joints between them, and stacks through them."""
        luck = self.choose.below(100)
        if luck >= 55:
            self.choices = one_of(*ARRANGEMENTS)
        if luck >= 70 and CHOICES in self.switched_on:
            self.may_be_untold = True
            self.choices = TWO_CHOICES if luck >= 77 else self.choices
        self.rules = [self.rule(number) for number in range(1, 2 + self.choose.below(3))]
        for number in range(1, 3 + self.choose.below(4)):
            self.position(number)
        if len(self.positions) > 2 and self.chance(30):
            one, other = self.pick(self.positions), self.pick(self.positions)
            if one is not other:
                self.joint(one, other)
        for number in range(self.choose.below(3)):
            self.stack(number)
        if self.may_have(PINS, 20):
            self.pin()
        if self.may_have(CHAINS, 15):
            self.hanging()

    def hanging(self) -> None:
        """A place that hangs on one that is due, and meets only one that does not: its part takes that along."""
        carrier = self.pick([p for p in self.positions if p.level == "corner"])
        middle, last = (Position(name, "corner", f"type {name}", arrangement=carrier.arrangement) for name in CHAIN)
        self.positions += [replace(middle, carried_by=carrier.name), last]
        self.joint(*self.positions[-2:])
        self.due = carrier.name

    def pin(self) -> None:
        """A place that meets nothing: what stands there is renewed with a joint."""
        joint = self.pick(self.joints)
        ends = [p for p in self.positions if p.name in (joint.position, joint.other_position)]
        if all(p.level == "vehicle" for p in ends):
            return
        held = {joint.arrangement, *(p.arrangement for p in ends)} - {""}
        carried = self.pick(("", *(p.name for p in ends if p.level == "corner")))
        self.positions.append(
            Position(PIN, "corner", f"type {PIN}", 1 + self.choose.below(2), max(held, default=""), carried_by=carried)
        )
        self.joints = [replace(j, owns=(*j.owns, PIN)) if j is joint else j for j in self.joints]

    def position(self, number: int) -> None:
        """One more position; every one but the first meets an earlier one."""
        name = f"p{number}"
        if not self.positions:
            self.positions.append(Position(name, "corner", f"type {name}"))
            return
        parent = self.positions[-1] if self.several and self.chance(50) else self.pick(self.positions)
        vehicle_level = sum(p.level == "vehicle" for p in self.positions)
        level = "vehicle" if not vehicle_level and self.chance(25) else "corner"
        arrangement = parent.arrangement
        if not arrangement and len(self.arrangements) > 1 and self.chance(70 if self.several else 50):
            arrangement = self.pick(self.arrangements)
        elif self.several and self.chance(60):
            others = [choice.arrangements for choice in self.choices if arrangement not in choice.arrangements]
            arrangement = self.pick([one for each in others for one in each])
        carried = parent.name if level == parent.level and self.chance(50) else ""
        need, with_position, lacking = self.need(parent)
        self.positions.append(
            Position(
                name,
                level,
                f"type {name}",
                quantity=1 + self.choose.below(3) // 2,
                arrangement=arrangement,
                need=need,
                with_position=with_position,
                lacking_feature=lacking,
                carried_by=carried,
                pressed_in=bool(carried) and (self.chance(40) or self.may_have(PRESSED, 20)),
            )
        )
        if self.chance(80):
            self.joint(parent, self.positions[-1])
        else:
            self.joint(self.positions[-1], parent)

    def need(self, parent: Position) -> tuple[str, str, str]:
        """Needed, optional, or needed with the parent, perhaps only where that lacks a valve."""
        kind = self.choose.below(12)
        if kind == 10:
            return "optional", "", ""
        if kind == 11:
            return "with", parent.name, "valve" if self.chance(60) else ""
        return "needed", "", ""

    def joint(self, one: Position, other: Position) -> None:
        """A joint of two positions, with a feature of its own on each side."""
        name = f"j{len(self.joints) + 1}"
        others = [p.name for p in self.positions if p not in (one, other) and p.level == "corner"]
        owns = (self.pick(others),) if others and self.chance(15) else ()
        critical = self.pick((None, None, True, False))
        ends = (f"{name} peg", f"{name} hole")
        rule = self.pick(self.rules).name
        arrangement = self.pick(self.arrangements) if len(self.arrangements) > 1 and self.chance(12) else ""
        disturbs = not self.chance(8)
        self.joints.append(
            Joint(name, one.name, ends[0], other.name, ends[1], rule, arrangement, critical, owns, disturbs)
        )

    def rule(self, number: int) -> Rule:
        """One to three conditions, the first of them required."""
        conditions = tuple(self.condition(order) for order in range(1, 2 + self.choose.below(3)))
        return Rule(f"rule {number}", (PEG.name, HOLE.name), conditions, self.chance(40))

    def condition(self, order: int) -> Condition:
        """A comparison of widths, teeth, reaches or forms."""
        sort = self.pick(("assembly", "service"))
        need = "required" if order == 1 else self.pick(("required", "supporting", "told"))
        dimension = self.pick(("teeth", "width", "reach", "form"))
        name = f"condition {order}"
        if self.may_have(THREADS, 15):
            both = (Term(1, 0, THREAD.name), Term(1, 1, THREAD.name))
            return Condition(name, sort, need, both, same_code=True)
        terms = (Term(1, 0, dimension), Term(-1, 1, dimension))
        if dimension == "form":
            return Condition(name, sort, need, (Term(1, 0, "form"), Term(1, 1, "form")), same_code=True)
        if dimension == "teeth":
            return Condition(name, sort, need, terms, Window(0, 0))
        if dimension == "reach" and self.chance(30):
            return Condition(name, sort, need, (Term(2, 0, "reach"), Term(-1, 1, "width")),
                             Window(8, None))  # fmt: skip
        low = self.pick((-1, None, -2, 0))
        high = self.pick((1, 0, 2)) if low is None or self.chance(70) else None
        gross = None
        if self.chance(60):
            gross = Window(None if low is None else low - self.choose.below(2),
                           None if high is None else high + self.choose.below(2))  # fmt: skip
        return Condition(name, sort, need, terms, Window(low, high), gross)

    def stack(self, number: int) -> None:
        """A sum of one to three dimensions of joint features."""
        ends = [
            (joint.position, joint.feature) for joint in self.joints
        ] + [(joint.other_position, joint.other_feature) for joint in self.joints]  # fmt: skip
        terms: dict[tuple[str, str, str], StackTerm] = {}
        middle = 0
        for _ in range(1 + self.choose.below(3)):
            position, feature = self.pick(ends)
            dimension, factor = self.pick(("reach", "width")), self.pick((1, -1, 1, 2))
            if (position, feature, dimension) not in terms:
                terms[(position, feature, dimension)] = StackTerm(position, feature, dimension, factor)
                middle += factor * 11
        low = middle - self.pick((2, 1, 3))
        high = middle + self.pick((2, 1, 3))
        window = self.pick((Window(low, high), Window(low, None), Window(None, high)))
        named = {p.arrangement for p in self.positions if p.name in {t.position for t in terms.values()}}
        only = sorted(named - {""})
        as_made = self.chance(12)
        if as_made:
            window = Window(None, self.pick((None, high)))
        self.stacks.append(
            Stack(
                f"s{number + 1}",
                self.pick(("assembly", "service")),
                tuple(terms.values()),
                window,
                self.chance(30),
                self.chance(10),
                only[0] if len(only) == 1 and self.chance(70) else "",
                as_made,
            )
        )
