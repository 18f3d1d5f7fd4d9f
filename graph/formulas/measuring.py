"""Measuring: combining uncertainties, stacks of tolerances, how well one must measure to decide.

Any unit, one for all. The rule is the law of propagation of uncertainty for a sum: each term has a factor and a
standard uncertainty of its own, all independent.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import msgspec

from knockon.graph.formulas.interval import Interval, as_interval

GUM = "JCGM 100 (GUM), 5.1 and annex G"
FIGURES = 12
"""Figures to which differences of sizes are taken: what binary fractions add lies behind them."""
STACKS = "Dimensioning and Tolerancing Handbook (McGraw-Hill), ch. 9"

_SHAPES = {"normal": 1.0, "rectangle": math.sqrt(3), "triangle": math.sqrt(6), "arcsine": math.sqrt(2)}
_DEGREES_OF_FREEDOM_MANY = math.inf


class Component(msgspec.Struct, frozen=True):
    """One part of an uncertainty: standard uncertainty, factor (sensitivity) and degrees of freedom."""

    name: str
    uncertainty: float
    factor: float = 1.0
    freedom: float = _DEGREES_OF_FREEDOM_MANY

    @property
    def contribution(self) -> float:
        """|c| u."""
        return abs(self.factor) * self.uncertainty


class Combined(msgspec.Struct, frozen=True):
    """Combined standard uncertainty, effective degrees of freedom, and each component's share of the variance."""

    uncertainty: float
    freedom: float
    shares: tuple[tuple[str, float], ...]

    def expanded(self, coverage: float = 2.0) -> float:
        """U = k u."""
        return coverage * self.uncertainty


def standard_uncertainty(half_width: float, shape: str = "rectangle") -> float:
    """Standard uncertainty of a value known within plus or minus ``half_width``.

    ``shape``: ``rectangle`` a/sqrt 3, ``triangle`` a/sqrt 6, ``arcsine`` a/sqrt 2, ``normal`` a itself is the standard
    uncertainty (GUM 4.3).
    Result in the unit of ``half_width``.
    Valid range: half-width of 0 or more.
    """
    if shape not in _SHAPES:
        raise ValueError(f"{shape!r} is not one of {', '.join(_SHAPES)}")
    return half_width / _SHAPES[shape]


def combine(components: Sequence[Component]) -> Combined:
    """Combine independent components: uc2 = sum (c u)2; freedom by Welch and Satterthwaite (GUM 5.1.2, G.4).

    Result in the unit of the components.
    Valid range: uncertainties of 0 or more, at least one component.
    """
    variance = sum(c.contribution**2 for c in components)
    if variance == 0:
        return Combined(0.0, math.inf, tuple((c.name, 0.0) for c in components))
    fourth = sum(c.contribution**4 / c.freedom for c in components)
    shares = sorted(((c.name, c.contribution**2 / variance) for c in components), key=lambda s: (-s[1], s[0]))
    return Combined(math.sqrt(variance), variance**2 / fourth if fourth else math.inf, tuple(shares))


class StackTerm(msgspec.Struct, frozen=True):
    """One dimension of a stack: nominal (signed by its direction) and its deviations, upper first."""

    name: str
    nominal: float
    upper: float
    lower: float

    @property
    def middle(self) -> float:
        """The nominal moved to the middle of its tolerance."""
        return self.nominal + (self.upper + self.lower) / 2

    @property
    def half(self) -> float:
        """Half of the tolerance."""
        return abs(self.upper - self.lower) / 2


class StackResult(msgspec.Struct, frozen=True):
    """Mean of a stack and its spreads: worst case, root of sum of squares, and the latter enlarged by a factor."""

    mean: float
    worst: float
    rss: float
    modified: float
    factor: float

    def interval(self, sort: str = "worst") -> Interval:
        """Mean plus or minus the spread ``worst``, ``rss`` or ``modified``."""
        return Interval.around(self.mean, {"worst": self.worst, "rss": self.rss, "modified": self.modified}[sort])


def stack(terms: Sequence[StackTerm]) -> StackResult:
    """Worst case and statistical spread of a one-dimensional stack.

    Worst = sum of halves; RSS = root of the sum of squares; modified RSS = Cf RSS with Cf = 1 + 0.5 (worst - RSS)/(RSS
    (sqrt n - 1)) (Dimensioning and Tolerancing Handbook, ch. 9). One term has no statistics: all three are its half
    tolerance. Raises ValueError for no terms.
    Result in the unit of the terms.
    """
    if not terms:
        raise ValueError("a stack has at least one dimension")
    worst = math.fsum(t.half for t in terms)
    rss = math.sqrt(math.fsum(t.half**2 for t in terms))
    many = len(terms) > 1 and rss > 0
    factor = 1 + 0.5 * (worst - rss) / (rss * (math.sqrt(len(terms)) - 1)) if many else 1.0
    return StackResult(math.fsum(t.middle for t in terms), worst, rss, min(factor * rss, worst), factor)


class Decision(msgspec.Struct, frozen=True):
    """How well a size must be measured to decide between two.

    ``gap`` the least distance of the two candidates, ``allowed`` the greatest uncertainty (plus or minus) that still
    tells them apart, ``decides`` whether the instrument does.
    """

    gap: float
    allowed: float
    decides: bool


def must_measure(first: float | Interval, second: float | Interval, uncertainty: float = 0.0) -> Decision:
    """Whether readings within plus or minus ``uncertainty`` tell ``first`` from ``second``.

    A reading of either candidate may lie up to the uncertainty off; they are told apart while those ranges do not meet,
    that is below half the gap. Geometry of intervals.
    All in one unit, such as mm. Sizes are given as decimals, so what a subtraction of floats leaves beyond twelve
    figures is dropped: an uncertainty of just half the gap never decides, in whatever unit.
    """
    a, b = as_interval(first), as_interval(second)
    gap = _to_figures(max(b.low - a.high, a.low - b.high, 0.0))
    allowed = _to_figures(gap / 2)
    return Decision(gap, allowed, _to_figures(uncertainty) < allowed)


def _to_figures(value: float) -> float:
    return float(f"{value:.{FIGURES}g}")


def needed_uncertainty(value: float, window: Interval) -> float:
    """The greatest uncertainty with which a reading of ``value`` still lies wholly inside ``window``; 0 outside it.

    All in one unit, such as mm. Geometry of intervals.
    """
    return max(min(value - window.low, window.high - value), 0.0)
