"""The turning value of a reading by brute force: the reading is written into the world's records at one value after the
other, outward from where it starts, and all fillings are judged anew each time. Imports nothing of the program."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import NamedTuple

from tests.oracle.generate import Case
from tests.oracle.motion import Filling
from tests.oracle.plan import Swap
from tests.oracle.world import Cell, Item, Place, Row, Size

ON_THE_ITEM = "on the item"
READ = "a reading supposed"
Said = tuple[tuple[Place, str, bool, bool], ...]


class Looked(NamedTuple):
    """One size of what stands in a place: the thing's own name if it has one, its number, feature, kind, dimension."""

    place: Place
    item: str
    number: str
    feature: str
    kind: str
    dimension: str


class Turn(NamedTuple):
    """A value at which the plan turns, whether it holds there, and whether there is no plan beyond."""

    value: Fraction
    holds: bool
    no_plan: bool


def sizes_to_read(case: Case, wanted: Iterable[tuple[Place, str, str]]) -> Iterator[Looked]:
    """Those of some sizes (place, feature, dimension) that are lengths of one thing, no member of a set."""
    lengths = {(k.name, d.name) for k in case.world.kinds for d in k.dimensions if d.datatype == "length"}
    return (looked for looked in readable(case, wanted) if (looked.kind, looked.dimension) in lengths)


def readable(case: Case, wanted: Iterable[tuple[Place, str, str]]) -> Iterator[Looked]:
    """Those of some sizes that are of one thing, no member of a set: lengths, counts, codes and threads."""
    world, swap = case.world, Swap(*case)
    known = {(k.name, d.name) for k in world.kinds for d in k.dimensions}
    kinds = {row.feature: row.kind for row in world.rows}
    for place, feature, dimension in wanted:
        thing, fitting = swap.there.get(place), swap.fitted.get(place)
        if thing is None or fitting is None or thing.number not in world.part or "/" in fitting.part:
            continue
        kind = kinds.get(feature, "")
        item = thing.records[0] if thing.records[0] in world.item else ""
        if (kind, dimension) in known and not any(i.work_on == fitting.item for i in world.items if fitting.item):
            yield Looked(place, item, thing.number, feature, kind, dimension)


def with_cell(case: Case, looked: Looked, cell: Cell) -> Case:
    """The case with the reading in the place of all that was read of the size on the very thing."""
    world = case.world
    name = looked.item or " ".join((case.vehicle.name, *looked.place, "as read"))
    on_it = {s.name for s in world.sources if s.standing == ON_THE_ITEM}
    source = next(iter(sorted(on_it)))
    rows = [
        replace(row, cells=tuple(c for c in row.cells if c[0] != looked.dimension))
        if row.owner == name and row.feature == looked.feature and row.source in on_it
        else row
        for row in world.rows
    ]
    rows.append(Row(name, looked.feature, looked.kind, ((looked.dimension, cell),), source))
    items = world.items
    if not looked.item and name not in world.item:
        items = (*items, Item(name, looked.number, read_at=(case.vehicle.name, *looked.place)))
    return Case(replace(world, rows=tuple(rows), items=items), case.vehicle, case.request)


def said(filling: Filling) -> tuple[frozenset[str], Said]:
    """What stands where in a filling."""
    there = tuple(
        (place, choice.thing.number, choice.thing.stays, choice.worked)
        for place, choice in filling.items()
        if choice is not None
    )
    return filling.arrangements, tuple(sorted(there))


class Brute:
    """A case, its plan, and one reading."""

    def __init__(self, case: Case, plan: Filling, looked: Looked, within: Fraction) -> None:
        prefer = tuple(level for level in case.request.prefer if level != "price")
        self.case = Case(case.world, case.vehicle, replace(case.request, prefer=prefer))
        self.plan, self.looked, self.within = said(plan), looked, within
        self._known: dict[Cell, tuple[bool, bool, bool]] = {}

    def with_cell(self, cell: Cell) -> tuple[bool, bool, bool]:
        """Whether the plan holds where this is read, whether there is any plan, and whether one is as good and
        cheaper."""
        if cell not in self._known:
            swap = Swap(*with_cell(self.case, self.looked, cell))
            found = swap.plans(list(swap.fillings()))
            costs = {said(f): tuple(swap.order(swap.levels(f))) for f in found}
            own, least = costs.get(self.plan), min(costs.values(), default=())
            holds = own is not None and own[:-1] == least[:-1]
            self._known[cell] = holds, bool(costs), holds and own is not None and least[-1] < own[-1]
        return self._known[cell]

    def _at(self, value: Fraction) -> tuple[bool, bool, bool]:
        return self.with_cell(Size(value - self.within, value + self.within))  # type: ignore[arg-type]

    def at(self, value: Fraction) -> tuple[bool, bool]:
        """Whether the plan holds at a value, and whether there is any plan."""
        return self._at(value)[:2]

    def is_cheaper(self, value: Fraction) -> bool:
        """Whether the plan holds at a value, and another one is as good there and cheaper."""
        return self._at(value)[2]

    def turn(self, start: Fraction, most: int, outward: int) -> Turn | None:
        """The nearest turning value on one side of the start; sizes and limits of such worlds are whole mm, and a size
        counts at most twice."""
        halves = (Fraction(n, 2) for n in range(-4, 2 * most + 5))
        points = {n + off for n in halves for off in (-self.within, 0, self.within)}
        points |= {start, Fraction(0), Fraction(most)}
        side = sorted(
            (p for p in points if (p - start) * outward >= 0 and 0 <= p <= most), key=lambda p: abs(p - start)
        )
        if not self.at(start)[0]:
            return Turn(start, False, not self.at(start)[1])
        for one, other in pairwise(side):
            between = (one + other) / 2
            if not self.at(between)[0]:
                return Turn(one, True, not self.at(between)[1])
            if not self.at(other)[0]:
                return Turn(other, False, not self.at(other)[1])
        return None
