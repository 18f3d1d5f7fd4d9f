"""The record of a finished job: as found against as built, with the evidence, the readings and who checked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from knockon.graph.jobs.events import Built, CheckBuilt, PlaceBuilt
from knockon.graph.jobs.store import Job
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, stands_in
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.job.card import CardLine, Done, JobCard, Reading, Tight, card_of
from knockon.queries.job.named import asked_in, done_in
from knockon.queries.plan.changes import KEPT, MOVED_OVER, TAKEN_OFF, Change
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.request import asked_of
from knockon.queries.plan.swap import Plan, SwapAnswer, plan_swap

STAYS = (KEPT, MOVED_OVER, TAKEN_OFF)
NO_PLAN, NOT_CLOSED = "no plan", "not closed"


class StepTaken(msgspec.Struct, frozen=True):
    """A step of the card: who ticked it, when; ``done`` None where nobody did. ``read``: what was read there, with the
    limits of ``reading``; ``tightening``: how tight its fasteners are done up, with source or without a value."""

    step: str
    side: str
    gate: bool
    caution: str = ""
    done: Done | None = None
    reading: Reading | None = None
    tightening: tuple[Tight, ...] = ()


class GoodsSeen(msgspec.Struct, frozen=True):
    """What was seen of a part when it came: its verdict (accept, reject, ask) and its readings, as written."""

    part: str
    quantity: int
    verdict: str
    by: str
    supplier: str = ""
    readings: tuple[str, ...] = ()
    why: str = ""


class RecordAnswer(Answer, frozen=True):
    """The record of a named plan. ``open``: what stands in the way of it (``no plan``, ``not closed``, gates).

    ``asked`` as it was typed, by option. ``places`` are those that changed, ``stay`` how many did not. ``was`` and
    ``now``: the arrangements. ``built``: by whom and when it became the vehicle's fittings; ``note``: the club note."""

    plan: str
    vehicle: str
    title: str
    owner: str = ""
    asked: tuple[tuple[str, str], ...] = ()
    open: tuple[str, ...] = ()
    was: str = ""
    now: str = ""
    places: tuple[PlaceBuilt, ...] = ()
    stay: int = 0
    checks: tuple[CheckBuilt, ...] = ()
    steps: tuple[StepTaken, ...] = ()
    goods: tuple[GoodsSeen, ...] = ()
    sources: tuple[str, ...] = ()
    closed: Done | None = None
    built: Done | None = None
    note: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_good(self) -> bool:
        """Whether the card is closed, so that there is a record."""
        return not self.open

    @property
    def not_ticked(self) -> tuple[StepTaken, ...]:
        """The steps that nobody ticked; no gate is among them once the card is closed."""
        return tuple(s for s in self.steps if s.done is None)


def record_of(catalogue: Catalogue, job: Job, patience: Patience | None = None) -> RecordAnswer:
    """The record of a plan as it stands. Raises RequestError, UnknownNameError, JobRefused."""
    vehicle = catalogue.find("vehicle", job.planned.vehicle)
    closed, built = job.closed, job.built
    answer = RecordAnswer(
        plan=job.name,
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        owner=vehicle.owner,
        asked=tuple((option, said) for option, words in job.planned.request.items() for said in words),
        goods=tuple(
            GoodsSeen(e.part, e.quantity, e.verdict, e.by, e.supplier, e.readings, e.why) for e in job.received
        ),
        closed=Done(closed.by, closed.at, closed.checked_by) if closed is not None else None,
        built=Done(built.by, built.at) if built is not None else None,
        note=job.noted,
    )
    if built is not None:
        return _as_written(catalogue, answer, job, built)
    named, typed = asked_in(job)
    vehicle, places, request = asked_of(catalogue, named, typed)
    plan = plan_swap(catalogue, vehicle.vehicle, request, reasons=False, alternatives=0, patience=patience)
    card = card_of(catalogue, places, plan, done_in(job))
    answer = msgspec.structs.replace(answer, cautions=cautions_on(catalogue, [places.layout]), open=_open(job, card))
    if plan.plan is None:
        return answer
    checks = tuple(_checks(catalogue, places, plan, plan.plan))
    return msgspec.structs.replace(
        answer,
        was=str(plan.plan.was),
        now=str(plan.plan.arrangement),
        places=tuple(_places(catalogue, plan)),
        stay=sum(c.status in STAYS for c in plan.changes),
        checks=checks,
        steps=tuple(map(_step, card.lines)),
        sources=_sources(catalogue, checks),
    )


