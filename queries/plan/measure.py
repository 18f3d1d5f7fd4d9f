"""What to measure before anything is ordered: the sizes of what stays where it meets what is new.

Only joints between a kept part and a replaced one need measuring on the vehicle; the rest is between new parts and is
measured when they arrive. What is hidden until the corner is apart is a named risk, not a tick.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.beliefs import known_of, presence_of, proven
from knockon.graph.judge.conditions import REQUIRED, dimensions_of
from knockon.graph.judge.verdicts import ON_THE_ITEM
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.layouts.measuring import how_in_place, kind_in_place
from knockon.graph.model.schema import Table, column_of
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.size_names import WrittenSize
from knockon.queries.plan.orders import GroupName, group_key
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count
from knockon.queries.plan.turning.told import Asked, TurnsOf, turns_of
from knockon.queries.plan.turning.turning import Turning

ON_THE_VEHICLE = "on the vehicle"
AT_THE_CUT = "where it meets what is new"
SURVEY = "shows whether what leaves is what the records say"


class Expected(msgspec.Struct, frozen=True):
    """What the records say of a dimension, as it is written there (``absent``: the feature is known absent)."""

    dimension: str
    written: WrittenSize


class Measurement(msgspec.Struct, frozen=True):
    """One thing to measure: at ``places`` the ``dimensions`` of ``feature``; what the records expect; lines it
    decides. ``what``: what ``knockon measured`` is told, before the reading; ``turning``: where that was asked, the
    readings at which the plan turns, ``turns`` says more of each (its values stand in ``turning`` alone)."""

    position: str
    feature: str
    dimensions: tuple[str, ...]
    places: tuple[Place, ...]
    expected: tuple[Expected, ...]
    how: tuple[str, ...]
    decides: tuple[GroupName, ...]
    why: str
    what: str = ""
    turning: tuple[Turning, ...] = ()
    turns: tuple[TurnsOf, ...] = ()

    @property
    def turns_of_each(self) -> tuple[TurnsOf, ...]:
        """What is to be said of each reading, with its values."""
        return tuple(replace(t, turning=tuple(x for x in self.turning if x.of == t.of)) for t in self.turns)


class Risk(msgspec.Struct, frozen=True):
    """A size that stays hidden until later: carried as a named risk."""

    position: str
    feature: str
    dimensions: tuple[str, ...]
    places: tuple[Place, ...]
    expected: tuple[Expected, ...]
    seen_when: str
    decides: tuple[GroupName, ...]


class SizeWanted(msgspec.Struct, frozen=True):
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
    for position, feature, reached, found in _grouped([s for s in sizes if how_of(problem, s, s.column)]):
        dimensions = tuple(dict.fromkeys(s.column for s in found))
        places = tuple(dict.fromkeys(s.place for s in found))
        decides = tuple(dict.fromkeys(s.decides for s in found))
        named = ((s.column, e) for s in found for e in expected_of(problem, s))
        expected = tuple(Expected(dimension, written) for dimension, written in dict.fromkeys(named))
        if reached == ON_THE_VEHICLE:
            how = tuple(dict.fromkeys(how_of(problem, found[0], d) for d in dimensions))
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
                    what=what_to_type(places, feature, dimensions),
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


def what_to_type(places: Sequence[Place], feature: str, dimensions: Sequence[str]) -> str:
    """The name of some sizes as ``knockon measured`` takes it; without a side where both are meant."""
    where = places[0] if len(places) == 1 else places[0].position
    return f"{where}, {feature}: {' and '.join(dimensions)}"


def looks(measurements: Sequence[Measurement]) -> list[list[Measurement]]:
    """Measurements in their order, those of what leaves last; what one look shows to be missing, of one thing,
    together."""
    found: list[list[Measurement]] = []
    for measurement in measurements:
        alike = [m for m in found if is_absence(measurement) and _same_look(m[0], measurement)]
        if alike:
            alike[0].append(measurement)
        else:
            found.append([measurement])
    return sorted(found, key=lambda m: m[0].why == SURVEY)


def _same_look(one: Measurement, other: Measurement) -> bool:
    return is_absence(one) and (one.places, one.decides, one.why) == (other.places, other.decides, other.why)


def is_absence(measurement: Measurement) -> bool:
    """Whether nothing is to be measured, and only looked whether something is missing."""
    return bool(measurement.expected) and all(e.written == "absent" for e in measurement.expected)


def with_turning(
    problem: Problem,
    filling: Filling,
    measurements: Sequence[Measurement],
    most: int,
    patience: Patience | None = None,
) -> tuple[Measurement, ...]:
    """The measurements, the first ``most`` looks with the readings at which the plan turns."""
    first = [one for look in looks(measurements)[:most] for one in look if not is_absence(one)]
    asked = [
        [
            Asked(place, one.feature, d, what_to_type([place], one.feature, [d]))
            for place in one.places
            for d in one.dimensions
        ]
        for one in first
    ]
    every = iter(turns_of(problem, filling, [a for of in asked for a in of], patience))
    turned: dict[int, Measurement] = {}
    for one, of in zip(first, asked, strict=True):
        turns = tuple(next(every) for _ in of)
        bare = tuple(replace(told, turning=()) for told in turns)  # each value stands once in an answer
        turned[id(one)] = replace(one, turns=bare, turning=tuple(t for told in turns for t in told.turning))
    return tuple(turned.get(id(one), one) for one in measurements)


def record_first(problem: Problem, filling: Filling) -> tuple[Place, ...]:
    """The places of which nothing is recorded, and whose thing is taken to stay where it meets what changes."""
    met = {p for at in joints_that_count(problem, filling) for p in (at.first, at.second)}
    met |= {p for at in figures_that_count(problem, filling) for p in at.places}
    return tuple(p for p in problem.places.all if p in met and p in filling.chosen and not _is_known(filling, p))


def _is_known(filling: Filling, place: Place) -> bool:
    candidate = filling.chosen[place]
    return candidate.recorded or not candidate.stays


def _grouped(sizes: Sequence[SizeWanted]) -> Iterator[tuple[str, str, str, list[SizeWanted]]]:
    """Position, feature, when it is reached, and the sizes that are read there together: those wanted at the same
    places."""
    places: dict[tuple[str, str, str, str], dict[Place, None]] = defaultdict(dict)
    for size in sizes:
        places[(*_where(size), size.column)][size.place] = None
    together: dict[tuple[str, str, str, frozenset[Place]], list[SizeWanted]] = defaultdict(list)
    for size in sizes:
        together[(*_where(size), frozenset(places[(*_where(size), size.column)]))].append(size)
    for (position, feature, reached, _), found in together.items():
        yield position, feature, reached, found


def _where(size: SizeWanted) -> tuple[str, str, str]:
    return size.place.position, size.feature, size.reached or ON_THE_VEHICLE


def group_of(problem: Problem, candidate: Candidate | None) -> GroupName:
    """The order group of a candidate."""
    return GroupName(*group_key(problem, candidate)) if candidate is not None else GroupName("", "")


def is_read(problem: Problem, candidate: Candidate | None, feature: str, dimension: str) -> bool:
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
        return bool(rest) and all(is_read(problem, candidate, feature, d) for d in rest)
    known = known_of(stated)
    return known.rank == ON_THE_ITEM and not known.contested


def _cut_joints(problem: Problem, filling: Filling) -> Iterator[SizeWanted]:
    for at in joints_that_count(problem, filling):
        first, second = filling.chosen[at.first], filling.chosen[at.second]
        if first.stays == second.stays or not problem.checks.joint(at, first, second).verdict.is_unproven:
            continue
        kept, new = (first, second) if first.stays else (second, first)
        yield from kept_side(problem, at, kept, group_of(problem, new))


def kept_side(problem: Problem, at: JointAt, kept: Candidate, decides: GroupName) -> Iterator[SizeWanted]:
    """The sizes of a kept thing that a joint requires, and that nobody has read on it."""
    rule = problem.checks.rule_of(at)
    end = at.end_at(kept.place)
    for condition in rule.conditions:
        if condition.need == "required":
            for term in condition.terms:
                of_it = rule.end_of(term).number == end.number
                if of_it and not is_read(problem, kept, end.feature, term.dimension):
                    yield SizeWanted(kept.place, end.feature, term.dimension, end.reached, decides)


def _cut_figures(problem: Problem, filling: Filling) -> Iterator[SizeWanted]:
    for at in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in at.places}
        result = problem.checks.figure(at, chosen, problem.checks.as_made_value(at, problem.vehicle))
        new = [c for c in chosen.values() if c is not None and not c.stays]
        if not result.verdict.is_unproven or not new:
            continue
        for place, term in zip(at.places, at.figure.terms, strict=True):
            kept = chosen[place]
            if kept is not None and kept.stays and not is_read(problem, kept, term.feature, term.dimension):
                yield from (
                    SizeWanted(place, term.feature, term.dimension, term.reached, group_of(problem, n)) for n in new
                )


def _survey(problem: Problem, filling: Filling) -> Iterator[SizeWanted]:
    """What can be seen without taking anything apart and shows whether the thing that leaves is what the records
    say."""
    for at in problem.places.joints:
        yield from _seen_joint(problem, filling, at)
    for figure in problem.places.figures:
        yield from _seen_figure(problem, filling, figure)


def _seen_joint(problem: Problem, filling: Filling, at: JointAt) -> Iterator[SizeWanted]:
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
                if not is_read(problem, old, end.feature, dimension):
                    yield SizeWanted(place, end.feature, dimension, end.reached, group_of(problem, new), why)


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


def _seen_figure(problem: Problem, filling: Filling, at: FigureAt) -> Iterator[SizeWanted]:
    chosen = {p: filling.chosen.get(p) for p in at.places}
    as_made = problem.checks.as_made_value(at, problem.vehicle)
    for place, term in zip(at.places, at.figure.terms, strict=True):
        old, new = problem.staying(place), filling.chosen.get(place)
        leaves = old is not None and new is not None and not new.stays
        if not leaves or term.reached != ON_THE_VEHICLE or is_read(problem, old, term.feature, term.dimension):
            continue
        if problem.checks.figure(at, {**chosen, place: old}, as_made).verdict.is_no:
            yield SizeWanted(place, term.feature, term.dimension, term.reached, group_of(problem, new), SURVEY)


def expected_of(problem: Problem, size: SizeWanted) -> tuple[WrittenSize, ...]:
    """What the records say of a size, each statement once."""
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


def how_of(problem: Problem, size: SizeWanted, dimension: str) -> str:
    """How a dimension is measured there, as the layout or the vocabulary says it; blank where nothing can be."""
    layout, position = problem.places.layout, size.place.position
    return how_in_place(layout, kind_at(problem, size.place, size.feature), position, size.feature, dimension).text


def kind_at(problem: Problem, place: Place, feature: str) -> Table | None:
    """The kind of a feature in a place, as it is recorded or as the layout says it."""
    vocabulary, layout = problem.checks.catalogue.vocabulary, problem.places.layout
    return problem.checks.kind_of(feature) or kind_in_place(vocabulary, layout, place.position, feature)
