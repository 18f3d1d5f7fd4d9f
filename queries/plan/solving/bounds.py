"""What a filling costs at least that has a candidate in it: a relaxation of the plan, solved on a tree.

Of the program (swap.lp) this keeps: one candidate a place, or none where the place need not be filled; the
arrangements; the axle rule; what is asked for; that what is due goes; each joint by itself, with its no, its not
known and its unproven, where one of its two ends is new; a change for what is new or given up where nothing else can
be its cause; and the price of what is bought by the line, with the most that an old part saves. Of a figure it keeps
that what is new and lacks what it reads is ruled out, and that it is not known where that is not recorded of what is
new in one of its places. It forgets all else: what figures come to, sets, one-use parts and pressed ones as changes,
what must come off, and which joints are undone.

Proof that nothing costs less than told here: what is forgotten is only ever a reason why a filling is none, or
something more to pay. So every filling is one of the relaxation, and costs there, level by level, no more than in
truth; and the sums compare as their levels do, in the order of preference (``Units``). A tree that forgets joints
that close circles is a relaxation once more. On a tree the least cost of every value is exact, by two passes: what
the branches behind a place cost at least, from the leaves to the root, and back. Of several trees the greatest least
cost holds.

Left and right hand of a place are one variable where the axle rule counts: what stands there on both hands is alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product

import msgspec

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import SIDES
from knockon.queries.plan.solving.classes import FIRST, NO, NOTHING, OTHER, OUTSIDE, JointClasses
from knockon.queries.plan.solving.levels import ARRANGEMENT, AXLE, NOT_KNOWN, UNPROVEN
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.tree_costs import NEVER, Costs, Edge, Network, Signature
from knockon.queries.plan.solving.values import OpenFigure, Units, Value, Values, open_figures

MOST_ARRANGEMENTS = 16
"""Beyond so many joint choices of arrangements, what hangs on them is forgotten too."""


class Held:
    """The relaxation where some arrangements hold (None: whichever do): ``variables``, each by its places, their
    values, and what fillings cost at least. ``loose``: what the values of variables cost that no joint reaches."""

    def __init__(
        self, variables: Sequence[tuple[Place, ...]], values: Sequence[Sequence[Value]], loose: Costs, tree: Network
    ) -> None:
        self.variables, self._values, self._loose, self._tree = variables, values, loose, tree
        self._beside = {v: min(costs, default=NEVER) for v, costs in loose.items()}
        self.least = min(NEVER, tree.least + sum(self._beside.values()))

    def costs(self) -> Iterator[tuple[Value, int]]:
        """All values, with what a filling with each costs at least."""
        for v in range(len(self._values)):
            yield from self.costs_at(v)

    def costs_at(self, variable: int) -> Iterator[tuple[Value, int]]:
        """The same of one variable."""
        if self.least >= NEVER:
            others = NEVER
        elif variable in self._loose:
            others = self.least - self._beside[variable]
        else:
            others = sum(self._beside.values())
        costs = self._loose[variable] if variable in self._loose else self._tree.with_each[variable]
        yield from ((v, min(NEVER, cost + others)) for v, cost in zip(self._values[variable], costs, strict=True))

    @cached_property
    def _at(self) -> dict[int, tuple[int, int]]:
        """For each candidate the variable, and the value in which it costs least."""
        found: dict[int, tuple[int, int]] = {}
        least: dict[int, int] = {}
        for v in self._tree.with_each:
            for i, (value, cost) in enumerate(self.costs_at(v)):
                for member in value.members:
                    if member is not None and cost < least.get(member, NEVER):
                        least[member], found[member] = cost, (v, i)
        return found

    def filling_with(self, candidate: int) -> frozenset[int]:
        """The candidates of a filling of the relaxation with this one that costs least, where joints reach."""
        chosen = self._tree.choice_with(*self._at[candidate]) if candidate in self._at else {}
        return frozenset(m for v, i in chosen.items() for m in self._values[v][i].members if m is not None)


class Least(msgspec.Struct, frozen=True, dict=True):
    """What fillings cost at least: any of them, and those that have a candidate, by its number. ``NEVER``, or not
    there: there are none."""

    any: int
    held: tuple[Held, ...]

    @cached_property
    def with_each(self) -> Mapping[int, int]:
        """Of the candidates by their number."""
        return self._cheapest[0]

    @cached_property
    def _cheapest(self) -> tuple[dict[int, int], dict[int, Held]]:
        costs: dict[int, int] = {}
        where: dict[int, Held] = {}
        for held in self.held:
            for value, cost in held.costs():
                for member in value.members:
                    if member is not None and cost < costs.get(member, NEVER):
                        costs[member], where[member] = cost, held
        return costs, where

    def of(self, candidate: int) -> int:
        """What a filling with this candidate costs at least."""
        return self.with_each.get(candidate, NEVER)

    def witness(self, candidates: Iterable[int], limit: int) -> frozenset[int]:
        """Candidates that stand with one of these in a filling of the relaxation, one that costs least; none where that
        costs more than the limit."""
        best = min(candidates, key=self.of, default=None)
        if best is None or self.of(best) > limit:
            return frozenset()
        return self._cheapest[1][best].filling_with(best)


class Bounds:
    """Relaxations of one problem. ``classes``: those of its joints, by the joint's number."""

    def __init__(self, problem: Problem, classes: Mapping[int, JointClasses]) -> None:
        self.problem, self.classes = problem, classes
        self.units = Units(problem.request.prefer)
        self._values = Values(problem, self.units)
        self._own: dict[tuple[bool, frozenset[str] | None], list[list[int]]] = {}
        self._places_of: dict[tuple[bool, frozenset[str] | None], Mapping[int, Sequence[tuple[int, int]]]] = {}
        self._known: dict[tuple[tuple[int, ...], bool, frozenset[str] | None], Edge] = {}

    def least(
        self,
        sorts: frozenset[str] | None = None,
        kept: Place | None = None,
    ) -> Least:
        """What fillings cost at least when only these sorts of check (and structure) count, all for None; ``kept``:
        those that keep the thing at a place."""
        held = tuple(self._held(sorts, kept, arrangements) for arrangements in self._choices(sorts))
        return Least(min((h.least for h in held), default=NEVER), held)

    def _choices(self, sorts: frozenset[str] | None) -> list[frozenset[str] | None]:
        """The arrangements that may hold together; None alone: whichever do."""
        if sorts is not None and ARRANGEMENT not in sorts:
            return [None]
        asked = set(self.problem.request.arrangements)
        choices = [c.arrangements for c in self.problem.places.layout.choices]
        held = [frozenset(one) for one in product(*([a for a in c if a in asked] or list(c) for c in choices))]
        return list(held) if len(held) <= MOST_ARRANGEMENTS else [None]

    def _held(
        self,
        sorts: frozenset[str] | None,
        kept: Place | None,
        held: frozenset[str] | None,
    ) -> Held:
        paired = sorts is None or AXLE in sorts
        variables = self._pairs if paired else self._singles
        edges = list(self._edges(variables, paired, sorts, held))
        values = [self._values.at(places, held) for places in variables]
        if (paired, held) not in self._own:
            self._own[paired, held] = [[v.cost for v in of] for of in values]
        own = self._own[paired, held]
        costs: list[Sequence[int]] = list(own)
        for v, extra in self._of_figures(sorts, paired, held).items():
            costs[v] = [min(NEVER, c + extra.get(i, 0)) for i, c in enumerate(costs[v])]
        if kept is not None:
            v = next(v for v, places in enumerate(variables) if kept in places)
            hand = variables[v].index(kept)
            costs[v] = [c if self._keeps(value, hand) else NEVER for value, c in zip(values[v], costs[v], strict=True)]
        reached = {v for edge in edges for v in edge.variables}
        tree = Network({v: costs[v] for v in sorted(reached)}, edges)
        return Held(variables, values, {v: of for v, of in enumerate(costs) if v not in reached}, tree)

    def _of_figures(
        self, sorts: frozenset[str] | None, paired: bool, held: frozenset[str] | None
    ) -> dict[int, dict[int, int]]:
        """What figures cost at least, by variable and number of its value."""
        found: dict[int, dict[int, int]] = {}
        where = self._where(paired, held)
        for figure in self._figures:
            counts = sorts is None or figure.sort in sorts
            idle = figure.arrangement and (held is None or figure.arrangement not in held)
            for number in figure.never if counts and not idle else ():
                for v, i in where.get(number, ()):
                    found.setdefault(v, {})[i] = NEVER
            for number in figure.not_known if counts and not idle else ():
                for v, i in where.get(number, ()):
                    here = found.setdefault(v, {})
                    here[i] = here.get(i, 0) + self.units.known
        return found

    def _where(self, paired: bool, held: frozenset[str] | None) -> Mapping[int, Sequence[tuple[int, int]]]:
        """The variables and values in which each candidate is."""
        key = paired, held
        if key not in self._places_of:
            found: dict[int, list[tuple[int, int]]] = {}
            for v, places in enumerate(self._pairs if paired else self._singles):
                for i, value in enumerate(self._values.at(places, held)):
                    for member in value.members:
                        if member is not None:
                            found.setdefault(member, []).append((v, i))
            self._places_of[key] = found
        return self._places_of[key]

    @cached_property
    def _figures(self) -> list[OpenFigure]:
        return list(open_figures(self.problem))

    def _keeps(self, value: Value, hand: int) -> bool:
        member = value.members[hand]
        return member is not None and self.problem.keeps_number(self.problem.numbered[member])

    @cached_property
    def _singles(self) -> list[tuple[Place, ...]]:
        return [(p,) for p in self.problem.places.all]

    @cached_property
    def _pairs(self) -> list[tuple[Place, ...]]:
        """The places, the two hands of one together."""
        problem = self.problem
        rights = {p.other_hand for p in problem.place_ids if p.side == SIDES[0]}
        return [(p, p.other_hand) if p.side == SIDES[0] else (p,) for p in problem.places.all if p not in rights]

    def every_value(self) -> Iterator[tuple[tuple[Place, ...], Sequence[Value]]]:
        """What may stand in places, one by one and the two hands of one together, whatever arrangements hold."""
        for variables in (self._singles, self._pairs):
            for held in self._choices(None):
                yield from ((places, self._values.at(places, held)) for places in variables)

    # ---- joints

    def _edges(
        self,
        variables: Sequence[tuple[Place, ...]],
        paired: bool,
        sorts: frozenset[str] | None,
        held: frozenset[str] | None,
    ) -> Iterator[Edge]:
        """All joints between two variables, each pair of variables once; of a joint within one nothing is known."""
        where = {p: (v, hand) for v, places in enumerate(variables) for hand, p in enumerate(places)}
        between: dict[tuple[int, int], list[int]] = {}
        for j in self.classes:
            at = self.problem.joint_ids[j]
            first, second = where[at.first][0], where[at.second][0]
            counts = sorts is None or self.problem.sort_of[at.joint.joint] in sorts
            idle = at.joint.arrangement and (held is None or at.joint.arrangement not in held)
            if first != second and counts and not idle:
                between.setdefault((min(first, second), max(first, second)), []).append(j)
        for ends, joints in between.items():
            key = tuple(joints), paired, held
            if key not in self._known:
                self._known[key] = self._edge(ends, joints, variables, held)
            yield self._known[key]

    def _edge(
        self,
        ends: tuple[int, int],
        joints: Sequence[int],
        variables: Sequence[tuple[Place, ...]],
        held: frozenset[str] | None,
    ) -> Edge:
        tables = []
        read: tuple[list[tuple[int, Mapping[int, int]]], list[tuple[int, Mapping[int, int]]]] = ([], [])
        for j in joints:
            at = self.problem.joint_ids[j]
            turned = at.first not in variables[ends[0]]
            tables.append((self.classes[j], turned))
            for end, place in enumerate((at.first, at.second)):
                side = end ^ turned
                read[side].append((variables[ends[side]].index(place), self.class_of(j, end)))
        first, second = (
            [self._signature(value, of_end) for value in self._values.at(variables[v], held)]
            for v, of_end in zip(ends, read, strict=True)
        )
        return Edge(ends, tables, (first, second), self._cost_of)

    @cached_property
    def _cost_of(self) -> Mapping[str, int]:
        known, unproven = self.units.of[NOT_KNOWN], self.units.of[UNPROVEN]
        return {NOTHING: 0, NO: NEVER, FIRST: known, OUTSIDE: known, OTHER: unproven}

    def class_of(self, joint: int, end: int) -> Mapping[int, int]:
        """The class of each candidate at an end of a joint."""
        return self.classes[joint].class_of[end]

    def _signature(self, value: Value, ends: Sequence[tuple[int, Mapping[int, int]]]) -> Signature:
        stays = self._stays
        return tuple(
            (-1, False) if (member := value.members[hand]) is None else (class_of[member], stays[member])
            for hand, class_of in ends
        )

    @cached_property
    def _stays(self) -> list[bool]:
        return [c.stays for c in self.problem.numbered]
