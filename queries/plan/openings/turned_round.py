"""Joints turned round: what the sizes beside a part leave of each window for the part's own size."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import product

import msgspec
from msgspec.structs import replace

from knockon.graph.formulas import formula
from knockon.graph.judge.beliefs import Interface, Known, interface_of, known_of
from knockon.graph.judge.conditions import Bounds, Side, dimensions_of, not_written, state_of, value_by, window_of
from knockon.graph.judge.verdicts import NO, YES
from knockon.graph.model.layouts.layout import JointAt, Place, PlaceEnd
from knockon.graph.model.rules import Condition, FitRule
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature
from knockon.graph.triples.sums import Term
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf
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
    BY_FORMULA,
    CONTESTED_BESIDE,
    NO_BESIDE,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    REQUIRED,
    Ask,
    Limit,
    Stated,
)
from knockon.queries.plan.openings.turning import largest_of, span_of, window_where
from knockon.queries.plan.solving.problem import Problem


class _Beside(msgspec.Struct, frozen=True):
    """What stands at the other end of a joint, as one condition reads it: the terms of either end, what is known of
    those beside, and of the code that counts there whether nobody wrote it."""

    problem: Problem
    rule: FitRule
    here: PlaceEnd
    there: PlaceEnd
    thing: str
    number: str
    recorded: Feature | None
    interface: Interface

    def known(self, terms: Sequence[Term]) -> list[Known]:
        """What computes of each term."""
        recorded = self.recorded
        return [known_of(recorded.dimensions.get(t.dimension, ())) if recorded else Known() for t in terms]

    def sizes(self, terms: Iterable[Term]) -> tuple[Value, ...]:
        """The statements that compute."""
        vocabulary, name = self.problem.checks.catalogue.vocabulary, self.there.feature
        found = (
            v
            for t in terms
            for v in values_of(vocabulary, self.recorded, t.dimension, self.thing, FeatureSize(name, t.dimension))
        )
        return tuple(dict.fromkeys(v for v in found if v.computes))

    def lacking(self, terms: Sequence[Term]) -> tuple[SizeOf, ...]:
        """The sizes that nobody recorded, of the thing in its place."""
        named = f"{self.number}, {self.there.place}"
        without = (t for t, k in zip(terms, self.known(terms), strict=True) if not k.sizes)
        return tuple(dict.fromkeys(SizeOf(named, self.there.feature, column_of(t.dimension)) for t in without))

    def usual_code(self, condition: Condition, term: Term) -> str:
        """The code that counts of it because nobody wrote one; blank: none does."""
        usual = dict(zip(condition.terms, condition.usual, strict=False)).get(term, "")
        end = self.rule.ends[self.there.number]
        side = Side(dimensions_of(self.rule, end.role), (self.interface,))
        return usual if usual and any(not_written(side, term.dimension)) else ""


def of_joint(problem: Problem, chosen: Mapping[Place, Candidate], at: JointAt, place: Place) -> Iterator[Ask | Stated]:
    """What a joint asks of the part in a place, by what stands at the other end."""
    rule = problem.checks.rule_of(at)
    here = at.end_at(place)
    there = at.beyond(here)
    other = chosen[there.place]
    end = rule.ends[there.number]
    recorded = problem.checks.feature_at(end, other.thing, there.feature)
    interface = interface_of(recorded, dimensions_of(rule, end.role))
    beside = _Beside(problem, rule, here, there, other.thing, other.number, recorded, interface)
    parts = (f"{other.number}, {there.place}",)
    if interface.presence in ("absent", "contested"):
        because = ABSENT_BESIDE if interface.presence == "absent" else CONTESTED_BESIDE
        named = at.joint.joint
        yield Stated(named, named, REQUIRED, because, there.feature, None, None, "", parts, "")
    if interface.presence == "absent":
        return
    for condition in (c for c in rule.conditions if c.need != "told"):
        theirs = [t for t in condition.terms if rule.end_of(t).number == there.number]
        base = Limit(at.joint.joint, condition.label, parts if theirs else (), condition.source)
        yield from _of_condition(beside, condition, base)


def _of_condition(beside: _Beside, condition: Condition, base: Limit) -> Iterator[Ask | Stated]:
    rule, feature = beside.rule, beside.here.feature
    own = [t for t in condition.terms if rule.end_of(t).number == beside.here.number]
    theirs = [t for t in condition.terms if rule.end_of(t).number == beside.there.number]
    known, sizes = beside.known(theirs), beside.sizes(theirs)
    base = replace(base, sizes=sizes)
    nominal = any(s.nominal for k in known for s in k.sizes)
    window = window_of(condition, nominal) or _plain(condition)

    def stated(because: str, ends: tuple[float, float]) -> Stated:
        return Stated(
            check=base.check,
            condition=condition.label,
            need=condition.need,
            because=because,
            value=_expression(feature if own else beside.there.feature, own or theirs, condition.formula),
            low=finite_or_none(ends[0]),
            high=finite_or_none(ends[1]),
            unit=condition.unit,
            parts=base.parts,
            source=base.source,
            sizes=sizes,
            lacking=beside.lacking(theirs) if because == NOT_RECORDED_BESIDE else (),
        )

    if condition.same_code and own:
        written = {v.written.casefold(): v.written for v in sizes}
        codes = {s.code for k in known for s in k.sizes if s.code is not None}
        usual = "" if codes or not theirs else beside.usual_code(condition, theirs[0])
        asked = [replace(base, code=written.get(c, c), sure=len(codes) == 1) for c in sorted(codes)]
        asked += [replace(base, code=usual, assumed=True)] if usual else []
        yield from (Ask(feature, own[0].dimension, condition.need, code=limit) for limit in asked)
        if not asked:
            yield stated(NOT_RECORDED_BESIDE, INFINITE)
    elif not all(k.sizes for k in known):
        yield stated(NOT_RECORDED_BESIDE, window)
    elif not own:
        if _is_ruled_out(condition, theirs, known, nominal):
            yield stated(NO_BESIDE, window)
    elif condition.formula:
        yield from or_stated(_by_formula(beside, condition, own, base), stated(BY_FORMULA, window))
    else:
        pairs = list(zip(theirs, known, strict=True))
        left = left_of(window, *_share(pairs))[:2]
        named = [(t.factor, t.dimension) for t in own]
        several = upright(stated(OF_SEVERAL, left), named, f"{feature}: ")
        yield from or_stated(_by_sum(condition, own, pairs, feature, base), several)


def _is_ruled_out(condition: Condition, theirs: Sequence[Term], known: Sequence[Known], nominal: bool) -> bool:
    """Whether a condition on what stands beside alone is a no."""
    if condition.formula or condition.same_code:
        return False
    low, high = _share(zip(theirs, known, strict=True))
    return state_of(Bounds(low, high, nominal), window_of(condition, nominal)) == NO


def _by_sum(
    condition: Condition, own: Sequence[Term], theirs: Sequence[tuple[Term, Known]], feature: str, base: Limit
) -> list[Ask]:
    """The windows of the one own size in a sum: of a measured one, and of one that is stated without limits where that
    is another; none where several decide together."""
    dimensions = list(dict.fromkeys(t.dimension for t in own))
    factor = sum(t.factor for t in own)
    if len(dimensions) > 1 or not factor:
        return []

    def asked(own_nominal: bool) -> tuple[list[Ask], bool]:
        low, high, sure, beyond = _of_each(condition, theirs, own_nominal)
        limit = replace(base, sure=sure)
        asks = asks_of(feature, dimensions[0], condition.need, factor, (low, high), limit, beyond or INFINITE)
        return list(asks), beyond is not None

    (measured, _), (nominal, is_judged) = asked(False), asked(True)
    if not is_judged:
        return [replace(a, nominal_open=True) for a in measured]
    if measured == nominal:
        return measured
    return [*measured, *(replace(a, nominal=True) for a in nominal or [Ask(feature, dimensions[0], condition.need)])]


def _of_each(
    condition: Condition, theirs: Sequence[tuple[Term, Known]], own_nominal: bool
) -> tuple[float, float, bool, tuple[float, float] | None]:
    """What all that is believed beside leaves of the window together, whether a size in it is sure to agree, and beyond
    what one is a no (None: such a size is not judged at all); where none is sure, the window in which one may agree."""
    sure: list[tuple[float, float]] = []
    perhaps: list[tuple[float, float]] = []
    is_sure = is_judged = True
    for sizes in product(*(k.sizes for _, k in theirs)):
        window = window_of(condition, own_nominal or any(s.nominal for s in sizes))
        share = _share((t, Known((s,))) for (t, _), s in zip(theirs, sizes, strict=True))
        low, high, agrees = left_of(window or _plain(condition), *share)
        is_judged = is_judged and window is not None
        is_sure = is_sure and window is not None and agrees and all(map(math.isfinite, share))
        sure.append((low, high))
        perhaps.append(may_be_left_of(window or _plain(condition), *share))
    left = max(a for a, _ in sure), min(b for _, b in sure)
    beyond = max(a for a, _ in perhaps), min(b for _, b in perhaps)
    if any(k.contested for _, k in theirs):  # each may be the one to believe
        beyond = min(a for a, _ in perhaps), max(b for _, b in perhaps)
    judged = beyond if is_judged else None
    if is_sure and left[0] <= left[1] + 1e-9:
        return (*left, True, judged)
    return (*beyond, False, judged)


def _by_formula(beside: _Beside, condition: Condition, own: Sequence[Term], base: Limit) -> list[Ask]:
    """The window of the one own size that a formula takes, where its value only rises with it, or only falls; none
    where several count, or none that is usual gives it."""
    dimensions = list(dict.fromkeys(t.dimension for t in own))
    feature = beside.here.feature
    usual = span_of(beside.problem, beside.here.place, feature, dimensions[0]) if len(dimensions) == 1 else None
    if usual is None:
        return []
    function = formula(condition.formula)
    mine = [beside.rule.end_of(t).number == beside.here.number for t in condition.terms]
    choices = [(None,) if m else beside.known([t])[0].sizes for t, m in zip(condition.terms, mine, strict=True)]

    def at(value: float) -> tuple[bool, float] | None:
        found = []
        for sizes in product(*choices):
            bounds = tuple(
                Bounds(value, value, False)
                if s is None
                else Bounds(math.nan if s.low is None else s.low, math.nan if s.high is None else s.high, s.nominal)
                for s in sizes
            )
            of = value_by(function, bounds)
            found.append((state_of(of, window_of(condition, of.nominal)) == YES, of.low))
        return all(yes for yes, _ in found), found[0][1]

    bound = window_where(at, usual, largest_of(beside.problem, feature, dimensions[0]))
    return as_found(feature, dimensions[0], condition.need, bound, base) if bound is not None else []


def _plain(condition: Condition) -> tuple[float, float]:
    """A condition's own window, where nominal sizes beside leave it open: what new parts are made to."""
    return (
        -math.inf if condition.low is None else condition.low,
        math.inf if condition.high is None else condition.high,
    )


def _share(terms: Iterable[tuple[Term, Known]]) -> tuple[float, float]:
    """What some terms add to a sum, over all that is believed of each."""
    ends = [_scaled(t.factor, k) for t, k in terms]
    return sum(a for a, _ in ends), sum(b for _, b in ends)


def _scaled(factor: float, known: Known) -> tuple[float, float]:
    """The share of a sum that a size has, over all that is believed of it."""
    lows = [-math.inf if s.low is None else s.low for s in known.sizes]
    highs = [math.inf if s.high is None else s.high for s in known.sizes]
    ends = sorted((factor * min(lows), factor * max(highs)))
    return ends[0], ends[1]


def _expression(feature: str, terms: Sequence[Term], formula: str) -> str:
    """The part's own sizes in a condition, as they stand in it."""
    if formula:
        return f"{formula.replace('_', ' ')} of {feature}: {', '.join(dict.fromkeys(t.dimension for t in terms))}"
    return f"{feature}: {sum_words([(t.factor, t.dimension) for t in terms])}"
