"""Short ways to write down a world by hand: positions in a tree, one rule (equal teeth)."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

from tests.oracle.motion import Filling, Request
from tests.oracle.plan import Answer, Swap
from tests.oracle.world import (
    Cell,
    Condition,
    Dimension,
    Fitting,
    Joint,
    Kind,
    Mark,
    Part,
    Place,
    Position,
    Row,
    Rule,
    Size,
    Source,
    Term,
    Vehicle,
    Window,
    World,
)

DIMENSIONS = (Dimension("width", "length"), Dimension("teeth", "count"))
PEG, HOLE = Kind("peg", DIMENSIONS), Kind("hole", DIMENSIONS)
SAME_TEETH = Condition(
    "tooth count",
    "service",
    "required",
    (Term(1, 0, "teeth"), Term(-1, 1, "teeth")),
    Window(0, 0),
)
SOURCES = (Source("book", "drawing"), Source("bench", "on the item"), Source("talk", "hearsay"))


def position(name: str, **more: Any) -> Position:
    """A needed corner position that takes parts of its own type."""
    return Position(name, more.pop("level", "corner"), f"type {name}", **more)


def joint(one: str, other: str, **more: Any) -> Joint:
    """A joint named ONE-OTHER; its features are named so too."""
    name = f"{one}-{other}"
    return Joint(name, one, name, other, name, "rule", **more)


def part(number: str, **more: Any) -> Part:
    """A part; its type is that of the position named before the first dot."""
    return Part(number, f"type {number.split('.')[0]}", **more)


def teeth(owner: str, feature: str, count: int | Mark, source: str = "book") -> Row:
    """What a source says of one feature's teeth; the first name in the feature is the peg."""
    cell: Cell = Size(count, count) if isinstance(count, int) else count
    kind = "peg" if feature.split("-")[0] == owner.split(".")[0] else "hole"
    return Row(owner, feature, kind, (("teeth", cell),), source)


def chain(names: str, teeth_of: dict[str, tuple[int | None, ...]], **more: Any) -> World:
    """Positions in a row, each joined to the next.

    `teeth_of`: for each part number (POSITION.letter) its teeth towards the one before and the one
    after (one number at the ends); None: not recorded.
    """
    order = names.split()
    joints = tuple(joint(one, other) for one, other in pairwise(order))
    rows = []
    for number, counts in teeth_of.items():
        name = number.split(".")[0]
        touching = [j.name for j in joints if name in (j.position, j.other_position)]
        rows += [
            teeth(number, feature, count) for feature, count in zip(touching, counts, strict=True) if count is not None
        ]
    made = World(
        kinds=(PEG, HOLE),
        rules=(Rule("rule", ("peg", "hole"), (SAME_TEETH,)),),
        sources=SOURCES,
        parts=tuple(part(number) for number in teeth_of),
        rows=tuple(rows),
        positions=tuple(position(name) for name in order),
        joints=joints,
    )
    return replace(made, **more)


def change(world: World, name: str, **more: Any) -> World:
    """The world with one position or part changed."""
    return replace(
        world,
        positions=tuple(replace(p, **more) if p.name == name else p for p in world.positions),
        parts=tuple(replace(p, **more) if p.number == name else p for p in world.parts),
    )


def vehicle(*numbers: str, **conditions: Any) -> Vehicle:
    """A vehicle as found with these parts, in the positions named before their dots."""
    return Vehicle(
        "found",
        ("only",),
        tuple(
            Fitting(
                number.split(".")[0],
                "",
                number,
                condition=conditions.get(number.split(".")[0], "sound"),
            )
            for number in numbers
        ),
    )


def asked(world: World, van: Vehicle, *wants: str, **more: Any) -> Answer:
    """The answer to a request for part numbers, each in the position named before its dot."""
    request = Request(wants=tuple((number.split(".")[0], number) for number in wants), **more)
    return Swap(world, van, request).answer()


def numbers(filling: Filling) -> str:
    """The numbers on the left hand and of the vehicle; a star marks what is new."""
    return " ".join(
        "-" if choice is None else choice.thing.number + ("" if choice.thing.stays else "*")
        for (_, side), choice in filling.items()
        if side in ("left", "")
    )


def positions_of(places: frozenset[Place]) -> set[str]:
    """The names of the positions, without sides."""
    return {name for name, _ in places}
