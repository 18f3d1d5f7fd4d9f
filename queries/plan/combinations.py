"""Combinations: which parts go together around given ones, on a bare layout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout import Places
from knockon.graph.model.things import SetAside
from knockon.queries.answers import SHORT_CAUTIONS, cautions_on
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.solving.unproven import unproven_checks
from knockon.queries.plan.swap import Filled, filled_places


@dataclass(frozen=True, slots=True)
class PossiblePart:
    """A part that stands in at least one consistent filling; ``only_unknown``: only in fillings that rest on more
    unknowns
    than the best one."""

    number: str
    only_unknown: bool


@dataclass(frozen=True, slots=True)
class PossibleAt:
    """The parts that may stand in a position (both hands together)."""

    position: str
    arrangement: str
    parts: tuple[PossiblePart, ...]


@dataclass(frozen=True, slots=True)
class Combination:
    """One consistent filling, with its costs and what is unproven in it."""

    arrangement: str
    costs: dict[str, int]
    filled: tuple[Filled, ...]
    unproven: tuple[Evidence, ...]


@dataclass(frozen=True, slots=True)
class CombinationsAnswer:
    """For each position the parts of some consistent filling, and the first fillings in order of preference.

    ``set_aside``: rows of the layout that could not be used, so that nobody checks them. ``lacks_checks``: usual
    checks that it lacks.
    """

    layout: str
    given: tuple[str, ...]
    possible: tuple[PossibleAt, ...]
    combinations: tuple[Combination, ...]
    none: Reason | None
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()


def combinations(
    catalogue: Catalogue, layout_name: str, given: Sequence[str] = (), first: int = 3, avoid: Sequence[str] = ()
) -> CombinationsAnswer:
    """Answer which parts go together. Raises RequestError or UnknownNameError."""
    places = Places(catalogue.find("layout", layout_name))
    request = read_request(catalogue, places, want=given, avoid=avoid)
    problem = Problem(Checks(catalogue, places), None, request)
    planner = Planner(problem)
    best = planner.best()
    said = (*request.arrangements, *(w.text for w in request.wants))
    aside = touching(catalogue, [places.layout], places.positions)
    lacks = lacking(catalogue, [places.layout])
    cautions = (*cautions_on(catalogue, [places.layout]), *told(aside), *lacking_told(lacks))
    if best is None:
        asked = places_asked(w.places for w in request.wants)
        none = Reasoner(planner, None, asked).reason_for_none()
        return CombinationsAnswer(places.layout.layout, said, (), (), none, cautions, aside, lacks)
    possible = planner.possible()
    planner.limit_unknowns(best.costs[NOT_KNOWN])
    proven = planner.possible(unknown_limited=True)
    table: dict[str, dict[str, bool]] = {}
    for candidate in problem.numbered:
        if candidate in possible:
            parts = table.setdefault(candidate.place.position, {})
            parts[candidate.number] = parts.get(candidate.number, True) and candidate not in proven
    fillings: list[Combination] = []
    while best is not None and len(fillings) < first:
        held, unproven = places.layout.said(best.arrangements), unproven_checks(problem, best)
        fillings.append(Combination(held, best.costs, filled_places(places, best), unproven))
        if len(fillings) < first:
            planner.exclude(best)
            best = planner.best()
    return CombinationsAnswer(
        layout=places.layout.layout,
        given=said,
        possible=tuple(
            PossibleAt(
                p,
                places.layout.said([places.positions[p].arrangement]),
                tuple(PossiblePart(n, u) for n, u in sorted(parts.items())),
            )
            for p, parts in table.items()
        ),
        combinations=tuple(fillings),
        none=None,
        cautions=cautions,
        set_aside=aside,
        lacks_checks=lacks,
    )
