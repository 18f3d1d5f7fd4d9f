"""Stacks and figures: a signed sum, or a named formula, of sizes through several positions; three-valued like
everything.

Sums are made in whole steps of 10 nm (1e-5 of the base unit), so that they are exact and the planner's sums are
the same.
Of sizes that equal sources contradict each is believed in turn: the verdict is what all beliefs give, or disputed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import product

import msgspec
from msgspec.structs import replace

from knockon.graph.formulas import formula
from knockon.graph.formulas.interval import Interval
from knockon.graph.judge.beliefs import Known, known_of, presence_of
from knockon.graph.judge.verdicts import ON_THE_ITEM, OTHER_RANK, SAFE_RANK, Verdict, combine, worst
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm
from knockon.graph.model.things import Feature

STEPS = 100_000
FAR = 10_000.0  # beyond any size in a record
Held = tuple[tuple[str, float], ...]
"""Values of what a formula assumes, by name."""


class TermValue(msgspec.Struct, frozen=True):
    """What one term contributes, in the base unit: one interval for each statement that computes.

    An ``empty`` position counts zero, an ``absent`` feature is a no (``maybe_absent``: equal sources say that it
    is there
    and that it is not); ``contested`` when the statements contradict each other.
    """

    sizes: tuple[tuple[float, float], ...] = ((0.0, 0.0),)
    empty: bool = False
    absent: bool = False
    maybe_absent: bool = False
    missing: bool = False
    contested: bool = False
    rank: int = 0
    kept: bool = False

    @property
    def is_sized(self) -> bool:
        """Whether it has a value to add."""
        return not (self.absent or self.missing)

    @property
    def beliefs(self) -> int:
        """How many ways there are to believe its statements: one unless they contradict each other."""
        return len(self.sizes) if self.contested else 1

    def _ends(self, factor: float, belief: int | None) -> list[tuple[int, int]]:
        if self.contested and belief is not None:
            return [_steps(factor, self.sizes[belief % len(self.sizes)])]
        return [_steps(factor, size) for size in self.sizes]

    def steps(self, factor: float, belief: int | None = None) -> tuple[int, int]:
        """The span of the term's share of the sum, in whole steps, over all statements, or where those contradict
        each other over the one that is believed."""
        ends = self._ends(factor, belief)
        return min(a for a, _ in ends), max(b for _, b in ends)

    def worst_steps(self, factor: float, belief: int | None = None) -> tuple[int, int]:
        """(largest low end, smallest high end) over statements that overlap; of those that contradict each other
        the one that is believed, or the span of all."""
        if self.contested and belief is None:
            return self.steps(factor)
        ends = self._ends(factor, belief)
        return max(a for a, _ in ends), min(b for _, b in ends)

    def is_weak(self, safety_critical: bool) -> bool:
        """Whether it is known on evidence too weak for "fits"."""
        worst_rank = ON_THE_ITEM if self.kept else (SAFE_RANK if safety_critical else OTHER_RANK)
        return not self.empty and self.rank > worst_rank


EMPTY = TermValue(empty=True)


def _steps(factor: float, size: tuple[float, float]) -> tuple[int, int]:
    ends = sorted(round(factor * end * STEPS) for end in size)
    return ends[0], ends[1]


class FigureResult(msgspec.Struct, frozen=True):
    """The value of a figure (None: a term is missing), its verdict, and the indices of the terms that are missing.

    ``low`` and ``high`` span all statements, worst case; ``spread`` is the half-width as a root sum of squares.
    """

    verdict: Verdict
    low: float | None = None
    high: float | None = None
    missing: tuple[int, ...] = ()
    only_kept_missing: bool = False
    spread: float | None = None


def term_value(features: Mapping[str, Feature], term: FigureTerm, kept: bool) -> TermValue:
    """What is known of one term on one thing."""
    feature = features.get(term.feature)
    presence = presence_of(feature)
    if presence == "absent":
        return TermValue(absent=True, kept=kept)
    known = known_of(feature.dimensions.get(term.dimension, ())) if feature else Known()
    torn = presence == "contested"
    if not known.sizes:
        return TermValue(missing=True, maybe_absent=torn, kept=kept)
    sizes = tuple((-FAR if s.low is None else s.low, FAR if s.high is None else s.high) for s in known.sizes)
    return TermValue(sizes, maybe_absent=torn, contested=known.contested, rank=known.rank, kept=kept)


def limits_of(figure: Figure, as_made: float | None) -> tuple[float | None, float | None]:
    """The closed window of a figure; ``as_made`` is the value that the vehicle as made has."""
    if figure.compared_with == "as made":
        return as_made, figure.high
    return figure.low, figure.high


@lru_cache(maxsize=100_000)
def _by_formula(
    name: str, roles: tuple[str, ...], bounds: tuple[tuple[float, float], ...], assumed: Held
) -> tuple[float, float] | None:
    known = formula(name)
    # what came in as RDF may name a role that the formula has not: then nothing is known of the figure
    if not set(known.arguments[: known.required]) <= set(roles) <= set(known.arguments) or len(set(roles)) < len(roles):
        return None
    try:
        found = known(**{r: Interval(a, b) for r, (a, b) in zip(roles, bounds, strict=True)}, **dict(assumed))
    except (ValueError, ZeroDivisionError):
        return None
    return (found.low, found.high) if isinstance(found, Interval) else (found, found)


def _value(figure: Figure, sizes: Sequence[tuple[float, float]], assumed: Held = ()) -> tuple[float, float] | None:
    """Low and high of a figure on one choice of sizes; None where the formula has no value there."""
    if figure.formula:
        return _by_formula(figure.formula, tuple(t.role for t in figure.terms), tuple(sizes), assumed)
    steps = [_steps(f.factor, size) for size, f in zip(sizes, figure.terms, strict=True)]
    return sum(a for a, _ in steps) / STEPS, sum(b for _, b in steps) / STEPS


def value_of(figure: Figure, terms: Sequence[TermValue], assumed: Held = ()) -> tuple[float, float, float] | None:
    """Low, high and the root-sum-of-squares half-width of a figure whose terms are all known, over all statements;
    ``assumed`` are values by name for what the formula assumes.

    None where the formula has no value there (nothing brakes at all, say).
    """
    found = [v for sizes in product(*(t.sizes for t in terms)) if (v := _value(figure, sizes, assumed)) is not None]
    if not found:
        return None
    low, high = min(a for a, _ in found), max(b for _, b in found)
    if figure.formula:
        return low, high, (high - low) / 2
    widths = [t.steps(f.factor) for t, f in zip(terms, figure.terms, strict=True)]
    return low, high, sum(((b - a) / 2) ** 2 for a, b in widths) ** 0.5 / STEPS


def judge_figure(
    figure: Figure, terms: Sequence[TermValue], as_made: float | None, stated: bool = False, assumed: Held = ()
) -> FigureResult:
    """Judge a figure on its terms. ``stated``: a set, new, states it as made (which never overrules a no); ``assumed``:
    values by name for what its formula assumes, in the place of its own."""
    no = Verdict.DOES_NOT_FIT if figure.sort == "assembly" else Verdict.DO_NOT_USE
    if any(t.absent for t in terms):
        return FigureResult(
            verdict=no,
        )
    if any(t.maybe_absent for t in terms):
        there = judge_figure(figure, [replace(t, maybe_absent=False) for t in terms], as_made, stated, assumed)
        return replace(there, verdict=combine((no, there.verdict)), only_kept_missing=False)
    missing = tuple(i for i, t in enumerate(terms) if t.missing)
    if missing:
        verdict = Verdict.FITS if stated else Verdict.NOT_KNOWN
        limited = figure.compared_with != "as made" or as_made is not None
        return FigureResult(
            verdict=verdict, missing=missing, only_kept_missing=limited and all(terms[i].kept for i in missing)
        )
    value = value_of(figure, terms, assumed)
    if value is None:
        return FigureResult(
            verdict=Verdict.NOT_KNOWN,
        )
    weak = bool(figure.method) or any(t.is_weak(figure.safety_critical) for t in terms)

    def verdict_on(sizes: Sequence[tuple[float, float]]) -> Verdict:
        return _verdict(figure, _value(figure, sizes, assumed), as_made, no, stated, weak)

    verdict = combine(worst(verdict_on(sizes) for sizes in product(*belief)) for belief in _beliefs(terms))
    return FigureResult(verdict=verdict, low=value[0], high=value[1], spread=value[2])


def _beliefs(terms: Sequence[TermValue]) -> Iterator[tuple[tuple[tuple[float, float], ...], ...]]:
    """For each choice among sizes that contradict each other: the sizes that each term may then have."""
    choices = [[(size,) for size in t.sizes] if t.contested else [t.sizes] for t in terms]
    yield from product(*choices)


def _verdict(
    figure: Figure, value: tuple[float, float] | None, as_made: float | None, no: Verdict, stated: bool, weak: bool
) -> Verdict:
    if value is None or (figure.compared_with == "as made" and as_made is None):
        return Verdict.FITS if stated else Verdict.NOT_KNOWN
    bottom, top = limits_of(figure, as_made)
    tolerance = 0.5 / STEPS if not figure.formula else 1e-6
    below = -math.inf if bottom is None else bottom - tolerance
    above = math.inf if top is None else top + tolerance
    if value[1] < below or value[0] > above:
        return no
    if stated:
        return Verdict.FITS
    if value[0] < below or value[1] > above:
        return Verdict.NOT_KNOWN
    return Verdict.FITS_ON_PAPER if weak else Verdict.FITS
