"""What to measure before anything is ordered: the sizes of what stays where it meets what is new.

Only joints between a kept part and a replaced one need measuring on the vehicle; the rest is between new parts and is
measured when they arrive. What is hidden until the corner is apart is a named risk, not a tick.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import msgspec

from knockon.graph.judge.beliefs import known_of, presence_of, proven
from knockon.graph.judge.conditions import REQUIRED, dimensions_of
from knockon.graph.judge.verdicts import ON_THE_ITEM
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.schema import column_of
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.size_names import WrittenSize
from knockon.queries.plan.orders import GroupName, group_key
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count

ON_THE_VEHICLE = "on the vehicle"
AT_THE_CUT = "where it meets what is new"
SURVEY = "shows whether what leaves is what the records say"


class Expected(msgspec.Struct, frozen=True):
    """What the records say of a dimension, as it is written there (``absent``: the feature is known absent)."""

    dimension: str
    written: WrittenSize


class Measurement(msgspec.Struct, frozen=True):
    """One thing to measure: at ``places`` the ``dimensions`` of ``feature``; what the records expect; lines it
    decides."""

    position: str
    feature: str
    dimensions: tuple[str, ...]
    places: tuple[Place, ...]
    expected: tuple[Expected, ...]
    how: tuple[str, ...]
    decides: tuple[GroupName, ...]
    why: str


class Risk(msgspec.Struct, frozen=True):
    """A size that stays hidden until later: carried as a named risk."""

    position: str
    feature: str
    dimensions: tuple[str, ...]
    places: tuple[Place, ...]
    expected: tuple[Expected, ...]
    seen_when: str
    decides: tuple[GroupName, ...]


class _Size(msgspec.Struct, frozen=True):
    """A size that is wanted: where, of what feature, when it can be reached, which order group hangs on it."""

    place: Place
    feature: str
    dimension: str
    reached: str
    decides: GroupName
    why: str = AT_THE_CUT

    @property
    def column(self) -> str:
        """The dimension's column: of a thread the whole designation."""
        return column_of(self.dimension)


def measure_first(
    problem: Problem, filling: Filling, unproven: Sequence[Evidence]
) -> tuple[tuple[Measurement, ...], tuple[Risk, ...]]:
    """(measurements on the vehicle, risks), those that decide most order lines first."""
    sizes = list(
        dict.fromkeys([*_cut_joints(problem, filling), *_cut_figures(problem, filling), *_survey(problem, filling)])
    )
    measurements, risks = [], []
    for position, feature, reached, found in _grouped([s for s in sizes if _how(problem, s, s.column)]):
        dimensions = tuple(dict.fromkeys(s.column for s in found))
        places = tuple(dict.fromkeys(s.place for s in found))
        decides = tuple(dict.fromkeys(s.decides for s in found))
        named = ((s.column, e) for s in found for e in _expected(problem, s))
        expected = tuple(Expected(dimension, written) for dimension, written in dict.fromkeys(named))
        if reached == ON_THE_VEHICLE:
            how = tuple(dict.fromkeys(_how(problem, found[0], d) for d in dimensions))
            measurements.append(
                Measurement(
                    position=position,
                    feature=feature,
                    dimensions=dimensions,
                    places=places,
                    expected=expected,
                    how=tuple(h for h in how if h),
                    decides=decides,
                    why=found[0].why,
                )
            )
        else:
            risks.append(
                Risk(
                    position=position,
                    feature=feature,
                    dimensions=dimensions,
                    places=places,
                    expected=expected,
                    seen_when=reached,
                    decides=decides,
                )
            )
    return tuple(sorted(measurements, key=lambda m: -len(m.decides))), tuple(risks)


def record_first(problem: Problem, filling: Filling) -> tuple[Place, ...]:
    """The places of which nothing is recorded, and whose thing is taken to stay where it meets what changes."""
    met = {p for at in joints_that_count(problem, filling) for p in (at.first, at.second)}
    met |= {p for at in figures_that_count(problem, filling) for p in at.places}
    return tuple(p for p in problem.places.all if p in met and p in filling.chosen and not _is_known(filling, p))


def _is_known(filling: Filling, place: Place) -> bool:
    candidate = filling.chosen[place]
    return candidate.recorded or not candidate.stays


def _grouped(sizes: Sequence[_Size]) -> Iterator[tuple[str, str, str, list[_Size]]]:
    """Position, feature, when it is reached, and the sizes that are read there together: those wanted at the same
    places."""
    places: dict[tuple[str, str, str, str], dict[Place, None]] = defaultdict(dict)
    for size in sizes:
        places[(*_where(size), size.column)][size.place] = None
    together: dict[tuple[str, str, str, frozenset[Place]], list[_Size]] = defaultdict(list)
    for size in sizes:
        together[(*_where(size), frozenset(places[(*_where(size), size.column)]))].append(size)
    for (position, feature, reached, _), found in together.items():
        yield position, feature, reached, found


def _where(size: _Size) -> tuple[str, str, str]:
    return size.place.position, size.feature, size.reached or ON_THE_VEHICLE


def _group(problem: Problem, candidate: Candidate | None) -> GroupName:
    return GroupName(*group_key(problem, candidate)) if candidate is not None else GroupName("", "")


def _measured(problem: Problem, candidate: Candidate | None, feature: str, dimension: str) -> bool:
    """Whether it was read on the thing itself, and the readings do not contradict each other."""
    recorded = problem.checks.catalogue.features_of(candidate.thing).get(feature) if candidate else None
    if recorded is None or presence_of(recorded) == "contested":
        return False
    if any(proven(said) == ON_THE_ITEM for said in recorded.absent):
        return True
    stated = recorded.dimensions.get(dimension, ())
    column = column_of(dimension)
    if not stated and column != dimension:  # a hand that nobody wrote: it was read with the rest of the thread
        rest = [d for d in recorded.dimensions if d.startswith(f"{column}.")]
        return bool(rest) and all(_measured(problem, candidate, feature, d) for d in rest)
    known = known_of(stated)
    return known.rank == ON_THE_ITEM and not known.contested


