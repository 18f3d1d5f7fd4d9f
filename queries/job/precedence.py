"""Which steps of the work a plan has, what must come before what, and one order in which they can be done.

A step that says ``if changed`` is left out where the plan leaves that figure as it is. Each other step is done once
for each side on which it applies to one of its positions, or once for the vehicle. It applies

- ``make safe``: where something at the position comes off or goes on; without a position always, as every step;
- ``remove``: where what is there goes, moves over or comes off to reach something;
- ``inspect``: where what is there stays, and lies open: it comes off, or a joint of it is undone or made;
- ``fit``, ``adjust``, ``check`` and ``gate``: where something new stands, or what came off is put back.

One step comes before another

- where the other needs it, also by way of steps that this plan does not have;
- at one position: made safe before removed, removed before looked at and before fitted;
- ``carried by``: what is carried is fitted after its carrier's first fitting step. It is removed before its carrier,
  unless its step needs that the carrier is off: then it comes off with it, and is taken from it on the bench;
- ``in the way of``, and not slackened only: it is removed before what it hides is removed or looked at, and fitted for
  good after that is.

Of the orders that this leaves, each next step is the first that can be done: of the vehicle before those of a side, of
the left side before those of the right, then by the step's number in the layout. So a corner is worked on as long as
something can be done there.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from itertools import product

import msgspec

from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.work import FIT, INSPECT, MAKE_SAFE, REMOVE, Step
from knockon.queries.as_typed import RequestError
from knockon.queries.plan.changes import FREED, KEPT, KEPT_AFTER_WORK, MOVED_OVER, NEW, TAKEN_OFF, Change
from knockon.queries.plan.sweep import is_left_out

PUT_BACK = (MOVED_OVER, TAKEN_OFF, KEPT_AFTER_WORK)
BEFORE_FITTING = (MAKE_SAFE, REMOVE, INSPECT)
SIDES = ("", "left", "right")


class StepAt(msgspec.Struct, frozen=True, order=True):
    """A step on one side (blank: of the vehicle)."""

    step: str
    side: str = ""

    def __str__(self) -> str:
        return f"{self.side} {self.step}".strip()


class Work(msgspec.Struct, frozen=True):
    """The steps of a plan in an order that can be done; ``places``: those to which each applies; ``before``: each pair
    of which the first must come before the second."""

    steps: tuple[StepAt, ...]
    places: Mapping[StepAt, tuple[Place, ...]]
    before: frozenset[tuple[StepAt, StepAt]]


def work_of(
    places: Places, changes: Sequence[Change], opened: Collection[Place], changed: frozenset[str] = frozenset()
) -> Work:
    """The work of a plan; ``opened``: the places of which a joint is undone or made; ``changed``: the figures that the
    plan changes or may change.

    Raises RequestError where steps wait for each other in a circle, with the chain.
    """
    import networkx as nx

    by_place = {c.place: c for c in changes}
    steps = {s.step: s for s in places.layout.steps if not is_left_out(s, changed)}
    found: dict[StepAt, tuple[Place, ...]] = {}
    for step in steps.values():
        if not step.positions:
            found[StepAt(step.step)] = ()
        for side in SIDES if step.positions else ():
            here = (Place(p, side) for p in step.positions if side in places.sides_of(p))
            applies = tuple(p for p in here if p in by_place and _applies(step.kind, by_place[p], p in opened))
            if applies:
                found[StepAt(step.step, side)] = applies
    before = frozenset(_before(places, steps, found))
    graph: nx.DiGraph[StepAt] = nx.DiGraph()
    graph.add_nodes_from(found)
    graph.add_edges_from(sorted(before))

    def first(one: StepAt) -> tuple[int, int, str]:
        return SIDES.index(one.side), steps[one.step].order, one.step

    try:
        ordered = tuple(nx.lexicographical_topological_sort(graph, key=first))
    except nx.NetworkXUnfeasible:
        chain = [str(one) for one, _ in nx.find_cycle(graph)]
        raise RequestError(f"steps wait for each other: {' < '.join([*chain, chain[0]])}") from None
    return Work(ordered, found, before)


def goes_on(change: Change) -> bool:
    """Whether something is fitted at a place: new, or put back."""
    return change.status != FREED and change.status != KEPT and bool(change.new or change.status in PUT_BACK)


def comes_off(change: Change) -> bool:
    """Whether something comes off a place."""
    return change.status not in (KEPT, NEW)


def stays(change: Change) -> bool:
    """Whether what is at a place stays on the vehicle."""
    return change.status == KEPT or change.status in PUT_BACK


def _applies(kind: str, change: Change, opened: bool) -> bool:
    if kind == MAKE_SAFE:
        return change.status != KEPT
    if kind == REMOVE:
        return comes_off(change)
    if kind == INSPECT:
        return stays(change) and (change.status != KEPT or opened)
    return goes_on(change)


_At = Mapping[Place, Mapping[str, Sequence[StepAt]]]


def _before(
    places: Places, steps: Mapping[str, Step], found: Mapping[StepAt, tuple[Place, ...]]
) -> Iterator[tuple[StepAt, StepAt]]:
    """Each pair of steps of which the first must come before the second."""
    at: dict[Place, dict[str, list[StepAt]]] = {}
    for one in sorted(found, key=lambda s: (steps[s.step].order, s)):
        for place in found[one]:
            at.setdefault(place, {}).setdefault(steps[one.step].kind, []).append(one)
    yield from _by_needs(steps, found)
    for place, kinds in at.items():
        for earlier, later in ((MAKE_SAFE, REMOVE), (REMOVE, INSPECT), (REMOVE, FIT), (INSPECT, FIT)):
            yield from _pairs(kinds.get(earlier, ()), kinds.get(later, ()))
        carried_by = places.carrier(place)
        carrier = at.get(carried_by, {}) if carried_by is not None else {}
        with_it = _pairs(kinds.get(REMOVE, ()), carrier.get(REMOVE, ()))
        yield from ((a, b) for a, b in with_it if b.step not in _all_needed(steps, a.step))
        yield from _pairs(carrier.get(FIT, ())[:1], kinds.get(FIT, ()))
    yield from _in_the_way(places, at)


def _by_needs(steps: Mapping[str, Step], found: Iterable[StepAt]) -> Iterator[tuple[StepAt, StepAt]]:
    there: dict[str, list[StepAt]] = {}
    for one in found:
        there.setdefault(one.step, []).append(one)
    needed = {name: _needed(steps, steps[name].needs, there) for name in there}
    for one in found:
        for name in needed[one.step]:
            yield from ((other, one) for other in there[name] if _meet(other.side, one.side) and other != one)


def _in_the_way(places: Places, at: _At) -> Iterator[tuple[StepAt, StepAt]]:
    for row in (r for r in places.layout.in_the_way if not r.slackened):
        for hidden in (p for p in at if p.position == row.in_the_way_of):
            for off in (p for p in at if p.position == row.position and _meet(p.side, hidden.side)):
                for kind in (REMOVE, INSPECT):
                    yield from _pairs(at[off].get(REMOVE, ()), at[hidden].get(kind, ()))
                yield from _pairs(at[hidden].get(FIT, ()), at[off].get(FIT, ())[-1:])


def _needed(steps: Mapping[str, Step], needs: Iterable[str], there: Collection[str]) -> set[str]:
    """The steps of this plan that are needed; in place of one that it does not have, what that one needs."""
    found: set[str] = set()
    seen: set[str] = set()
    waiting = list(needs)
    while waiting:
        name = waiting.pop()
        if name in seen or name not in steps:
            continue
        seen.add(name)
        if name in there:
            found.add(name)
        else:
            waiting += steps[name].needs
    return found


def _all_needed(steps: Mapping[str, Step], name: str) -> set[str]:
    """Whatever a step needs, also by way of others."""
    found: set[str] = set()
    waiting = [name]
    while waiting:
        new = {n for n in steps[waiting.pop()].needs if n in steps} - found
        found |= new
        waiting += new
    return found


def _meet(one: str, other: str) -> bool:
    """Whether steps on these sides have to do with each other: on one side, or one of them is of the vehicle."""
    return one == other or not one or not other


def _pairs(earlier: Iterable[StepAt], later: Iterable[StepAt]) -> Iterator[tuple[StepAt, StepAt]]:
    return ((a, b) for a, b in product(earlier, later) if a != b)
