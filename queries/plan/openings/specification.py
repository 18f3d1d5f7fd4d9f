"""What a part would have to be: the windows that its neighbours leave, worked back from the rules.

A part that nobody has recorded can still be looked for, or made, if one knows what the parts beside it ask of it. Each
condition of each joint of its place is turned round: what the neighbour's sizes leave of the allowed window is what the
part's own dimension may be, whatever the neighbour's size is within what is known of it. Conditions that are sums or
differences of one dimension give a window, codes must be equal; what cannot be turned round is said as it stands.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, stands_in
from knockon.graph.model.schema import Table, column_of
from knockon.queries.fits.checking.standing import partners_of
from knockon.queries.plan.openings.specified import ASKED, Ask, Demand, Limit, Specification, Stated, Window
from knockon.queries.plan.openings.turned_figures import of_figure
from knockon.queries.plan.openings.turned_round import of_joint
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem


def specification(problem: Problem, filling: Filling, place: Place) -> Specification:
    """What the rest of a filling asks of a new part in a place."""
    position = problem.places.positions[place.position]
    asks: list[Ask | Stated] = []
    features: dict[str, None] = {}
    for at in joints_at(problem, filling, place):
        features[at.end_at(place).feature] = None
        asks += of_joint(problem, filling.chosen, at, place)
    for figure in figures_at(problem, filling, place):
        features |= dict.fromkeys(
            t.feature for t, p in zip(figure.figure.terms, figure.places, strict=True) if p == place
        )
        asks += of_figure(problem, filling.chosen, figure, place)
    asks += _of_wishes(problem, place)
    windows = tuple(_windows(problem, place.position, [a for a in asks if isinstance(a, Ask)]))
    stated = tuple(dict.fromkeys(a for a in asks if isinstance(a, Stated)))
    return Specification(
        position=place.position,
        part_type=position.part_type,
        places=(place,),
        features=tuple(features),
        windows=windows,
        stated=stated,
        demands=tuple(demands_on(problem, filling, place)),
        hands=("either", place.side) if place.side else (),
    )


def joints_at(problem: Problem, filling: Filling, place: Place) -> Iterator[JointAt]:
    """The joints that a new part in a place would make with what else the filling has."""
    for at in problem.places.joints:
        is_made = place in (at.first, at.second) and stands_in(at.joint, filling.arrangements)
        if is_made and at.beyond(at.end_at(place)).place in filling.chosen:
            yield at


def figures_at(problem: Problem, filling: Filling, place: Place) -> Iterator[FigureAt]:
    """The stacks and figures to which a new part in a place would add."""
    for at in problem.places.figures:
        if place in at.places and stands_in(at.figure, filling.arrangements):
            yield at


def demands_on(problem: Problem, filling: Filling, place: Place) -> Iterator[Demand]:
    """The features that a part in a place must have, or lack, so that what the filling leaves empty is not needed with
    it, and what it fills is: a position may be needed with a part that lacks a feature only."""
    for other in problem.places.all:
        position = problem.places.positions[other.position]
        if not position.lacking_feature or place not in partners_of(problem.places, other):
            continue
        if stands_in(position, filling.arrangements):
            yield Demand(position.lacking_feature, other not in filling.chosen, other.position)


def specifications(problem: Problem, filling: Filling) -> tuple[Specification, ...]:
    """Those of all parts yet to be found in a filling, both hands in one where they ask the same sizes."""
    places = problem.places.all
    return of_places(problem, filling, [p for p in places if p in filling.chosen and filling.chosen[p].to_be_found])


def of_places(problem: Problem, filling: Filling, places: Iterable[Place]) -> tuple[Specification, ...]:
    """Those of these places, both hands in one where they ask the same sizes."""
    found: list[Specification] = []
    for place in places:
        one = specification(problem, filling, place)
        alike = next((i for i, s in enumerate(found) if _same(s, one)), None)
        if alike is None:
            found.append(one)
        else:
            found[alike] = _of_both(found[alike], one)
    return tuple(found)


def _of_both(one: Specification, other: Specification) -> Specification:
    """Two that ask the same, as one; whoever asks it on either side is named."""
    hands = tuple(dict.fromkeys((*one.hands, *other.hands)))
    return replace(one, places=(*one.places, *other.places), hands=hands)


def _same(one: Specification, other: Specification) -> bool:
    """Whether two places of a position ask the same, whoever asks it."""

    def sizes(spec: Specification) -> tuple[object, ...]:
        windows = [
            (w.feature, w.dimension, w.need, *map(_said, (w.low, w.high, w.nominal_low, w.nominal_high)),
             w.nominal_same, w.nominal_open, {(x.code, x.assumed) for x in w.codes})
            for w in spec.windows
        ]  # fmt: skip
        stated = [(s.check, s.condition, s.because, s.low, s.high) for s in spec.stated]
        return spec.position, spec.features, windows, stated, spec.demands

    return sizes(one) == sizes(other)


def _said(limit: Limit | None) -> tuple[float | None, bool] | None:
    return None if limit is None else (limit.value, limit.sure)


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
    """The kind of a feature in a position: as a joint there reads it, else as it is recorded of what may
    stand there, or of anything."""
    for at in problem.places.joints:
        rule = problem.checks.rule_of(at)
        for here, end in zip(at.joint.ends, rule.ends, strict=True):
            if (here.position, here.feature) == (position, feature):
                return problem.checks.catalogue.vocabulary.kinds.get(end.kind)
    catalogue = problem.checks.catalogue
    there = (c for p in problem.places.all if p.position == position for c in problem.candidates[p])
    kinds = (f.kind for c in there if (f := catalogue.features_of(c.thing).get(feature)) is not None)
    known = next(kinds, "")
    return catalogue.vocabulary.kinds.get(known) or problem.checks.kind_of(feature)


def _windows(problem: Problem, position: str, asks: Sequence[Ask]) -> Iterator[Window]:
    """One window a dimension and need: the narrowest of what is asked."""
    together: dict[tuple[str, str, str], list[Ask]] = {}
    for ask in asks:
        together.setdefault((ask.feature, ask.dimension, ask.need), []).append(ask)
    for (feature, dimension, need), found in together.items():
        kind = _kind(problem, position, feature)
        low, high = _narrowest(a for a in found if not a.nominal)
        gross = [a for a in found if a.nominal]
        own = {_asked_by(a) for a in gross}
        judged = [a for a in found if not a.nominal and not a.nominal_open and _asked_by(a) not in own]
        nominal = _narrowest((*gross, *judged))
        is_same = not gross and not any(a.nominal_open for a in found)
        yield Window(
            feature=feature,
            kind=kind.label if kind else "",
            dimension=dimension,
            datatype=kind.datatype_of(dimension) if kind else "",
            unit=problem.checks.catalogue.vocabulary.shown_unit(kind, dimension) if kind else "",
            need=need,
            low=low,
            high=high,
            codes=tuple(dict.fromkeys(a.code for a in found if a.code is not None)),
            nominal_same=is_same,
            nominal_low=None if is_same else nominal[0],
            nominal_high=None if is_same else nominal[1],
            nominal_open=any(a.nominal_open for a in found),
            no_below=max((x for a in found if (x := _beyond(a, a.low)) is not None), default=None),
            no_above=min((x for a in found if (x := _beyond(a, a.high)) is not None), default=None),
            sure=all(x.sure for a in found for x in (a.low, a.high, a.code) if x is not None and not a.nominal),
        )


def _beyond(ask: Ask, limit: Limit | None) -> float | None:
    """Beyond what a measured size is a no."""
    return None if limit is None or ask.nominal else limit.beyond


def _asked_by(ask: Ask) -> tuple[str, str]:
    """The check and the condition that ask it."""
    limit = ask.low or ask.high or ask.code
    return (limit.check, limit.condition) if limit is not None else ("", "")


def _narrowest(asks: Iterable[Ask]) -> tuple[Limit | None, Limit | None]:
    """The window that meets all that is asked."""
    found = list(asks)
    lows = [a.low for a in found if a.low is not None]
    highs = [a.high for a in found if a.high is not None]
    return max(lows, key=_value, default=None), min(highs, key=_value, default=None)


def _value(limit: Limit) -> float:
    return limit.value if limit.value is not None else math.nan
