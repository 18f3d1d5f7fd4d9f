"""Stacks and figures turned round: what the rest of a sum, or of a formula, leaves for the part's own size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from knockon.graph.judge.figures import FAR, TermValue, judge_figure, limits_of
from knockon.graph.model.layouts.layout import FigureAt, Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.plan.openings.left_over import (
    INFINITE,
    as_found,
    asks_of,
    finite_or_none,
    left_of,
    may_be_left_of,
    or_stated,
    sum_words,
    upright,
)
from knockon.queries.plan.openings.specified import (
    ABSENT_BESIDE,
    AGREED,
    BY_FORMULA,
    CONTESTED_BESIDE,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    REQUIRED,
    Ask,
    Limit,
    Stated,
)
from knockon.queries.plan.openings.turning import largest_of, span_of, window_where
from knockon.queries.plan.solving.problem import Problem


def of_figure(
    problem: Problem, chosen: Mapping[Place, Candidate], at: FigureAt, place: Place
) -> Iterator[Ask | Stated]:
    """What a stack or figure asks of the part in a place, by what stands in the others."""
    figure, checks = at.figure, problem.checks
    terms = list(zip(figure.terms, at.places, strict=True))
    own = [t for t, p in terms if p == place]
    rest = [(t, p, checks.term(at, i, chosen.get(p))) for i, (t, p) in enumerate(terms) if p != place]
    beside = dict.fromkeys(p for p in at.places if p != place and p in chosen)
    parts = tuple(f"{chosen[p].number}, {p}" for p in beside)
    as_made = checks.as_made_value(at, problem.vehicle)
    limits = limits_of(figure, as_made)
    low, high = (-math.inf if limits[0] is None else limits[0], math.inf if limits[1] is None else limits[1])
    names = list(dict.fromkeys((t.feature, t.dimension) for t in own))
    words = sum_words((t.factor, f"{t.feature}: {t.dimension}") for t in own)
    value = f"{figure.formula.replace('_', ' ')} of {words}" if figure.formula else words
    lacking = tuple(
        SizeOf(f"{chosen[p].number}, {p}" if p in chosen else p, t.feature, t.dimension)
        for t, p, v in rest
        if v.missing
    )
    if figure.compared_with == "as made" and as_made is None:
        lacking += tuple(checks.missing_as_made(at, problem.vehicle)) or (SizeOf("the vehicle as made", "", ""),)

    def stated(because: str, ends: tuple[float, float]) -> Stated:
        return Stated(
            check=figure.figure,
            condition=figure.figure,
            need=REQUIRED,
            because=because,
            value=value,
            low=finite_or_none(ends[0]),
            high=finite_or_none(ends[1]),
            unit=figure.unit,
            parts=parts,
            source=figure.source,
            lacking=lacking,
        )

    if any(v.absent for *_, v in rest):
        yield stated(ABSENT_BESIDE, INFINITE)
        return
    if any(v.maybe_absent for *_, v in rest):
        yield stated(CONTESTED_BESIDE, INFINITE)
    # a set that stands beside, whole, may state it as made: then only a no speaks against it
    by_set = checks.is_stated(at, {**chosen, place: Candidate(place, "", "", "")})
    if lacking:
        if not by_set:
            yield stated(NOT_RECORDED_BESIDE, (low, high))
        return
    base = Limit(figure.figure, figure.figure, parts, figure.source)
    if figure.formula:
        yield from or_stated(_figure_by_formula(problem, chosen, at, place, base), stated(BY_FORMULA, (low, high)))
        return
    shares = [_of_term(t.factor, v) for t, _, v in rest]
    share = sum(s[0] for s in shares), sum(s[1] for s in shares)
    beyond = may_be_left_of((low, high), *share)
    left, right, sure = (*beyond, True) if by_set else left_of((low, high), *share)
    if len(names) > 1:
        yield upright(stated(OF_SEVERAL, (left, right)), [(t.factor, f"{t.feature}: {t.dimension}") for t in own])
        return
    if any(v.contested for *_, v in rest):
        beyond = INFINITE  # which is to be believed decides
    yield from asks_of(*names[0], REQUIRED, sum(t.factor for t in own), (left, right), replace(base, sure=sure), beyond)


def _of_term(factor: float, value: TermValue) -> tuple[float, float]:
    """What a term adds to a sum, over all that is said of it; a size without an end has none."""
    lows = [-math.inf if low <= -FAR else low for low, _ in value.sizes]
    highs = [math.inf if high >= FAR else high for _, high in value.sizes]
    ends = sorted((factor * min(lows), factor * max(highs))) if factor else [0.0, 0.0]
    return ends[0], ends[1]


def _figure_by_formula(
    problem: Problem, chosen: Mapping[Place, Candidate], at: FigureAt, place: Place, base: Limit
) -> list[Ask]:
    """The window of the one own size in a figure by formula, found by the value at which its verdict turns."""
    figure, checks = at.figure, problem.checks
    own = list(
        dict.fromkeys((t.feature, t.dimension) for t, p in zip(figure.terms, at.places, strict=True) if p == place)
    )
    usual = span_of(problem, place, *own[0]) if len(own) == 1 else None
    if usual is None:
        return []
    as_made = checks.as_made_value(at, problem.vehicle)
    fixed = [None if p == place else checks.term(at, i, chosen.get(p)) for i, p in enumerate(at.places)]

    def at_value(value: float) -> tuple[bool, float] | None:
        known = [TermValue(((value, value),)) if t is None else t for t in fixed]
        found = judge_figure(figure, known, as_made)
        return None if found.low is None else (found.verdict in AGREED, found.low)

    bound = window_where(at_value, usual, largest_of(problem, *own[0]))
    return as_found(*own[0], REQUIRED, bound, base) if bound is not None else []
