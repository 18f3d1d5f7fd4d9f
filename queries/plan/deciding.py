"""Which readings on the vehicle decide a plan: the fewest, in the order in which they can be reached.

Readings decide a plan when, at any value of each within what is recorded of it or usual, no check across the cut stays
unproven for want of a size of what stays. Such a check is decided only by all the sizes that it requires of what stays:
while one of them is not read on the very thing, it rests on a size of the number, or on none, whatever the others say.
So the fewest readings are those sizes together, and no others. A check that stays open whatever is read decides
nothing: a size of the new part is not known well enough, or nobody can read it on the vehicle. It is named instead.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.beliefs import known_of, presence_of
from knockon.graph.judge.verdicts import OTHER_RANK, SAFE_RANK, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout_words import NEUTRAL
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.size_names import WrittenSize
from knockon.queries.plan.measure import (
    ON_THE_VEHICLE,
    SizeWanted,
    expected_of,
    group_of,
    how_of,
    is_read,
    kept_side,
    kind_at,
    record_first,
    what_to_type,
)
from knockon.queries.plan.orders import GroupName
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import BEST_PLAN, Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count
from knockon.queries.plan.turning import told
from knockon.queries.plan.turning.moving import usual_of
from knockon.queries.plan.turning.told import TurnsOf
from knockon.queries.plan.turning.turning import Turning

FIRST = 5
"""Readings whose turning values are worked out at once; those of the others are asked for."""
NEW_PART, NO_METHOD, NEVER_BY_SIZES = "new part", "nobody can read it", "never by sizes"
REACHED = {word: i for i, word in enumerate(NEUTRAL)}
"""The stages of taking apart, in their order."""


class ReadingWanted(msgspec.Struct, frozen=True):
    """One reading: ``what`` it is, as ``knockon measured`` takes it; when it can be reached; the usual tool, with its ±
    in ``unit``; how to measure; what is expected; the order groups and the checks that it decides.

    ``usual``: from the least to the greatest usual size, where nothing is recorded. ``turning``: the readings at which
    the plan turns, the nearest first, and ``turns`` all that is to be said of it; None: not worked out here.
    """

    what: str
    place: Place
    feature: str
    dimension: str
    reached: str
    tool: str
    within: float
    unit: str
    how: str
    expected: tuple[WrittenSize, ...]
    decides: tuple[GroupName, ...]
    checks: tuple[str, ...]
    usual: tuple[float, ...] = ()
    turning: tuple[Turning, ...] = ()
    turns: TurnsOf | None = None


class StaysOpen(msgspec.Struct, frozen=True):
    """A check across the cut that no reading on the vehicle decides, and why."""

    check: str
    places: tuple[Place, ...]
    verdict: Verdict
    why: str


class MeasureAnswer(Answer, frozen=True):
    """The fewest readings that decide the plan, in the order in which they can be reached. ``planned``: there is a
    plan. ``stays_open``: checks across the cut that they leave open, whatever is read. ``record_first``: places of
    which nothing is recorded."""

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    planned: bool
    readings: tuple[ReadingWanted, ...] = ()
    stays_open: tuple[StaysOpen, ...] = ()
    record_first: tuple[Place, ...] = ()
    proved: bool = True
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def decides(self) -> bool:
        """Whether these readings decide all checks across the cut of a plan that there is."""
        return self.planned and not self.stays_open and not self.record_first


def measure(
    catalogue: Catalogue,
    vehicle_name: str,
    *,
    first: int = FIRST,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> MeasureAnswer:
    """The readings that decide the plan for what is typed; of the ``first`` of them with the values at which it turns.

    Raises RequestError, UnknownNameError, TimeUp where no plan was found in the time.
    """
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    problem = Problem(Checks(catalogue, Places(catalogue.layouts[vehicle.layout])), vehicle, request)
    planner = planner_of(problem, patience)
    planner.patience.heard(BEST_PLAN, 0, 0)
    filling = planner.best()
    answer = MeasureAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        asked=request.in_words,
        planned=filling is not None,
        cautions=short_cautions_on(catalogue, [problem.places.layout]),
    )
    if filling is None:
        return answer
    readings, stays_open = deciding(problem, filling)
    wanted = [told.Asked(r.place, r.feature, r.dimension, r.what) for r in readings[:first]]
    found = told.turns_of(problem, filling, wanted, planner.patience)
    shown = [replace(r, turns=t, turning=t.turning) for r, t in zip(readings, found, strict=False)]
    shown += readings[len(found) :]
    return replace(
        answer,
        readings=tuple(shown),
        stays_open=stays_open,
        record_first=record_first(problem, filling),
        proved=filling.proved,
    )


def deciding(problem: Problem, filling: Filling) -> tuple[tuple[ReadingWanted, ...], tuple[StaysOpen, ...]]:
    """The fewest readings that decide a plan, without turning values, and the checks that stay open whatever is
    read."""
    wanted: dict[tuple[Place, str, str], list[tuple[SizeWanted, str]]] = {}
    stays_open = []
    for one in across(problem, filling):
        if one.why:
            stays_open.append(StaysOpen(one.check, one.places, one.verdict, one.why))
            continue
        for size in one.sizes:
            wanted.setdefault((size.place, size.feature, size.column), []).append((size, one.check))
    readings = sorted((_reading(problem, found) for found in wanted.values()), key=_order)
    return tuple(readings), tuple(stays_open)


def _order(reading: ReadingWanted) -> tuple[int, str, str, str]:
    text = f"{reading.place.position}, {reading.feature}: {reading.dimension}"
    return REACHED.get(reading.reached, len(REACHED)), reading.reached, text, reading.place.side


def _reading(problem: Problem, found: Sequence[tuple[SizeWanted, str]]) -> ReadingWanted:
    size = found[0][0]
    kind = kind_at(problem, size.place, size.feature)
    vocabulary = problem.checks.catalogue.vocabulary
    tool = vocabulary.usual_tool(kind.iri, size.dimension) if kind is not None else None
    said = (e for s, _ in found for e in expected_of(problem, s))
    expected = tuple(dict.fromkeys(said))
    usual = usual_of(problem.checks.catalogue).range_of(kind.table, size.column) if kind is not None else None
    stages = sorted({s.reached or ON_THE_VEHICLE for s, _ in found}, key=lambda r: (REACHED.get(r, len(REACHED)), r))
    return ReadingWanted(
        what=what_to_type([size.place], size.feature, [size.column]),
        place=size.place,
        feature=size.feature,
        dimension=size.column,
        reached=stages[0],
        tool=tool.name if tool is not None else "",
        within=tool.within if tool is not None else 0.0,
        unit=tool.unit if tool is not None and tool.within else "",
        how=how_of(problem, size, size.column),
        expected=expected,
        decides=tuple(dict.fromkeys(s.decides for s, _ in found)),
        checks=tuple(dict.fromkeys(check for _, check in found)),
        usual=usual if usual is not None and not expected else (),
    )


class Across(msgspec.Struct, frozen=True):
    """An unproven check across the cut: the sizes to read on what stays, and why these do not decide it (blank: they
    do)."""

    check: str
    places: tuple[Place, ...]
    verdict: Verdict
    sizes: tuple[SizeWanted, ...]
    why: str


def across(problem: Problem, filling: Filling) -> Iterator[Across]:
    """The unproven checks of a plan across the cut."""
    for one in _across(problem, filling):
        readable = one.sizes and all(how_of(problem, s, s.column) for s in one.sizes)
        yield one if one.why or readable else replace(one, why=NO_METHOD)


def _across(problem: Problem, filling: Filling) -> Iterator[Across]:
    for at in joints_that_count(problem, filling):
        first, second = filling.chosen[at.first], filling.chosen[at.second]
        verdict = problem.checks.joint(at, first, second).verdict
        if first.stays != second.stays and verdict.is_unproven:
            kept, new = (first, second) if first.stays else (second, first)
            sizes = tuple(kept_side(problem, at, kept, group_of(problem, new)))
            yield Across(at.joint.joint, (at.first, at.second), verdict, sizes, _why_joint(problem, at, new))
    for figure in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in figure.places}
        result = problem.checks.figure(figure, chosen, problem.checks.as_made_value(figure, problem.vehicle))
        there = [c for c in chosen.values() if c is not None]
        if result.verdict.is_unproven and len({c.stays for c in there}) == 2:
            sizes = tuple(_kept_terms(problem, figure, chosen))
            why = _why_figure(problem, figure, chosen)
            yield Across(figure.figure.figure, tuple(dict.fromkeys(figure.places)), result.verdict, sizes, why)


def _why_joint(problem: Problem, at: JointAt, new: Candidate) -> str:
    """Why a joint stays open whatever is read on what stays; blank: it does not."""
    if problem.checks.is_by_name(at):
        return NEVER_BY_SIZES
    rule, end = problem.checks.rule_of(at), at.end_at(new.place)
    feature = problem.checks.feature_at(rule.ends[end.number], new.thing, end.feature)
    if feature is None or presence_of(feature) != "recorded":
        return NEW_PART
    worst = SAFE_RANK if problem.checks.is_safety_critical(at) else OTHER_RANK
    for condition in (c for c in rule.conditions if c.need == "required"):
        for term, usual in zip(condition.terms, condition.usual or ("",) * len(condition.terms), strict=True):
            if rule.end_of(term).number == end.number:
                known = known_of(feature.dimensions.get(term.dimension, ()))
                assumed = bool(usual) and not known.sizes and not known.asked
                if not assumed and (not known.sizes or known.contested or known.rank > worst):
                    return NEW_PART
    return ""


def _kept_terms(problem: Problem, at: FigureAt, chosen: dict[Place, Candidate | None]) -> Iterator[SizeWanted]:
    groups = [group_of(problem, c) for c in chosen.values() if c is not None and not c.stays]
    for place, term in zip(at.places, at.figure.terms, strict=True):
        kept = chosen[place]
        if kept is not None and kept.stays and not is_read(problem, kept, term.feature, term.dimension):
            yield from (SizeWanted(place, term.feature, term.dimension, term.reached, g) for g in groups)


def _why_figure(problem: Problem, at: FigureAt, chosen: dict[Place, Candidate | None]) -> str:
    if at.figure.method:
        return NEVER_BY_SIZES
    if at.figure.compared_with == "as made" and problem.checks.as_made_value(at, problem.vehicle) is None:
        return NEW_PART
    for i, place in enumerate(at.places):
        new = chosen[place]
        if new is not None and not new.stays:
            term = problem.checks.term(at, i, new)
            if not term.is_sized or term.contested or term.maybe_absent or term.is_weak(at.figure.safety_critical):
                return NEW_PART
    return ""
