"""A planner of very many candidates: into the solver only those are loaded that can matter to what is asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from copy import copy
from functools import cached_property

import msgspec
from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.classes import all_classes
from knockon.queries.plan.solving.facts import Written
from knockon.queries.plan.solving.levels import NOT_KNOWN, UNKNOWN
from knockon.queries.plan.solving.loading import PLAN, Loading
from knockon.queries.plan.solving.patience import Found, Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.trials import Trials

FEW = 40_000
"""Candidates up to this number are all loaded: to find out which matter, and to load more as it is asked for, takes as
long as to load all."""


def planner_of(problem: Problem, patience: Patience | None = None) -> Planner:
    """A planner of a problem: of all its candidates where they are few, or where a kit is judged. Raises TooLarge."""
    if problem.kit or len(problem.numbered) <= FEW:
        return Planner(problem, patience)
    return Narrowed(problem, patience)


class _AskedOf(msgspec.Struct, frozen=True):
    """What is asked of fillings: the sorts of check (and structure) that count, a place whose thing is kept, and
    whether it must replace nothing only because it is not recorded."""

    sorts: tuple[str, ...]
    kept: Place | None = None
    is_plan: bool = False


class Narrowed(Planner):
    """A planner with some of a problem's candidates; what it answers is proven of all
    (queries/plan/solving/loading.py). Where it cannot be, it loads more, which grounds anew."""

    def __init__(self, problem: Problem, patience: Patience | None = None) -> None:
        self._added: list[tuple[str, tuple[int, ...], str]] = []
        self._most_unknown: int | None = None
        self._is_told_more = False
        super().__init__(problem, patience)

    def _load(self, loaded: Problem, written: Written | None) -> None:
        if written is None:
            written = Written(all_classes(loaded))
            self._loading = Loading(loaded, written.classes)
            loaded = loaded.only(self._loading.loaded)
        self._written = written
        super()._load(loaded, written)

    def _load_more(self) -> None:
        """Ground anew with all that is to be loaded; what trials have shown still holds."""
        trials = self._trials
        super()._load(self.problem.only(self._loading.loaded), self._written)
        for name, parameters, text in self._added:
            super()._add(name, parameters, text)
        if trials is not None:
            trials.go_on_with(self._control, self._switches, self._keeping)
        self._trials = trials

    def _add(self, name: str, parameters: Sequence[int] = (), text: str = "") -> None:
        self.__dict__.pop("_beside", None)
        self._added.append((name, tuple(parameters), text))
        super()._add(name, parameters, text)

    # ---- the best

    def best(self) -> Filling | None:
        """The best of all candidates; see ``Planner.best``."""
        return self._of_all(_AskedOf(tuple(self._but_unknown), is_plan=True), self._first_best)

    def filling_that_keeps(self, place: Place) -> Filling | None:
        """The best of all candidates; see ``Planner.filling_that_keeps``."""
        return self.best_of_only(self._but_unknown, place)

    def best_of_only(self, sorts: Iterable[str], kept: Place | None = None) -> Filling | None:
        """The best of all candidates; see ``Planner.best_of_only``."""
        return self._beside._proved(_AskedOf(tuple(sorts), kept), self._beside._first_best)

    def cost_of_keeping(self, place: Place) -> dict[str, int] | None:
        """Of all candidates; see ``Planner.cost_of_keeping``."""
        found = self._beside._proved(_AskedOf(tuple(self._but_unknown), place), self._beside._cheapest)
        return found.costs if found is not None else None

    @property
    def _but_unknown(self) -> list[str]:
        return [s for s in self._sorts if s != UNKNOWN]

    @cached_property
    def _beside(self) -> Narrowed:
        """Another planner of the same problem. To keep a thing may take much that nothing else asks for: with that
        loaded here, all other questions would take longer."""
        other = copy(self)
        other._loading = copy(self._loading)
        other._added, other._limits, other._trials = list(self._added), set(self._limits), None
        other._load_more()
        return other

    def _proved(self, asked: _AskedOf, search: Callable[[Sequence[int]], Filling | None]) -> Filling | None:
        if asked.kept is not None and self._kept(asked.kept) is None:
            return None
        found = self._of_all(asked, search)
        if found is not None and not found.proved:
            raise TimeUp
        return found

    def _of_all(self, asked: _AskedOf, search: Callable[[Sequence[int]], Filling | None]) -> Filling | None:
        """The best filling of what is asked, of all candidates; None if there is none. Raises TimeUp where none was
        found in the time."""
        best: Filling | None = None
        while True:
            try:
                found = search(self._assumed(asked))
            except TimeUp:
                if best is None:
                    raise
                return replace(best, proved=False)
            if found is None:
                if self._is_ruled_out(self._names_of(self._cited), asked.kept):
                    return None
                continue
            best = found
            if not best.proved:
                return best
            every = self._excluded > 0
            if not self._loading.add_no_worse(best.costs, frozenset(asked.sorts), asked.kept, of_equals_all=every):
                return best
            self._load_more()

    def _assumed(self, asked: _AskedOf) -> list[int]:
        plan = self._found("plan") if asked.is_plan else 0
        kept = self._kept(asked.kept) if asked.kept is not None else None
        return self._on(asked.sorts) + ([plan] if plan else []) + (kept or [])

    def _names_of(self, core: Iterable[int]) -> frozenset[str]:
        """The sorts of check that a proof needs, and whether it needs that the filling is a plan."""
        literals = {literal: sort for sort, literal in self._switches.items()}
        if plan := self._found("plan"):
            literals[plan] = PLAN
        return frozenset(literals[literal] for literal in core if literal in literals)

    # ---- what is possible

    def _is_ruled_out(self, cited: frozenset[str], kept: Place | None) -> bool:
        """Whether these checks leave no filling of all candidates, as they leave none of those that are loaded; where
        that is not proven more are loaded."""
        if self._is_told_more:
            more = self._loading.add_known(self._most_unknown, of_equals_all=self._excluded > 0)
        else:
            more = self._loading.add_unlike(cited, kept, self._limit if UNKNOWN in cited else None)
        if more:
            self._load_more()
            self._configure("ignore", models=1, heuristic="domain")
        return not more

    def _new_trials(self) -> Trials:
        return Trials(self._control, self._switches, self._keeping, self.patience, self._is_ruled_out)

    def may_stay(self, unknown_limited: bool) -> Found[Place]:
        """Of all candidates; see ``Planner.may_stay``."""
        super().may_stay(unknown_limited)
        sorts = [s for s in self._sorts if unknown_limited or s != UNKNOWN]
        found: list[Place] = []
        try:
            found.extend(p for p in self.problem.places.all if self.trials.is_possible(sorts, p))
        except TimeUp:
            return Found(found, whole=False)
        return Found(found, whole=True)

    def possible(self, unknown_limited: bool = False) -> Found[Candidate]:
        """Of all candidates; see ``Planner.possible``."""
        self._load_possible(self._limit if unknown_limited else None)
        return super().possible(unknown_limited)

    def numbers_possible(self, numbers: Iterable[str]) -> Found[str]:
        """Of all candidates; see ``Planner.numbers_possible``."""
        self._load_possible(None)
        return super().numbers_possible(numbers)

    def _load_possible(self, most_unknown: int | None) -> None:
        if self._loading.add_possible(most_unknown):
            self._load_more()

    def exclude(self, filling: Filling) -> None:
        """See ``Planner.exclude``."""
        self._is_told_more = True
        super().exclude(filling)

    def exclude_no_better(self, costs: dict[str, int]) -> None:
        """See ``Planner.exclude_no_better``."""
        known = costs[NOT_KNOWN]
        self._is_told_more = True
        self._most_unknown = known if self._most_unknown is None else min(known, self._most_unknown)
        super().exclude_no_better(costs)
