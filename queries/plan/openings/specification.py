"""What a part would have to be: the windows that its neighbours leave, worked back from the rules.

A part that nobody has recorded can still be looked for, or made, if one knows what the parts beside it ask of it. Each
condition of each joint of its place is turned round: what the neighbour's sizes leave of the allowed window is what the
part's own dimension may be, whatever the neighbour's size is within what is known of it. Conditions that are sums or
differences of one dimension give a window, codes must be equal; what cannot be turned round is said as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import Table, column_of
from knockon.queries.plan.openings.specified import ASKED, Ask, Limit, Specification, Stated, Window
from knockon.queries.plan.openings.turned_round import of_figure, of_joint
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count


def specification(problem: Problem, filling: Filling, place: Place) -> Specification:
    """What the rest of a filling asks of the part in a place."""
    position = problem.places.positions[place.position]
    asks: list[Ask | Stated] = []
    features: dict[str, None] = {}
    for at in joints_that_count(problem, filling):
        if place in (at.first, at.second):
            features[at.end_at(place).feature] = None
            asks += of_joint(problem, filling.chosen, at, place)
    for figure in figures_that_count(problem, filling):
        if place in figure.places:
            features |= dict.fromkeys(
                t.feature for t, p in zip(figure.figure.terms, figure.places, strict=True) if p == place
            )
            asks += of_figure(problem, filling.chosen, figure, place)
    asks += _of_wishes(problem, place)
    windows = tuple(_windows(problem, place.position, [a for a in asks if isinstance(a, Ask)]))
    stated = tuple(dict.fromkeys(a for a in asks if isinstance(a, Stated)))
    return Specification(place.position, position.part_type, (place,), tuple(features), windows, stated)


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
                found[alike] = replace(found[alike], places=(*found[alike].places, place))
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


def _of_wishes(problem: Problem, place: Place) -> Iterator[Ask]:
    """What the user asks of the sizes of what stands there."""
    for wish in (w for w in problem.request.wants if place in w.places and w.dimension):
        feature = wish.feature or next(iter(_features_with(problem, place, wish.dimension)), "")
        base = Limit(check=wish.text, condition=ASKED, parts=(), source="")
        if wish.low is not None:
            yield Ask(feature, wish.dimension, ASKED, low=replace(base, value=round(wish.low, 6)))
        if wish.high is not None:
            yield Ask(feature, wish.dimension, ASKED, high=replace(base, value=round(wish.high, 6)))


def _features_with(problem: Problem, place: Place, dimension: str) -> Iterator[str]:
    for feature in sorted(problem.places.features_at(place.position)):
        kind = _kind(problem, place.position, feature)
        if kind is not None and any(c.name == column_of(dimension) for c in kind.columns):
            yield feature


# ---- windows


def _kind(problem: Problem, position: str, feature: str) -> Table | None:
    """The kind of a feature in a position: as a joint there reads it, else as it is recorded of anything."""
    for at in problem.places.joints:
        rule = problem.checks.rule_of(at)
        for here, end in zip(at.joint.ends, rule.ends, strict=True):
            if (here.position, here.feature) == (position, feature):
                return problem.checks.catalogue.vocabulary.kinds.get(end.kind)
    return problem.checks.kind_of(feature)


def _windows(problem: Problem, position: str, asks: Sequence[Ask]) -> Iterator[Window]:
    """One window a dimension and need: the narrowest of what is asked."""
    together: dict[tuple[str, str, str], list[Ask]] = {}
    for ask in asks:
        together.setdefault((ask.feature, ask.dimension, ask.need), []).append(ask)
    for (feature, dimension, need), found in together.items():
        kind = _kind(problem, position, feature)
        lows = [a.low for a in found if a.low is not None]
        highs = [a.high for a in found if a.high is not None]
        yield Window(
            feature=feature,
            kind=kind.label if kind else "",
            dimension=dimension,
            datatype=kind.datatype_of(dimension) if kind else "",
            unit=problem.checks.catalogue.vocabulary.shown_unit(kind, dimension) if kind else "",
            need=need,
            low=max(lows, key=_value, default=None),
            high=min(highs, key=_value, default=None),
            codes=tuple(dict.fromkeys(a.code for a in found if a.code is not None)),
        )


def _value(limit: Limit) -> float:
    return limit.value if limit.value is not None else math.nan
