"""Stacks and figures: a signed sum, or a named formula, of sizes through several positions; three-valued like everything.

Sums are made in whole steps of 10 nm (1e-5 of the base unit), so that they are exact and the planner's sums are the same.
Sizes that equal sources contradict enter with the span of all beliefs; a value that straddles a limit for that reason
is disputed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

from knockon.graph.beliefs import Known, known_of, presence_of
from knockon.graph.formulas import formula
from knockon.graph.interval import Interval
from knockon.graph.model import Feature, Figure, FigureTerm
from knockon.graph.verdicts import ON_THE_ITEM, OTHER_RANK, SAFE_RANK, Verdict

STEPS = 100_000


@dataclass(frozen=True, slots=True)
class TermValue:
    """What one term contributes: bounds in the base unit; ``empty`` position counts zero, ``absent`` is a no."""

    low: float = 0.0
    high: float = 0.0
    empty: bool = False
    absent: bool = False
    missing: bool = False
    contested: bool = False
    rank: int = 0
    kept: bool = False
    thing: str = ""

    def steps(self, factor: float) -> tuple[int, int]:
        """The term's share of the sum, in whole steps."""
        ends = sorted((round(factor * self.low * STEPS), round(factor * self.high * STEPS)))
        return ends[0], ends[1]

    def is_weak(self, safety_critical: bool) -> bool:
        """Whether it is known on evidence too weak for "fits"."""
        worst = ON_THE_ITEM if self.kept else (SAFE_RANK if safety_critical else OTHER_RANK)
        return not self.empty and self.rank > worst


EMPTY = TermValue(empty=True)


@dataclass(frozen=True, slots=True)
class FigureResult:
    """The value of a figure (None: a term is missing), its verdict, and the indices of the terms that are missing."""

    verdict: Verdict
    low: float | None
    high: float | None
    missing: tuple[int, ...]
    only_kept_missing: bool
    spread: float | None = None


def term_value(features: Mapping[str, Feature], term: FigureTerm, thing: str, kept: bool) -> TermValue:
    """What is known of one term on one thing."""
    feature = features.get(term.feature)
    presence = presence_of(feature)
    if presence == "absent":
        return TermValue(absent=True, thing=thing, kept=kept)
    statements = feature.dimensions.get(term.dimension, ()) if feature else ()
    known = known_of(statements)
    if not known.sizes or presence == "contested":
        return TermValue(missing=True, thing=thing, kept=kept)
    low, high = _span(known)
    return TermValue(low, high, contested=known.contested, rank=known.rank, kept=kept, thing=thing)


def _span(known: Known) -> tuple[float, float]:
    lows = [s.low for s in known.sizes if s.low is not None]
    highs = [s.high for s in known.sizes if s.high is not None]
    return (min(lows) if lows else -1e4, max(highs) if highs else 1e4)


def limits_of(figure: Figure, as_made: float | None) -> tuple[float | None, float | None]:
    """The closed window of a figure; ``as_made`` is the value that the vehicle as made has."""
    if figure.compared_with == "as made":
        return as_made, figure.high
    return figure.low, figure.high


@lru_cache(maxsize=100_000)
def _by_formula(name: str, roles: tuple[str, ...], bounds: tuple[tuple[float, float], ...]) -> tuple[float, float] | None:
    try:
        found = formula(name)(**{r: Interval(a, b) for r, (a, b) in zip(roles, bounds, strict=True)})
    except (ValueError, ZeroDivisionError):
        return None
    return (found.low, found.high) if isinstance(found, Interval) else (found, found)


def value_of(figure: Figure, terms: Sequence[TermValue]) -> tuple[float, float, float] | None:
    """Low, high and the root-sum-of-squares half-width of a figure whose terms are all known.

    None where the formula has no value there (nothing brakes at all, say).
    """
    if figure.formula:
        found = _by_formula(figure.formula, tuple(t.role for t in figure.terms), tuple((t.low, t.high) for t in terms))
        return None if found is None else (*found, (found[1] - found[0]) / 2)
    steps = [t.steps(f.factor) for t, f in zip(terms, figure.terms, strict=True)]
    spread = sum(((b - a) / 2) ** 2 for a, b in steps) ** 0.5
    return sum(a for a, _ in steps) / STEPS, sum(b for _, b in steps) / STEPS, spread / STEPS


def judge_figure(figure: Figure, terms: Sequence[TermValue], as_made: float | None, stated: bool = False) -> FigureResult:
    """Judge a figure on its terms. ``stated``: a set, new, states it as made."""
    no = Verdict.DOES_NOT_FIT if figure.sort == "assembly" else Verdict.DO_NOT_USE
    if any(t.absent for t in terms):
        return FigureResult(no, None, None, (), False)
    missing = tuple(i for i, t in enumerate(terms) if t.missing)
    if missing:
        verdict = Verdict.FITS if stated else Verdict.NOT_KNOWN
        return FigureResult(verdict, None, None, missing, all(terms[i].kept for i in missing))
    value = value_of(figure, terms)
    if value is None:
        return FigureResult(Verdict.NOT_KNOWN, None, None, (), False)
    low, high, spread = value
    return FigureResult(_verdict(figure, terms, low, high, as_made, stated, no), low, high, (), False, spread)


def _verdict(figure: Figure, terms: Sequence[TermValue], low: float, high: float, as_made: float | None,
             stated: bool, no: Verdict) -> Verdict:  # fmt: skip
    bottom, top = limits_of(figure, as_made)
    tolerance = 0.5 / STEPS if not figure.formula else 1e-6
    if figure.compared_with == "as made" and as_made is None:
        return Verdict.NOT_KNOWN
    below = -1e99 if bottom is None else bottom
    above = 1e99 if top is None else top
    if high < below - tolerance or low > above + tolerance:
        return no
    if stated:
        return Verdict.FITS
    if low < below - tolerance or high > above + tolerance:
        return Verdict.DISPUTED if any(t.contested for t in terms) else Verdict.NOT_KNOWN
    if figure.method or any(t.is_weak(figure.safety_critical) for t in terms):
        return Verdict.FITS_ON_PAPER
    return Verdict.FITS
