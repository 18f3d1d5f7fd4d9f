"""Conditions turned round: what the sizes beside a part leave of each window for the part's own size."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from knockon.graph.judge.beliefs import Known, known_of
from knockon.graph.judge.conditions import window_of
from knockon.graph.judge.figures import limits_of
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.rules import Condition
from knockon.graph.model.things import Feature
from knockon.graph.triples.sums import Term
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import values_of
from knockon.queries.fits.checking.size_names import FeatureSize
from knockon.queries.plan.openings.specified import (
    BY_FORMULA,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    REQUIRED,
    Ask,
    Limit,
    Stated,
)
from knockon.queries.plan.solving.problem import Problem

# ---- joints


def of_joint(problem: Problem, chosen: Mapping[Place, Candidate], at: JointAt, place: Place) -> Iterator[Ask | Stated]:
    """What a joint asks of the part in a place, by what stands at the other end."""
    rule = problem.checks.rule_of(at)
    here = at.end_at(place)
    beside = at.beyond(here)
    other = chosen[beside.place]
    recorded = problem.checks.catalogue.features_of(other.thing).get(beside.feature)
    parts = (f"{other.number}, {beside.place}",)
    for condition in rule.conditions:
        own = [t for t in condition.terms if rule.end_of(t).number == here.number]
        if condition.need == "told" or not own:
            continue
        theirs = [t for t in condition.terms if rule.end_of(t).number == beside.number]
        base = Limit(at.joint.joint, condition.label, parts if theirs else (), condition.source)
        yield from _of_condition(
            problem, condition, (own, theirs), (here.feature, beside.feature), recorded, base, other.thing
        )


def _of_condition(
    problem: Problem,
    condition: Condition,
    terms: tuple[list[Term], list[Term]],
    features: tuple[str, str],
    recorded: Feature | None,
    base: Limit,
    thing: str,
) -> Iterator[Ask | Stated]:
    own, theirs = terms
    known = [known_of(recorded.dimensions.get(t.dimension, ())) if recorded else Known() for t in theirs]
    vocabulary = problem.checks.catalogue.vocabulary
    sizes = tuple(
        v
        for t in theirs
        for v in values_of(vocabulary, recorded, t.dimension, thing, FeatureSize(features[1], t.dimension))
        if v.computes
    )
    nominal = any(s.nominal for k in known for s in k.sizes)
    window = window_of(condition, nominal) or _plain(condition)
    dimensions = list(dict.fromkeys(t.dimension for t in own))
    value = _expression(features[0], own, condition.formula)

    def stated(because: str, low: float, high: float) -> Stated:
        return Stated(
            check=base.check,
            condition=condition.label,
            need=condition.need,
            because=because,
            value=value,
            low=_finite(low),
            high=_finite(high),
            unit=condition.unit,
            parts=base.parts,
            source=base.source,
            sizes=sizes,
        )

    if not all(k.sizes for k in known):
        yield stated(NOT_RECORDED_BESIDE, *window)
    elif condition.formula:
        yield stated(BY_FORMULA, *window)
    elif condition.same_code:
        codes = sorted({v.written for v in sizes})
        yield from (Ask(features[0], dimensions[0], condition.need, code=replace(base, code=c)) for c in codes)
    else:
        ends = [_scaled(t.factor, k) for t, k in zip(theirs, known, strict=True)]
        low, high, sure = _left(window, sum(a for a, _ in ends), sum(b for _, b in ends))
        if len(dimensions) > 1:
            yield stated(OF_SEVERAL, low, high)
        else:
            factor = sum(t.factor for t in own)
            yield from _ask(features[0], dimensions[0], condition.need, factor, (low, high), replace(base, sure=sure))


def _plain(condition: Condition) -> tuple[float, float]:
    """A condition's own window, where nominal sizes beside leave it open: what new parts are made to."""
    return (
        -math.inf if condition.low is None else condition.low,
        math.inf if condition.high is None else condition.high,
    )


