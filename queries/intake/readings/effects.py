"""What a reading changes: the verdicts of the vehicle's checks, and the plan for what is wanted of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Unpack

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.fits.checking.candidates import as_found
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.intake.readings.in_tables import InTable
from knockon.queries.intake.readings.measured import AskedBack, Taken
from knockon.queries.plan.line_changes import LineChange, line_changes
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.plan.swap import Plan, SwapAnswer, plan_swap
from knockon.queries.plan.turning.told import Asked, TurnsOf, turns_of

WRITTEN, CORRECTED, WITHDRAWN, ASKED, THERE = "written", "corrected", "withdrawn", "asked back", "already there"


STAYS = " (stays)"
"""Behind the number of what stays in its place, in what a plan changes."""


class CheckChange(msgspec.Struct, frozen=True):
    """A check on what stands in its places, and its verdict before and after; blank: it was not judged."""

    check: str
    places: tuple[Place, ...]
    before: Verdict | None
    after: Verdict | None


class PlanChange(msgspec.Struct, frozen=True):
    """The plan for what is wanted, before and after: whether there is one, the checks of it whose verdict is another
    one, lines and places (place, before, after), and how many of its checks are unproven. ``turns``: where each of the
    readings would turn the plan that there is now."""

    planned: tuple[bool, bool]
    checks: tuple[CheckChange, ...] = ()
    lines: tuple[LineChange, ...] = ()
    places: tuple[tuple[Place, str, str], ...] = ()
    unproven: tuple[int, int] = (0, 0)
    turns: tuple[TurnsOf, ...] = ()

    @property
    def is_same(self) -> bool:
        """Whether the same stands in each place."""
        return not self.places and len(set(self.planned)) == 1


class MeasuredAnswer(Answer, frozen=True):
    """What became of readings. ``done``: ``written`` in ``note``, ``corrected`` (in the place of ``notes_before``),
    ``withdrawn``, ``already there``, or ``asked back``: then nothing is written. ``cells_before``: readings of imported
    sheets that count no more.

    ``photographs``: the files that were kept, in the records folder. ``checks``: those of the vehicle as it stands
    whose verdict is another one; ``plan``: what changes in the plan for what is wanted; None where nothing is.
    """

    vehicle: str
    done: str
    note: str = ""
    notes_before: tuple[str, ...] = ()
    cells_before: tuple[InTable, ...] = ()
    readings: tuple[Taken, ...] = ()
    asked: tuple[AskedBack, ...] = ()
    checks: tuple[CheckChange, ...] = ()
    plan: PlanChange | None = None
    withdrawn: tuple[str, ...] = ()
    photographs: tuple[str, ...] = ()
    by: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_done(self) -> bool:
        """Whether the records say what was typed."""
        return self.done != ASKED


def vehicle_changes(before: Catalogue, after: Catalogue, vehicle: str) -> tuple[CheckChange, ...]:
    """The checks of a vehicle as it stands whose verdict is another one. Cost: all its checks, twice."""
    then, now = (_verdicts(catalogue, catalogue.vehicles[vehicle]) for catalogue in (before, after))
    return tuple(_changed(then, now))


Verdicts = Mapping[tuple[str, tuple[Place, ...]], Verdict]


def _verdicts(catalogue: Catalogue, vehicle: Vehicle) -> Verdicts:
    places = Places(catalogue.layouts[vehicle.layout])
    checks, now = Checks(catalogue, places), as_found(catalogue, places, vehicle)
    found: dict[tuple[str, tuple[Place, ...]], Verdict] = {}
    for at in places.joints:
        if at.first in now and at.second in now:
            found[(at.joint.joint, (at.first, at.second))] = checks.joint(at, now[at.first], now[at.second]).verdict
    for figure in places.figures:
        there = {p: now.get(p) for p in figure.places}
        if any(there.values()):
            result = checks.figure(figure, there, checks.as_made_value(figure, vehicle))
            found[(figure.figure.figure, figure.places)] = result.verdict
    return found


def _changed(then: Verdicts, now: Verdicts) -> Iterator[CheckChange]:
    for check, places in dict.fromkeys((*then, *now)):
        was, is_ = then.get((check, places)), now.get((check, places))
        if was is not is_:
            yield CheckChange(check, tuple(dict.fromkeys(places)), was, is_)


def plan_change(
    before: Catalogue,
    after: Catalogue,
    vehicle: str,
    readings: Sequence[Taken] = (),
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> PlanChange:
    """What changes in the plan for what is wanted of a vehicle, and where these readings would turn it. Raises
    RequestError, UnknownNameError."""
    then, now = (_planned(catalogue, vehicle, typed, patience) for catalogue in (before, after))
    return PlanChange(
        planned=(then.plan is not None, now.plan is not None),
        checks=tuple(_changed(_unproven(then), _unproven(now))),
        lines=line_changes(then, now),
        places=tuple(_places(then, now)),
        unproven=(_count(then.plan), _count(now.plan)),
        turns=_turns(after, vehicle, readings, patience, typed) if now.plan is not None else (),
    )


def _planned(catalogue: Catalogue, vehicle: str, typed: TypedRequest, patience: Patience | None) -> SwapAnswer:
    """The plan alone, without the reasons for it: nothing here shows them, and they cost as much again."""
    found, _, request = asked_of(catalogue, vehicle, typed)
    anew = patience.anew() if patience else None
    return plan_swap(catalogue, found.vehicle, request, alternatives=0, reasons=False, patience=anew)


def _turns(
    catalogue: Catalogue, vehicle_name: str, readings: Sequence[Taken], patience: Patience | None, typed: TypedRequest
) -> tuple[TurnsOf, ...]:
    sized = [r for r in readings if r.written != "absent"]
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    problem = Problem(Checks(catalogue, Places(catalogue.layouts[vehicle.layout])), vehicle, request)
    filling = planner_of(problem, patience.anew() if patience else None).best() if sized else None
    if filling is None:
        return ()
    return turns_of(problem, filling, [Asked(r.place, r.feature, r.dimension, r.what) for r in sized], patience)


def _places(then: SwapAnswer, now: SwapAnswer) -> Iterator[tuple[Place, str, str]]:
    was, is_ = (
        {f.place: f.number + (STAYS if f.stays else "") for f in (a.plan.filled if a.plan else ())} for a in (then, now)
    )
    for place in dict.fromkeys((*was, *is_)):
        if was.get(place) != is_.get(place):
            yield place, was.get(place, ""), is_.get(place, "")


def _unproven(answer: SwapAnswer) -> Verdicts:
    """The verdicts of the plan's checks that are unproven."""
    found = answer.plan.unproven if answer.plan else ()
    return {(e.check, e.places): e.verdict for e in found}


def _count(plan: Plan | None) -> int:
    return len(plan.unproven) if plan else 0


def told(answer: MeasuredAnswer, catalogue: Catalogue) -> MeasuredAnswer:
    """The answer with the cautions of the records."""
    return msgspec.structs.replace(answer, cautions=short_cautions_on(catalogue))
