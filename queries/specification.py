"""What a part would have to be: the windows that its neighbours leave, worked back from the rules.

A part that nobody has recorded can still be looked for, or made, if one knows what the parts beside it ask of it. Each
condition of each joint of its place is turned round: what the neighbour's sizes leave of the allowed window is what the
part's own dimension may be, whatever the neighbour's size is within what is known of it. Conditions that are sums or
differences of one dimension give a window, codes must be equal; what cannot be turned round is said as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from knockon.graph.beliefs import Known, known_of
from knockon.graph.figures import limits_of
from knockon.graph.fit import window_of
from knockon.graph.layout import FigureAt, JointAt, Place
from knockon.graph.model import Feature
from knockon.graph.schema import Condition, Table, Term
from knockon.queries.candidates import Candidate
from knockon.queries.evidence import UNITS, Value, values_of
from knockon.queries.planner import Filling
from knockon.queries.problem import Problem
from knockon.queries.unproven import figures_that_count, joints_that_count

REQUIRED, SUPPORTING, ASKED = "required", "supporting", "asked"
BY_FORMULA = "worked out by a formula"
OF_SEVERAL = "several of its own sizes decide together"
NOT_RECORDED_BESIDE = "a size beside it is not recorded"


@dataclass(frozen=True, slots=True)
class Limit:
    """One end of a window (in the window's unit), or a ``code``, and what sets it: the condition of a check, the
    ``parts`` beside (with the places where they stand), the source of the rule's own limit. Not ``sure``: the size
    beside is known so loosely that no size is sure to agree; then the window is where one may."""

    check: str
    condition: str
    parts: tuple[str, ...]
    source: str
    value: float | None = None
    code: str = ""
    sure: bool = True


@dataclass(frozen=True, slots=True)
class Window:
    """What one dimension of a feature may be: from ``low`` to ``high``, both included, or one of the codes that all of
    ``codes`` allow. ``need``: required, supporting, or asked."""

    feature: str
    kind: str
    dimension: str
    datatype: str
    unit: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    codes: tuple[Limit, ...] = ()

    @property
    def is_empty(self) -> bool:
        """Whether nothing lies in it: two neighbours contradict each other."""
        if (
            self.low is not None
            and self.high is not None
            and self.low.value is not None
            and self.high.value is not None
        ):
            return self.low.value > self.high.value + 1e-6
        by_check: dict[str, set[str]] = {}
        for limit in self.codes:
            by_check.setdefault(f"{limit.check}, {limit.condition}", set()).add(limit.code.casefold())
        return bool(by_check) and not set.intersection(*by_check.values())


@dataclass(frozen=True, slots=True)
class Stated:
    """A condition that gives no window of one dimension, and ``because`` of what.

    Of several own sizes ``value`` is their sum, which must lie within [low, high]. Of a formula, and where a size
    beside is not recorded, it names the own sizes that count, and the window is that of the whole. ``sizes`` are those
    beside.
    """

    check: str
    condition: str
    need: str
    because: str
    value: str
    low: float | None
    high: float | None
    unit: str
    parts: tuple[str, ...]
    source: str
    sizes: tuple[Value, ...] = ()


@dataclass(frozen=True, slots=True)
class Specification:
    """What a part in ``places`` would have to be: the features that it must have, a window for each dimension, and the
    conditions that give none. Not ``is_possible``: no part can meet it, since its neighbours contradict each other."""

    position: str
    part_type: str
    places: tuple[str, ...]
    features: tuple[str, ...]
    windows: tuple[Window, ...]
    stated: tuple[Stated, ...]

    @property
    def is_possible(self) -> bool:
        """Whether no window is empty."""
        return not any(w.is_empty for w in self.windows)


@dataclass(frozen=True, slots=True)
class _Ask:
    """One end of one condition, turned round: a dimension of the part with a limit."""

    feature: str
    dimension: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    code: Limit | None = None


def specification(problem: Problem, filling: Filling, place: Place) -> Specification:
    """What the rest of a filling asks of the part in a place."""
    position = problem.places.positions[place.position]
    asks: list[_Ask | Stated] = []
    features: dict[str, None] = {}
    for at in joints_that_count(problem, filling):
        if place in (at.first, at.second):
            features[at.joint.feature if at.first == place else at.joint.other_feature] = None
            asks += _of_joint(problem, filling.chosen, at, place)
    for figure in figures_that_count(problem, filling):
        if place in figure.places:
            features |= dict.fromkeys(
                t.feature for t, p in zip(figure.figure.terms, figure.places, strict=True) if p == place
            )
            asks += _of_figure(problem, filling.chosen, figure, place)
    asks += _of_wishes(problem, place)
    windows = tuple(_windows(problem, place.position, [a for a in asks if isinstance(a, _Ask)]))
    stated = tuple(dict.fromkeys(a for a in asks if isinstance(a, Stated)))
    return Specification(place.position, position.part_type, (str(place),), tuple(features), windows, stated)


def specifications(problem: Problem, filling: Filling) -> tuple[Specification, ...]:
    """Those of all parts yet to be found in a filling, both hands in one where they ask the same sizes."""
    found: list[Specification] = []
    for place in problem.places.all:
        if place in filling.chosen and filling.chosen[place].to_be_found:
            one = specification(problem, filling, place)
            alike = next((i for i, s in enumerate(found) if _same(s, one)), None)
            if alike is None:
                found.append(one)
            else:
                found[alike] = replace(found[alike], places=(*found[alike].places, str(place)))
    return tuple(found)


def _same(one: Specification, other: Specification) -> bool:
    """Whether two places of a position ask the same, whoever asks it."""

    def sizes(spec: Specification) -> tuple[object, ...]:
        windows = [
            (w.feature, w.dimension, w.need, w.low and w.low.value, w.high and w.high.value, {x.code for x in w.codes})
            for w in spec.windows
        ]
        return spec.position, spec.features, windows, [(s.check, s.condition, s.low, s.high) for s in spec.stated]

    return sizes(one) == sizes(other)


# ---- joints


def _of_joint(
    problem: Problem, chosen: Mapping[Place, Candidate], at: JointAt, place: Place
) -> Iterator[_Ask | Stated]:
    rule = problem.checks.rule_of(at)
    is_first = place == at.first
    role = rule.first_role if is_first else rule.second_role
    feature, beside = at.joint.feature, at.joint.other_feature
    if not is_first:
        feature, beside = beside, feature
    neighbour = at.second if is_first else at.first
    other = chosen[neighbour]
    recorded = problem.checks.catalogue.features_of(other.thing).get(beside)
    parts = (f"{other.number}, {neighbour}",)
    for condition in rule.conditions:
        own = [t for t in condition.terms if t.role == role]
        if condition.need == "told" or not own:
            continue
        theirs = [t for t in condition.terms if t.role != role]
        base = Limit(at.joint.joint, condition.label, parts if theirs else (), condition.source)
        yield from _of_condition(problem, condition, (own, theirs), (feature, beside), recorded, base, other.thing)


def _of_condition(
    problem: Problem,
    condition: Condition,
    terms: tuple[list[Term], list[Term]],
    features: tuple[str, str],
    recorded: Feature | None,
    base: Limit,
    thing: str,
) -> Iterator[_Ask | Stated]:
    own, theirs = terms
    known = [known_of(recorded.dimensions.get(t.dimension, ())) if recorded else Known() for t in theirs]
    vocabulary = problem.checks.catalogue.vocabulary
    sizes = tuple(
        v
        for t in theirs
        for v in values_of(vocabulary, recorded, t.dimension, thing, f"{features[1]}: {t.dimension}")
        if v.computes
    )
    nominal = any(s.nominal for k in known for s in k.sizes)
    window = window_of(condition, nominal) or _plain(condition)
    dimensions = list(dict.fromkeys(t.dimension for t in own))
    value = _expression(features[0], own, condition.formula)

    def stated(because: str, low: float, high: float) -> Stated:
        return Stated(
            base.check, condition.label, condition.need, because, value, _finite(low), _finite(high), condition.unit,
            base.parts, base.source, sizes,
        )  # fmt: skip

    if not all(k.sizes for k in known):
        yield stated(NOT_RECORDED_BESIDE, *window)
    elif condition.formula:
        yield stated(BY_FORMULA, *window)
    elif condition.same_code:
        codes = sorted({v.written for v in sizes})
        yield from (_Ask(features[0], dimensions[0], condition.need, code=replace(base, code=c)) for c in codes)
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
) -> Iterator[_Ask]:
    """A window of ``factor`` times a dimension, as one of the dimension."""
    if not factor:
        return
    low, high = sorted(end / factor for end in ends)
    if math.isfinite(low):
        yield _Ask(feature, dimension, need, low=replace(base, value=round(low, 6)))
    if math.isfinite(high):
        yield _Ask(feature, dimension, need, high=replace(base, value=round(high, 6)))


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


def _of_figure(
    problem: Problem, chosen: Mapping[Place, Candidate], at: FigureAt, place: Place
) -> Iterator[_Ask | Stated]:
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
            figure.figure, figure.figure, REQUIRED, because, value, _finite(ends[0]), _finite(ends[1]), figure.unit,
            parts, figure.source,
        )  # fmt: skip

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


def _of_wishes(problem: Problem, place: Place) -> Iterator[_Ask]:
    """What the user asks of the sizes of what stands there."""
    for wish in (w for w in problem.request.wants if place in w.places and w.dimension):
        feature = wish.feature or next(iter(_features_with(problem, place, wish.dimension)), "")
        base = Limit(wish.text, ASKED, (), "")
        if wish.low is not None:
            yield _Ask(feature, wish.dimension, ASKED, low=replace(base, value=round(wish.low, 6)))
        if wish.high is not None:
            yield _Ask(feature, wish.dimension, ASKED, high=replace(base, value=round(wish.high, 6)))


def _features_with(problem: Problem, place: Place, dimension: str) -> Iterator[str]:
    for feature in sorted(problem.places.features_at(place.position)):
        kind = _kind(problem, place.position, feature)
        if kind is not None and any(c.name == dimension.partition(".")[0] for c in kind.columns):
            yield feature


# ---- windows


def _kind(problem: Problem, position: str, feature: str) -> Table | None:
    """The kind of a feature in a position: as a joint there reads it, else as it is recorded of anything."""
    for at in problem.places.joints:
        rule = problem.checks.rule_of(at)
        ends = ((at.first, at.joint.feature, rule.first_kind), (at.second, at.joint.other_feature, rule.second_kind))
        for place, name, kind in ends:
            if place.position == position and name == feature:
                return problem.checks.catalogue.vocabulary.kinds.get(kind)
    return problem.checks.kind_of(feature)


def _windows(problem: Problem, position: str, asks: Sequence[_Ask]) -> Iterator[Window]:
    """One window a dimension and need: the narrowest of what is asked."""
    together: dict[tuple[str, str, str], list[_Ask]] = {}
    for ask in asks:
        together.setdefault((ask.feature, ask.dimension, ask.need), []).append(ask)
    for (feature, dimension, need), found in together.items():
        kind = _kind(problem, position, feature)
        name, _, part = dimension.partition(".")
        datatype = next((c.datatype for c in kind.columns if c.name == name), "") if kind else ""
        lows = [a.low for a in found if a.low is not None]
        highs = [a.high for a in found if a.high is not None]
        yield Window(
            feature=feature,
            kind=kind.label if kind else "",
            dimension=dimension,
            datatype=datatype,
            unit=UNITS.get((datatype, part), ""),
            need=need,
            low=max(lows, key=_value, default=None),
            high=min(highs, key=_value, default=None),
            codes=tuple(dict.fromkeys(a.code for a in found if a.code is not None)),
        )


def _value(limit: Limit) -> float:
    return limit.value if limit.value is not None else math.nan
