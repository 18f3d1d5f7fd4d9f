"""Combinations: which parts go together around given ones, on a bare layout."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.things import SetAside
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.counting.count import count_combinations
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import BEST_PLAN, COUNTING, MAY_STAY, OTHER_PLANS, Patience
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.solving.undecided import (
    BEST,
    LESS_SURE,
    NUMBER,
    OTHERS,
    PLAN,
    POSSIBLE,
    WHY_NONE,
    NotDecided,
    Undecided,
    is_undecided,
)
from knockon.queries.plan.solving.unproven import unproven_checks
from knockon.queries.plan.swap import Filled, filled_places


class PossiblePart(msgspec.Struct, frozen=True):
    """A part that stands in at least one consistent filling; ``only_unknown``: only in fillings that rest on more
    unknowns
    than the best one."""

    number: str
    only_unknown: bool


class PossibleAt(msgspec.Struct, frozen=True):
    """The parts that may stand in a position (both hands together)."""

    position: str
    arrangement: str
    parts: tuple[PossiblePart, ...]


class Combination(msgspec.Struct, frozen=True):
    """One consistent filling, with its costs and what is unproven in it."""

    arrangement: str
    costs: dict[str, int]
    filled: tuple[Filled, ...]
    unproven: tuple[Evidence, ...]


class Counted(msgspec.Struct, frozen=True):
    """How many combinations there are: the ``number`` in decimal digits, as a text since it can have a hundred of them.
    Where it is not ``exact`` there are at least so many.

    Two combinations differ if in some place of the layout different parts stand, or something and nothing. All are
    counted that meet the request and in which no check is a no, also those that rest on checks that are not known: as
    many as a ``first`` without end would list.
    """

    number: str
    exact: bool


class CombinationsAnswer(Answer, frozen=True):
    """For each position the parts of some consistent filling, the first fillings in order of preference, and how many
    there are (``counted`` None: too many to count, or not counted in the time).

    ``set_aside``: rows of the layout that could not be used, so that nobody checks them. ``lacks_checks``: usual
    checks that it lacks.
    """

    layout: str
    given: tuple[str, ...]
    possible: tuple[PossibleAt, ...] = ()
    combinations: tuple[Combination, ...] = ()
    counted: Counted | None = None
    none: Reason | None = None
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()
    not_decided: tuple[NotDecided, ...] = ()


def combinations(
    catalogue: Catalogue,
    layout_name: str,
    given: Sequence[str] = (),
    first: int = 3,
    avoid: Sequence[str] = (),
    patience: Patience | None = None,
) -> CombinationsAnswer:
    """Answer which parts go together. Raises RequestError or UnknownNameError."""
    places = Places(catalogue.find("layout", layout_name))
    request = read_request(catalogue, places, want=given, avoid=avoid)
    problem = Problem(Checks(catalogue, places), None, request)
    planner = planner_of(problem, patience)
    undecided = Undecided(planner.patience)
    planner.patience.heard(BEST_PLAN, 0, 0)
    best = undecided.in_time(planner.best, None, PLAN)
    aside = touching(catalogue, [places.layout], places.positions)
    lacks = lacking(catalogue, [places.layout])
    answer = CombinationsAnswer(
        layout=places.layout.layout,
        given=(*request.arrangements, *(w.text for w in request.wants)),
        cautions=(*cautions_on(catalogue, [places.layout]), *told(aside), *lacking_told(lacks)),
        set_aside=aside,
        lacks_checks=lacks,
    )
    counted = undecided.in_time(lambda: _counted(problem, planner.patience), None, NUMBER)
    planner.patience.again()
    if best is None:
        none = None
        if not is_undecided(undecided.all, PLAN):
            reasoner = Reasoner(planner, None, places_asked(w.places for w in request.wants))
            none = undecided.in_time(reasoner.reason_for_none, None, WHY_NONE)
        return replace(answer, none=none, counted=counted, not_decided=undecided.all)
    if not best.proved:
        undecided.add(BEST)
    possible = tuple(_possible(planner, best, undecided))
    found = tuple(_fillings(planner, best, first, undecided))
    return replace(answer, possible=possible, combinations=found, counted=counted, not_decided=undecided.all)


def _counted(problem: Problem, patience: Patience) -> Counted | None:
    """How many combinations there are, counted as long as a search may take. Raises TimeUp."""
    limited = patience.anew()

    def told(done: int, whole: int) -> None:
        patience.heard(COUNTING, done, whole)
        limited.check()

    found = count_combinations(problem, told)
    return Counted(str(found.number), found.exact) if found else None


def _possible(planner: Planner, best: Filling, undecided: Undecided) -> Iterator[PossibleAt]:
    """The parts of each position that stand in some consistent filling; from here on the planner limits unknowns to
    those of the best."""
    planner.patience.heard(MAY_STAY, 0, 0)
    possible = planner.possible()
    planner.limit_unknowns(best.costs[NOT_KNOWN])
    proven = planner.possible(unknown_limited=True)
    if not possible.whole:
        undecided.add(POSSIBLE)
    if not proven.whole or (not best.proved and best.costs[NOT_KNOWN]):
        undecided.add(LESS_SURE)
    table: dict[str, dict[str, bool]] = {}
    for candidate in planner.problem.numbered:
        if candidate in possible or candidate in proven:
            parts = table.setdefault(candidate.place.position, {})
            parts[candidate.number] = parts.get(candidate.number, True) and candidate not in proven
    places = planner.problem.places
    for position, parts in table.items():
        arrangement = places.layout.said([places.positions[position].arrangement])
        yield PossibleAt(position, arrangement, tuple(PossiblePart(n, u) for n, u in sorted(parts.items())))


def _fillings(planner: Planner, best: Filling, first: int, undecided: Undecided) -> Iterator[Combination]:
    """The best fillings, one after the other; each is excluded before the next is sought."""
    filling: Filling | None = best
    for left in range(first, 0, -1):
        if filling is None:
            break
        places = planner.problem.places
        yield Combination(
            arrangement=places.layout.said(filling.arrangements),
            costs=filling.costs,
            filled=filled_places(places, filling),
            unproven=unproven_checks(planner.problem, filling),
        )
        if left > 1 and not filling.proved:  # which is the next best nobody can say then
            undecided.add(OTHERS)
            break
        if left > 1:
            planner.patience.heard(OTHER_PLANS, first - left, first)
            planner.exclude(filling)
            filling = undecided.in_time(planner.best, None, OTHERS)
