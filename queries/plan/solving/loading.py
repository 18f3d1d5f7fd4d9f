"""Which of many candidates are loaded into the solver, so that what it says of them holds of all.

*A filling that was found* is one of the whole problem: the program reads of a candidate nothing that hangs on others
that do not stand there, and sets are loaded whole.

*The best filling* of those that are loaded costs no less than the best of all. Every filling that costs no more than
it has only candidates whose least cost (queries/plan/solving/bounds.py) is no more. So once all of those are loaded,
but for what another is preferred to wherever it stands (queries/plan/solving/preferred.py), the best filling that is
found is the best of all.

*No filling*: the solver cites the checks that its proof needs. Where these alone leave no filling of the relaxation,
the proof holds of all candidates. Else candidates are taken together that these checks and the structure of a filling
cannot tell apart: those of the same classes in the cited joints, that contribute the same to the cited figures, of
which the same stays, is of the same set, lacks the same feature and keeps its number. Of each sort that may stand in
a filling of the relaxation one is loaded. Then the proof holds of all: in any filling each could be exchanged for the
one that is loaded, and what the solver ruled out would be a filling.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Set
from functools import cached_property, lru_cache

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.apart import Apart
from knockon.queries.plan.solving.bounds import Bounds, Least
from knockon.queries.plan.solving.classes import JointClasses
from knockon.queries.plan.solving.levels import ARRANGEMENT, AXLE, UNKNOWN
from knockon.queries.plan.solving.preferred import Preferred
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.tree_costs import NEVER
from knockon.queries.plan.solving.values import Value

PLAN = "plan"
"""Among what a proof cites: that the filling replaces nothing only because it is not recorded."""
FIRST_LOADED = 6
"""So many candidates of a place are loaded to begin with, the cheapest."""
MOST_AT_ONCE = 400
"""So many candidates are loaded at once where a better filling is sought, or as many again as are loaded."""


class Loading:
    """The candidates of one problem that are loaded, by their numbers in ``loaded``."""

    def __init__(self, problem: Problem, classes: Mapping[int, JointClasses]) -> None:
        self.problem = problem
        self._bounds = Bounds(problem, classes)
        self._apart = Apart(problem, self._bounds)
        self._all = self._bounds.least()
        self._least = lru_cache(maxsize=4)(self._bounds.least)
        self.loaded: set[int] = set()
        self._cited: dict[Place | None, set[str]] = {}
        self._add(list(self._first()))
        for _places, values in self._bounds.every_value():
            self._add(list(self._first_of_each(values, frozenset())))

    def add_no_worse(
        self, costs: Mapping[str, int], sorts: frozenset[str], kept: Place | None, of_equals_all: bool
    ) -> bool:
        """Load what may stand in a filling that costs no more, when only these sorts of check count and a thing is
        kept; whether there was such. Of very many those that may stand in the cheapest: with them a cheaper one may
        be found, which fewer may better. ``of_equals_all``: also what another is preferred to wherever it stands."""
        return self._add_best(self._least_of(sorts, kept), self._bounds.units.packed(costs), of_equals_all)

    def add_known(self, most_unknown: int | None, of_equals_all: bool) -> bool:
        """The same of fillings with no more checks not known than this."""
        return self._add_best(self._all, self._up_to(most_unknown), of_equals_all)

    def add_possible(self, most_unknown: int | None) -> bool:
        """Load what may stand in any filling, with no more checks not known than this; whether there was such."""
        return self._add_up_to(self._all, self._up_to(most_unknown))

    def add_unlike(self, cited: frozenset[str], kept: Place | None, most_unknown: int | None) -> bool:
        """Load what shows more of whether the cited checks leave a filling that keeps a thing; whether there was such.
        If not, they leave none."""
        limit = self._up_to(most_unknown)
        least = self._least(cited - {PLAN, UNKNOWN}, kept)
        if least.any > limit:
            return False
        if self._add(self._all.witness(self._keeping(kept), limit)):
            return True
        # with the checks of earlier proofs too, of which this one is often a variant: so fewer rounds of loading do
        together = self._cited.setdefault(kept, set())
        together |= cited
        return self._add(self._of_each_sort(least, together, limit))

    # ---- what is loaded

    def _add(self, numbers: Iterable[int]) -> bool:
        """Load these, and what goes with them: all of a set, and what is alike on the other hand; whether any is
        new."""
        waiting = [n for n in numbers if n not in self.loaded]
        added = bool(waiting)
        while waiting:
            number = waiting.pop()
            if number not in self.loaded:
                self.loaded.add(number)
                waiting += self._going_with(self.problem.numbered[number])
        return added

    def _add_best(self, least: Least, limit: int, of_equals_all: bool) -> bool:
        found: dict[int, int] = {}
        for held in least.held:
            within = {v: [(x, c) for x, c in held.costs_at(v) if c <= limit] for v in range(len(held.variables))}
            if not of_equals_all:
                there = {m for of in within.values() for value, _ in of for m in value.members if m is not None}
                preferred = Preferred(self._bounds, self._apart, there)
                within = {v: preferred.of(held.variables[v], of) for v, of in within.items()}
            for of in within.values():
                for value, cost in of:
                    found |= {m: min(cost, found.get(m, cost)) for m in value.members if m is not None}
        ranked = sorted((cost, m) for m, cost in found.items() if m not in self.loaded)
        return self._add([m for _, m in ranked[: max(MOST_AT_ONCE, len(self.loaded))]])

    def __copy__(self) -> Loading:
        other = object.__new__(Loading)
        other.__dict__ |= self.__dict__
        other.loaded, other._cited = set(self.loaded), {place: set(cited) for place, cited in self._cited.items()}
        return other

    def _add_up_to(self, least: Least, limit: int) -> bool:
        return self._add([number for number, cost in least.with_each.items() if cost <= limit])

    def _going_with(self, candidate: Candidate) -> Iterator[int]:
        ids = self.problem.ids
        if candidate.set_use is not None:
            yield from (ids[member] for member in self.problem.of_set[candidate.set_use].values())
        if candidate.place.side:
            yield from self._by_key.get((candidate.place.other_hand, candidate.alike), ())

    @cached_property
    def _by_key(self) -> dict[tuple[Place, str], list[int]]:
        found: dict[tuple[Place, str], list[int]] = {}
        for candidate, number in self.problem.ids.items():
            if candidate.place.side:
                found.setdefault((candidate.place, candidate.alike), []).append(number)
        return found

    def _first(self) -> Iterator[int]:
        """What stays, what nobody recorded, what keeps its number, the cheapest of every place, and one of each sort
        that structure alone can tell apart."""
        ids, cost = self.problem.ids, self._all.of
        for candidates in self.problem.candidates.values():
            numbers = sorted((ids[c] for c in candidates if cost(ids[c]) < NEVER), key=lambda n: (cost(n), n))
            yield from numbers[:FIRST_LOADED]
            yield from (
                ids[c] for c in candidates if c.stays or not c.recorded or c.to_be_found or self.problem.keeps_number(c)
            )

    def _keeping(self, kept: Place | None) -> list[int]:
        """The candidates that keep a place's thing; all where nothing is to be kept."""
        ids = self.problem.ids
        if kept is None:
            return list(ids.values())
        return [ids[c] for c in self.problem.candidates[kept] if self.problem.keeps_number(c)]

    def _least_of(self, sorts: frozenset[str], kept: Place | None) -> Least:
        every = sorts.issuperset(self._every_sort)
        if every and kept is None:
            return self._all
        return self._least(None if every else sorts, kept)

    @cached_property
    def _every_sort(self) -> frozenset[str]:
        return frozenset((*self.problem.sorts, ARRANGEMENT, AXLE))

    def _up_to(self, most_unknown: int | None) -> int:
        return NEVER - 1 if most_unknown is None else self._bounds.units.no_less_known(most_unknown)

    # ---- candidates that some checks cannot tell apart

    def _of_each_sort(self, least: Least, cited: Set[str], limit: int) -> Iterator[int]:
        """Of each sort of value that costs no more than the limit the members of the first, where none is loaded; where
        nothing is cited all sorts are."""
        for held in least.held:
            for v, places in enumerate(held.variables):
                if not cited.isdisjoint(sort for p in places for sort in self._apart.checks_at[p]):
                    yield from self._first_of_each([v for v, cost in held.costs_at(v) if cost <= limit], cited)

    def _first_of_each(self, values: Iterable[Value], cited: Set[str]) -> Iterator[int]:
        """The members of the first value of each sort of which none is loaded."""
        missing: dict[tuple[Hashable, ...], Value] = {}
        there: set[tuple[Hashable, ...]] = set()
        for value in values:
            sort = tuple(None if m is None else self._apart.sort_of(m, cited) for m in value.members)
            if all(m is None or m in self.loaded for m in value.members):
                there.add(sort)
            else:
                missing.setdefault(sort, value)
        for sort, value in missing.items():
            if sort not in there:
                yield from (m for m in value.members if m is not None)