def _scaled(factor: float, known: Known) -> tuple[float, float]:
    """The share of a sum that a size has, over all that is believed of it."""
    lows = [-math.inf if s.low is None else s.low for s in known.sizes]
    highs = [math.inf if s.high is None else s.high for s in known.sizes]
    ends = sorted((factor * min(lows), factor * max(highs)))
    return ends[0], ends[1]


def _left(window: tuple[float, float], low: float, high: float) -> tuple[float, float, bool]:
    """What [low, high] leaves of a window for the rest of the sum, for certain; where that is nothing, perhaps."""
    ends = window[0] - low, window[1] - high
    if ends[0] <= ends[1] + 1e-9:
        return (*ends, True)
    return window[0] - high, window[1] - low, False


def _ask(
    feature: str, dimension: str, need: str, factor: float, ends: tuple[float, float], base: Limit
) -> Iterator[Ask]:
    """A window of ``factor`` times a dimension, as one of the dimension."""
    if not factor:
        return
    low, high = sorted(end / factor for end in ends)
    if math.isfinite(low):
        yield Ask(feature, dimension, need, low=replace(base, value=round(low, 6)))
    if math.isfinite(high):
        yield Ask(feature, dimension, need, high=replace(base, value=round(high, 6)))


def _expression(feature: str, terms: Sequence[Term], formula: str) -> str:
    """The part's own sizes in a condition, as they stand in it."""
    if formula:
        return f"{formula.replace('_', ' ')} of {feature}: {', '.join(dict.fromkeys(t.dimension for t in terms))}"
    return f"{feature}: {_sum_words([(t.factor, t.dimension) for t in terms])}"


def _sum_words(terms: Iterable[tuple[float, str]]) -> str:
    said = ""
    for factor, name in terms:
        size = name if abs(factor) == 1 else f"{abs(factor):g} x {name}"
        said += f" {'-' if factor < 0 else '+'} {size}" if said else f"{'-' if factor < 0 else ''}{size}"
    return said


def _finite(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None


# ---- stacks and figures


def of_figure(
    problem: Problem, chosen: Mapping[Place, Candidate], at: FigureAt, place: Place
) -> Iterator[Ask | Stated]:
    """What a stack or figure asks of the part in a place, by what stands in the others."""
    figure, checks = at.figure, problem.checks
    terms = list(zip(figure.terms, at.places, strict=True))
    own = [t for t, p in terms if p == place]
    rest = [(t, checks.term(at, i, chosen.get(p))) for i, (t, p) in enumerate(terms) if p != place]
    beside = dict.fromkeys(p for p in at.places if p != place and p in chosen)
    parts = tuple(f"{chosen[p].number}, {p}" for p in beside)
    limits = limits_of(figure, checks.as_made_value(at, problem.vehicle))
    low, high = (-math.inf if limits[0] is None else limits[0], math.inf if limits[1] is None else limits[1])
    names = list(dict.fromkeys((t.feature, t.dimension) for t in own))
    words = _sum_words((t.factor, f"{t.feature}: {t.dimension}") for t in own)
    value = f"{figure.formula.replace('_', ' ')} of {words}" if figure.formula else words

    def stated(because: str, ends: tuple[float, float]) -> Stated:
        return Stated(
            check=figure.figure,
            condition=figure.figure,
            need=REQUIRED,
            because=because,
            value=value,
            low=_finite(ends[0]),
            high=_finite(ends[1]),
            unit=figure.unit,
            parts=parts,
            source=figure.source,
        )

    if any(not v.is_sized for _, v in rest):
        yield stated(NOT_RECORDED_BESIDE, (low, high))
        return
    if figure.formula:
        yield stated(BY_FORMULA, (low, high))
        return
    shares = [sorted((t.factor * min(a for a, _ in v.sizes), t.factor * max(b for _, b in v.sizes))) for t, v in rest]
    left, right, sure = _left((low, high), sum(s[0] for s in shares), sum(s[1] for s in shares))
    if len(names) > 1:
        yield stated(OF_SEVERAL, (left, right))
        return
    base = Limit(figure.figure, figure.figure, parts, figure.source, sure=sure)
    yield from _ask(*names[0], REQUIRED, sum(t.factor for t in own), (left, right), base)