def _cut_joints(problem: Problem, filling: Filling) -> Iterator[_Size]:
    for at in joints_that_count(problem, filling):
        first, second = filling.chosen[at.first], filling.chosen[at.second]
        if first.stays == second.stays or not problem.checks.joint(at, first, second).verdict.is_unproven:
            continue
        kept, new = (first, second) if first.stays else (second, first)
        yield from _kept_side(problem, at, kept, _group(problem, new))


def _kept_side(problem: Problem, at: JointAt, kept: Candidate, decides: GroupName) -> Iterator[_Size]:
    rule = problem.checks.rule_of(at)
    end = at.end_at(kept.place)
    for condition in rule.conditions:
        if condition.need == "required":
            for term in condition.terms:
                of_it = rule.end_of(term).number == end.number
                if of_it and not _measured(problem, kept, end.feature, term.dimension):
                    yield _Size(kept.place, end.feature, term.dimension, end.reached, decides)


def _cut_figures(problem: Problem, filling: Filling) -> Iterator[_Size]:
    for at in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in at.places}
        result = problem.checks.figure(at, chosen, problem.checks.as_made_value(at, problem.vehicle))
        new = [c for c in chosen.values() if c is not None and not c.stays]
        if not result.verdict.is_unproven or not new:
            continue
        for place, term in zip(at.places, at.figure.terms, strict=True):
            kept = chosen[place]
            if kept is not None and kept.stays and not _measured(problem, kept, term.feature, term.dimension):
                yield from (_Size(place, term.feature, term.dimension, term.reached, _group(problem, n)) for n in new)


def _survey(problem: Problem, filling: Filling) -> Iterator[_Size]:
    """What can be seen without taking anything apart and shows whether the thing that leaves is what the records
    say."""
    for at in problem.places.joints:
        yield from _seen_joint(problem, filling, at)
    for figure in problem.places.figures:
        yield from _seen_figure(problem, filling, figure)


def _seen_joint(problem: Problem, filling: Filling, at: JointAt) -> Iterator[_Size]:
    for end in at.ends:
        place, other = end.place, at.beyond(end).place
        old, new, partner = problem.staying(place), filling.chosen.get(place), filling.chosen.get(other)
        if end.reached != ON_THE_VEHICLE or old is None or new is None or new.stays:
            continue
        why = ""
        if partner is not None and other not in problem.found and _is_no(problem, at, place, old, partner):
            why = SURVEY
        elif _found_wrong(problem, place):
            why = "one was not standard, so check them all"
        if why:
            rule = problem.checks.rule_of(at)
            for dimension in dimensions_of(rule, rule.ends[end.number].role, REQUIRED):
                if not _measured(problem, old, end.feature, dimension):
                    yield _Size(place, end.feature, dimension, end.reached, _group(problem, new), why)


def _is_no(problem: Problem, at: JointAt, place: Place, old: Candidate, partner: Candidate) -> bool:
    return problem.checks.joint(at, *at.in_order(place, old, partner)).verdict.is_no


def _found_wrong(problem: Problem, place: Place) -> bool:
    """Whether a thing of this part type, read on the vehicle, is wrong where it stands."""
    part_type = problem.places.positions[place.position].part_type
    for at in problem.places.joints:
        for end in (at.first, at.second):
            if (
                problem.places.positions[end.position].part_type == part_type
                and problem.found.get(end)
                and problem.found[end].item
            ):
                first, second = problem.staying(at.first), problem.staying(at.second)
                if first and second and problem.checks.joint(at, first, second).verdict.is_no:
                    return True
    return False


def _seen_figure(problem: Problem, filling: Filling, at: FigureAt) -> Iterator[_Size]:
    chosen = {p: filling.chosen.get(p) for p in at.places}
    as_made = problem.checks.as_made_value(at, problem.vehicle)
    for place, term in zip(at.places, at.figure.terms, strict=True):
        old, new = problem.staying(place), filling.chosen.get(place)
        leaves = old is not None and new is not None and not new.stays
        if not leaves or term.reached != ON_THE_VEHICLE or _measured(problem, old, term.feature, term.dimension):
            continue
        if problem.checks.figure(at, {**chosen, place: old}, as_made).verdict.is_no:
            yield _Size(place, term.feature, term.dimension, term.reached, _group(problem, new), SURVEY)


def _expected(problem: Problem, size: _Size) -> tuple[WrittenSize, ...]:
    old = problem.staying(size.place)
    recorded = problem.checks.catalogue.features_of(old.thing).get(size.feature) if old else None
    if recorded is None:
        return ()
    if recorded.absent:
        return (WrittenSize("absent"),)
    kind = problem.checks.catalogue.vocabulary.kinds[recorded.kind]
    is_length = kind.datatype_of(size.dimension) == "length"
    stated = recorded.dimensions.get(size.dimension, ())
    said = (WrittenSize(s.written, *((s.low, s.high) if is_length else ())) for s in stated)
    return tuple(dict.fromkeys(said))


def _how(problem: Problem, size: _Size, dimension: str) -> str:
    """The method that the vocabulary gives for measuring a dimension; blank where nothing can be measured."""
    kind = problem.checks.kind_of(size.feature)
    return next((c.method for c in kind.columns if c.name == dimension), "") if kind else ""
