"""The conditions of a fit rule as expressions of Ibis: which pairs of interfaces are a definite no.

A rule is data; the expression is made from it, with the bounds, windows and tolerance of
``knockon.graph.judge.conditions``. Said so are signed sums and comparisons of codes. A condition by formula is not: it
rules nothing out here, and ``unsaid`` names it.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce
from operator import or_
from typing import Any

from knockon.graph.judge.beliefs import EPSILON
from knockon.graph.judge.conditions import JUDGED, dimensions_of, window_of
from knockon.graph.model.rules import Condition, FitRule
from knockon.graph.triples.sums import Term


def judged(rule: FitRule) -> tuple[Condition, ...]:
    """The conditions that may be a no."""
    return tuple(c for c in rule.conditions if c.need in JUDGED)


def unsaid(rule: FitRule) -> tuple[str, ...]:
    """The conditions that are no expression here, by name."""
    return tuple(c.label for c in judged(rule) if c.formula)


def is_no(rule: FitRule, pairs: Any, layer: Any) -> Any:
    """Whether a pair of rows is a no: a feature that must be there is absent, or a condition is definitely not met.

    ``pairs`` has the columns of ``knockon.queries.shortlist.interfaces`` of both ends, those of the first with ``1``
    before the number of the dimension, those of the second with ``2``.
    """
    noes = [pairs["absent1"], pairs["absent2"]]
    noes += [_no(c, rule, pairs, layer) for c in judged(rule) if not c.formula]
    return reduce(or_, noes)


def _no(condition: Condition, rule: FitRule, pairs: Any, layer: Any) -> Any:
    if condition.same_code:
        first, second = (_column(rule, t, "code", pairs) for t in condition.terms)
        return (first != second).fill_null(False)  # where one is not written nothing is ruled out
    sides = [_sum(condition, rule, end.role, pairs, layer) for end in rule.ends]
    low, high, nominal = sides[0][0] + sides[1][0], sides[0][1] + sides[1][1], sides[0][2] | sides[1][2]
    lacks = reduce(or_, (~_column(rule, t, "there", pairs).fill_null(False) for t in condition.terms))
    outside = layer.cases(
        (nominal, _outside(low, high, window_of(condition, True), layer)),
        else_=_outside(low, high, window_of(condition, False), layer),
    )
    return ~lacks & outside


def _sum(condition: Condition, rule: FitRule, role: str, pairs: Any, layer: Any) -> tuple[Any, Any, Any]:
    """The bounds of one side's share (null: no bound), and whether a nominal size is in it."""
    low, high, nominal = layer.literal(0.0), layer.literal(0.0), layer.literal(False)
    for term in (t for t in condition.terms if t.role == role):
        lower, upper = (_column(rule, term, name, pairs) for name in ("low", "high"))
        low = low + term.factor * (lower if term.factor > 0 else upper)
        high = high + term.factor * (upper if term.factor > 0 else lower)
        nominal = nominal | _column(rule, term, "nominal", pairs).fill_null(False)
    return low, high, nominal


def _outside(low: Any, high: Any, window: tuple[float, float] | None, layer: Any) -> Any:
    """Whether an interval lies outside a closed window; never where the window is none, or both bounds are null."""
    if window is None:
        return layer.literal(False)
    inside = ((low >= window[0] - EPSILON) & (high <= window[1] + EPSILON)).fill_null(False)
    beside = (high < window[0] - EPSILON).fill_null(False) | (low > window[1] + EPSILON).fill_null(False)
    return ~inside & beside


def _column(rule: FitRule, term: Term, name: str, pairs: Any) -> Any:
    end = rule.end_of(term)
    return pairs[f"{name}{end.number + 1}_{dimensions(rule, end.number).index(term.dimension)}"]


def dimensions(rule: FitRule, end: int) -> tuple[str, ...]:
    """The dimensions that may make a no at one end, in a fixed order."""
    said = {t.dimension for c in judged(rule) if not c.formula for t in _terms_at(c, rule, end)}
    return tuple(d for d in dimensions_of(rule, rule.ends[end].role, JUDGED) if d in said)


def _terms_at(condition: Condition, rule: FitRule, end: int) -> Iterator[Term]:
    return (t for t in condition.terms if rule.end_of(t).number == end)
