"""Where the verdict of some check may change as one reading moves: finitely many values.

Between two neighbours among these values no check of the thing, beside whatever may stand at its other ends, has
another verdict; so no plan does. They are more than need be, and are found without asking the solver:

- A sum changes where its lower or upper end crosses an end of its window, for each thing at the other end.
- A value by formula is looked at in ``SAMPLES`` values, and where either end of it lies on another side of a limit in
  two neighbours, the value between them at which it crosses is found by halving: formulas rise or fall between them.
- A stack or figure is a sum or formula over all that may stand in its other places, as far as these are different.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import pairwise, product

from msgspec.structs import replace

from knockon.graph.formulas import formula
from knockon.graph.judge.beliefs import EPSILON, Known, known_of, presence_of
from knockon.graph.judge.conditions import Bounds, value_by, window_of
from knockon.graph.judge.figures import TermValue, limits_of, value_of
from knockon.graph.model.layouts.layout import FigureAt, JointAt, PlaceEnd
from knockon.graph.model.rules import Condition
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.turning.supposed import Read

PER_UNIT = 1000
"""Steps of a reading in its base unit: whole micrometres of a length, thousandths of anything else."""
SAMPLES = 32
NEAR = 1e-3
MOST_SUMS = 50_000
MOST_WAYS = 2_000
Ends = tuple[float, float]


class TooMany(Exception):
    """More combinations of other things than can be looked at one by one."""


def breakpoints(problem: Problem, read: Read, within: float, least: int, most: int) -> set[float]:
    """The values, in steps of the base unit, from ``least`` to ``most``; one that is as good as a whole step is just
    that. ``within``: the ± of the reading. Raises TooMany."""
    found: set[float] = set()
    for at in problem.places.joints:
        for end in at.ends:
            if end.place == read.place and end.feature == read.feature:
                found |= set(_of_joint(problem, at, end, read.column, within, (least, most)))
    for figure in problem.places.figures:
        terms = zip(figure.places, figure.figure.terms, strict=True)
        mine = [
            i
            for i, (p, t) in enumerate(terms)
            if p == read.place and t.feature == read.feature and column_of(t.dimension) == read.column
        ]
        if mine:
            found |= set(_of_figure(problem, figure, mine, within, (least, most)))
    return {v for v in found if least <= v <= most}


def outward(points: Iterable[float], start: float, out: int) -> list[int]:
    """From a start towards one side the first whole step of each stretch between neighbours among some points, and the
    points that are whole steps; the nearest first."""
    found: set[int] = set()
    for point in points:
        whole = round(point)
        if point == whole:
            found |= {whole, whole + out}
        else:
            found.add(math.ceil(point) if out > 0 else math.floor(point))
    return sorted((v for v in found if (v - start) * out > 0), key=lambda v: v * out)


def _in_steps(value: float) -> Iterator[float]:
    """A value in steps; one as good as a whole step is just that."""
    if math.isfinite(value):
        steps = value * PER_UNIT
        yield float(round(steps)) if abs(steps - round(steps)) <= NEAR else steps


# ---- joints


def _of_joint(
    problem: Problem, at: JointAt, end: PlaceEnd, column: str, within: float, around: tuple[int, int]
) -> Iterator[float]:
    rule, other = problem.checks.rule_of(at), at.beyond(end)
    own = problem.staying(end.place)
    catalogue = problem.checks.catalogue
    things = {c.thing for c in problem.candidates[other.place]}
    beside = list(dict.fromkeys(_key(catalogue.features_of(t).get(other.feature)) for t in sorted(things)))
    mine = catalogue.features_of(own.thing).get(end.feature) if own is not None else None
    for condition in rule.conditions:
        here = [t for t in condition.terms if rule.end_of(t).number == end.number]
        moving = [t for t in here if column_of(t.dimension) == column]
        if condition.need == "told" or not moving or condition.same_code:
            continue
        for theirs in beside:
            sizes = [
                None
                if t in moving
                else _bounds(known_of((mine.dimensions if mine else {}).get(t.dimension, ())))
                if t in here
                else _bounds(dict(theirs).get(t.dimension, Known()))
                for t in condition.terms
            ]
            yield from _of_condition(condition, [list(b) if b else None for b in sizes], within, around)


def _key(feature: Feature | None) -> tuple[tuple[str, Known], ...]:
    if feature is None or presence_of(feature) == "absent":
        return ()
    return tuple((d, known_of(s)) for d, s in sorted(feature.dimensions.items()))


def _bounds(known: Known) -> tuple[Bounds, ...]:
    """The sizes that may compute; a missing one makes a condition open whatever is read."""
    return tuple(
        Bounds(math.nan if s.low is None else s.low, math.nan if s.high is None else s.high, s.nominal)
        for s in known.sizes
    )


def _of_condition(
    condition: Condition, sizes: Sequence[list[Bounds] | None], within: float, around: tuple[int, int]
) -> Iterator[float]:
    if any(b is not None and not b for b in sizes):
        return
    for chosen in product(*([None] if b is None else b for b in sizes)):
        if condition.formula:
            yield from _by_formula(condition, chosen, within, around)
        else:
            yield from _of_sum(condition, chosen, within)


def _of_sum(condition: Condition, chosen: Sequence[Bounds | None], within: float) -> Iterator[float]:
    factor = sum(t.factor for t, b in zip(condition.terms, chosen, strict=True) if b is None)
    if not factor:
        return
    rest = [
        sorted((t.factor * b.low, t.factor * b.high))
        for t, b in zip(condition.terms, chosen, strict=True)
        if b is not None
    ]
    ends = (sum(r[0] for r in rest), sum(r[1] for r in rest))
    limits = {w for nominal in (False, True) for w in window_of(condition, nominal) or ()}
    for limit, end, off in product(limits, ends, (-within, within)):
        yield from _in_steps((limit - end) / factor + off)


def _by_formula(
    condition: Condition, chosen: Sequence[Bounds | None], within: float, around: tuple[int, int]
) -> Iterator[float]:
    function = formula(condition.formula)

    def value(steps: int) -> tuple[Ends, Sequence[float]] | None:
        read = Bounds(steps / PER_UNIT - within, steps / PER_UNIT + within, False)
        found = value_by(function, tuple(read if b is None else b for b in chosen))
        window = window_of(condition, found.nominal)
        return ((found.low, found.high), window) if window is not None and not math.isnan(found.low) else None

    yield from _crossings(value, *around)


def _crossings(value: Callable[[int], tuple[Ends, Sequence[float]] | None], low: int, high: int) -> Iterator[float]:
    """Steps between which an end of a value comes to lie on another side of a limit, or there is no value: both."""

    @cache
    def sides(steps: int) -> tuple[bool, ...]:
        found = value(steps)
        if found is None:
            return (False,)
        ends, limits = found
        return (True, *(x for limit in limits for e in ends for x in (e < limit - EPSILON, e > limit + EPSILON)))

    samples = [round(low + (high - low) * i / SAMPLES) for i in range(SAMPLES + 1)]
    waiting = list(pairwise(samples))
    while waiting:
        a, b = waiting.pop()
        if sides(a) == sides(b):
            continue
        if b - a <= 1:
            yield from (float(a), float(b))
            continue
        middle = (a + b) // 2
        waiting += [(a, middle), (middle, b)]


# ---- stacks and figures


def _of_figure(
    problem: Problem, at: FigureAt, mine: Sequence[int], within: float, around: tuple[int, int]
) -> Iterator[float]:
    as_made = problem.checks.as_made_value(at, problem.vehicle)
    limits = [x for x in limits_of(at.figure, as_made) if x is not None]
    others = _others(problem, at, mine)
    if not at.figure.formula:
        factor = sum(at.figure.terms[i].factor for i in mine)
        for rest in _sums(at, others) if factor else ():
            for limit, off in product(limits, (-within, within)):
                yield from _in_steps((limit - rest) / factor + off)
        return
    yield from _by_combination(at, mine, others, limits, within, around) if limits else ()


def _others(problem: Problem, at: FigureAt, mine: Sequence[int]) -> list[list[dict[int, TermValue]]]:
    """For each other place of a figure what may stand there contributes, each once, by the number of the term; of the
    place itself what its other terms do."""
    found = []
    for place in dict.fromkeys(at.places):
        terms = [i for i, p in enumerate(at.places) if p == place and i not in mine]
        if terms:
            here = [None, *problem.candidates[place]]
            values = dict.fromkeys(tuple(problem.checks.term(at, i, c) for i in terms) for c in here)
            sized = [v for v in values if all(t.is_sized for t in v)]
            single = dict.fromkeys(one for v in sized for one in product(*(_each(t) for t in v)))
            found.append([dict(zip(terms, v, strict=True)) for v in single])
    return found


def _each(value: TermValue) -> list[TermValue]:
    """A value of several statements as each of them has it, and over all."""
    low, high = min(a for a, _ in value.sizes), max(b for _, b in value.sizes)
    return [replace(value, sizes=(size,)) for size in dict.fromkeys((*value.sizes, (low, high)))]


def _sums(at: FigureAt, others: Sequence[Sequence[dict[int, TermValue]]]) -> Iterable[float]:
    """All ends that the rest of a sum may have, low or high, in its unit."""
    lows, highs = {0.0}, {0.0}
    for choices in others:
        ends = {_ends(at, c) for c in choices}
        lows = {round(a + low, 6) for a in lows for low, _ in ends}
        highs = {round(a + high, 6) for a in highs for _, high in ends}
        if len(lows) + len(highs) > MOST_SUMS:
            raise TooMany
    return lows | highs


def _ends(at: FigureAt, chosen: dict[int, TermValue]) -> Ends:
    spans = [
        sorted((at.figure.terms[i].factor * low, at.figure.terms[i].factor * high))
        for i, value in chosen.items()
        for low, high in value.sizes
    ]
    return sum(s[0] for s in spans), sum(s[1] for s in spans)


def _by_combination(
    at: FigureAt,
    mine: Sequence[int],
    others: Sequence[Sequence[dict[int, TermValue]]],
    limits: Sequence[float],
    within: float,
    around: tuple[int, int],
) -> Iterator[float]:
    if math.prod(len(c) for c in others) > MOST_WAYS:
        raise TooMany
    for chosen in product(*others):
        known = {i: v.sizes[0] for one in chosen for i, v in one.items()}

        def value(steps: int, known: dict[int, Ends] = known) -> tuple[Ends, Sequence[float]] | None:
            read = (steps / PER_UNIT - within, steps / PER_UNIT + within)
            terms = [TermValue((read if i in mine else known[i],)) for i in range(len(at.places))]
            found = value_of(at.figure, terms)
            return (found[:2], limits) if found is not None else None

        yield from _crossings(value, *around)
