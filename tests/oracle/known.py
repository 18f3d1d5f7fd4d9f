"""What the records say of one thing: its features, their sizes, and how good that evidence is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tests.oracle.world import Mark, Size, Thread, Value, World

ON_THE_ITEM = 0
"""Rank of what was read on the very thing."""


@dataclass(frozen=True)
class Thing:
    """What stands in a place: its number, whose rows speak of it (best first), whether it stays.

    `as_part`: the part that a set's member is.  `reworked`: the first rows were read after some work, and stand in
    place of the second of the same feature.  Without a number it is something not recorded, of which nothing is known.
    """

    number: str
    records: tuple[str, ...]
    stays: bool = False
    as_part: str = ""
    reworked: bool = False


class Sized(NamedTuple):
    """What is known of one dimension: the statements that compute, and how good they are."""

    statements: tuple[Value, ...] = ()
    standing: int = 0
    unsure: bool = False

    @property
    def usual(self) -> bool:
        """Nobody wrote the hand of a thread, and nobody says that it is not known: it is usual right."""
        return self.statements == (Thread(),)


def _ranked(world: World, thing: Thing, feature: str) -> list[tuple[tuple[int, int], dict[str, object]]]:
    """Cells of the feature with their rank: the item's own readings stand before its number's."""
    return [
        ((nearness, world.standing[row.source]), dict(row.cells))
        for nearness, owner in enumerate(_owners(world, thing, feature))
        for row in world.rows_of.get((owner, feature), [])
    ]


def _owners(world: World, thing: Thing, feature: str) -> list[str]:
    """Whose rows speak of a feature of the thing, best first."""
    first, *rest = thing.records
    return [first, *(rest[1:] if thing.reworked and (first, feature) in world.rows_of else rest)]


def beliefs_in_feature(world: World, thing: Thing, feature: str) -> tuple[bool, ...]:
    """Whether to believe that the feature is there: (True,), (False,) or, contested, both."""
    absent: list[tuple[int, int]] = []
    there: list[tuple[int, int]] = []
    for rank, cells in _ranked(world, thing, feature):
        (absent if Mark.ABSENT in cells.values() else there).append(rank)
    if not absent or (there and min(there) < min(absent)):
        return (True,)
    if not there or min(absent) < min(there):
        return (False,)
    return (False, True)


def known_to_lack(world: World, thing: Thing, feature: str) -> bool:
    """The feature is known absent, undisputed."""
    return beliefs_in_feature(world, thing, feature) == (False,)


def sized(world: World, thing: Thing, feature: str, dimension: str) -> Sized:
    """The statements of the best standing about one dimension, each once."""
    said: list[tuple[tuple[int, int], Value]] = []
    unsure = False
    for rank, cells in _ranked(world, thing, feature):
        cell = cells.get(dimension)
        if cell is Mark.UNSURE:
            unsure = True
        elif isinstance(cell, (Size, str, Thread)) and cell != Thread():  # without a hand it says nothing of the hand
            said.append((rank, cell))
    if not said:
        return Sized(unsure=unsure)
    best = min(rank for rank, _ in said)
    return Sized(tuple(dict.fromkeys(cell for rank, cell in said if rank == best)), best[1])


def believed(world: World, thing: Thing, feature: str, dimension: str) -> Sized:
    """What a check goes by: what is said of the dimension; of a thread whose hand nobody wrote that it is usual right.

    It is so where the feature is recorded. What is only usual has no source: it is of no standing, neither good nor
    bad.
    """
    known = sized(world, thing, feature, dimension)
    recorded = any(world.rows_of.get((owner, feature)) for owner in thing.records)
    if known.statements or known.unsure or not recorded or not world.is_thread(dimension):
        return known
    return Sized((Thread(),), ON_THE_ITEM)


def share_a_value(one: Value, other: Value) -> bool:
    """Whether two statements can both be true."""
    if isinstance(one, (str, Thread)) or isinstance(other, (str, Thread)):
        return one == other
    return one.low <= other.high and other.low <= one.high


def contested(statements: tuple[Value, ...]) -> bool:
    """Whether any two of the statements share no value."""
    return any(not share_a_value(a, b) for a in statements for b in statements)