def _as_written(catalogue: Catalogue, answer: RecordAnswer, job: Job, built: Built) -> RecordAnswer:
    """The record of what is built already: what was kept of it, since the vehicle is no longer as it was found."""
    steps = tuple(StepTaken(step, side, False, done=done) for (step, side), done in _ticks(job))
    return msgspec.structs.replace(
        answer,
        was=built.was,
        now=built.now,
        places=built.places,
        checks=built.checks,
        steps=steps,
        sources=_sources(catalogue, built.checks),
        cautions=built.cautions,
    )


def _ticks(job: Job) -> Iterator[tuple[tuple[str, str], Done]]:
    for key, event in job.ticked.items():
        yield key, Done(event.by, event.at, event.read)


def _open(job: Job, card: JobCard) -> tuple[str, ...]:
    if not card.has_plan:
        return (NO_PLAN,)
    return (*card.open_gates, *card.no_step, NOT_CLOSED) if job.closed is None else ()


def _step(line: CardLine) -> StepTaken:
    return StepTaken(line.step, line.side, line.gate, line.caution, line.done, line.reading, line.tightening)


def _places(catalogue: Catalogue, plan: SwapAnswer) -> Iterator[PlaceBuilt]:
    """The places that changed, in the layout's order."""
    filled = {f.place: f for f in plan.plan.filled} if plan.plan is not None else {}
    for change in (c for c in plan.changes if c.status not in STAYS):
        now = filled.get(change.place)
        number = now.number if now is not None and now.number in catalogue.parts else ""
        is_thing = now is not None and now.recorded and now.thing != now.number
        yield PlaceBuilt(
            place=str(change.place),
            position=change.position,
            side=change.side,
            status=change.status,
            old="" if change.not_recorded else change.old,
            new=number,
            name=_name(catalogue, change),
            thing=now.thing if now is not None and is_thing and (number or now.thing in catalogue.items) else "",
        )


def _name(catalogue: Catalogue, change: Change) -> str:
    part = catalogue.parts.get(change.new or change.old)
    return part.name if part is not None else ""


def _checks(catalogue: Catalogue, places: Places, plan: SwapAnswer, built: Plan) -> Iterator[CheckBuilt]:
    """Every joint and figure that the change made, each once for both hands where its verdict is the same."""
    checks = Checks(catalogue, places)
    there = {
        f.place: Candidate(f.place, f.thing, f.number, f.number, f.stays, recorded=f.recorded) for f in built.filled
    }
    changed = {c.place for c in plan.changes if c.status not in STAYS}
    holding = _arrangements(places, built)
    found: dict[tuple[str, str], list[CheckBuilt]] = {}
    for at in places.joints:
        first, second = there.get(at.first), there.get(at.second)
        if first is None or second is None or not changed & {at.first, at.second}:
            continue
        if stands_in(at.joint, holding):
            _add(found, joint_evidence(checks, at, first, second))
    vehicle = catalogue.vehicles[plan.vehicle]
    for figure in places.figures:
        if changed & set(figure.places) and stands_in(figure.figure, holding):
            standing: Mapping[Place, Candidate | None] = {p: there.get(p) for p in figure.places}
            _add(found, figure_evidence(checks, figure, standing, vehicle))
    for of_it in found.values():
        yield msgspec.structs.replace(
            of_it[0],
            safety_critical=any(c.safety_critical for c in of_it),
            places=tuple(dict.fromkeys(p for c in of_it for p in c.places)),
            sources=tuple(sorted({x for c in of_it for x in c.sources})),
            missing=tuple(dict.fromkeys(m for c in of_it for m in c.missing)),
        )


def _add(found: dict[tuple[str, str], list[CheckBuilt]], evidence: Evidence) -> None:
    said = [v.source for line in evidence.lines for v in line.values if v.computes]
    said += [line.source for line in evidence.lines if line.source]
    said += [c.source for c in evidence.claims]
    check = CheckBuilt(
        check=evidence.check,
        verdict=evidence.verdict.value,
        places=tuple(map(str, evidence.places)),
        safety_critical=evidence.safety_critical,
        weakest=evidence.weakest or "",
        sources=tuple(sorted(set(said))),
        missing=tuple(dict.fromkeys(map(str, evidence.to_measure))),
    )
    found.setdefault((check.check, check.verdict), []).append(check)


def _arrangements(places: Places, built: Plan) -> set[str]:
    """The arrangements that hold in a plan: those that are said, and those of choices that leave none."""
    said = set(built.arrangement.each)
    alone = (c.arrangements for c in places.layout.choices if len(c.arrangements) == 1)
    return said.union(*alone)


def _sources(catalogue: Catalogue, checks: Sequence[CheckBuilt]) -> tuple[str, ...]:
    """The sources of the records among them: the others say where limits come from."""
    return tuple(sorted({source for check in checks for source in check.sources if source in catalogue.sources}))
