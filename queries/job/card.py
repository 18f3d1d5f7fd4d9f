"""The job card: the steps of a plan in an order that can be done, each with its parts, tool, caution and readings."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Unpack

import msgspec

from knockon.graph.judge.beliefs import known_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.work import GATE, INSPECT, Step
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.job.precedence import BEFORE_FITTING, StepAt, Work, comes_off, goes_on, stays, work_of
from knockon.queries.job.wear import Worn, wear_at
from knockon.queries.plan.changes import KEPT, Change
from knockon.queries.plan.figures import ToldFigure
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.plan.swap import SwapAnswer, plan_swap
from knockon.queries.plan.sweep import changed_figures


class PartAt(msgspec.Struct, frozen=True):
    """What a step is about in one place: what comes off (``old``), what goes on (``new``); ``stays``: it is kept."""

    place: Place
    old: str = ""
    new: str = ""
    name: str = ""
    stays: bool = False


class ToolSize(msgspec.Struct, frozen=True):
    """The size that a tool takes on a part; not recorded where ``size`` is blank."""

    part: str
    what: str
    size: str = ""


class Reading(msgspec.Struct, frozen=True):
    """What is read and written down; ``low`` and ``high`` in ``unit``, None where nothing is recorded. ``expected``:
    they are what the plan comes to, no limits."""

    what: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    expected: bool = False


class Tight(msgspec.Struct, frozen=True):
    """How tight a fastener is done up, in N m; without a ``source`` no value is recorded: the maker's book has it."""

    position: str
    low: float | None = None
    high: float | None = None
    condition: str = ""
    then: str = ""
    source: str = ""


class Done(msgspec.Struct, frozen=True):
    """That a step was ticked: by whom, when, with what was read."""

    by: str
    at: str = ""
    read: str = ""


class CardLine(msgspec.Struct, frozen=True):
    """One step on the card, in its place; ``number`` counts from 1. ``gate``: it must be ticked before the card can be
    closed; ``after_gates``: the gates that must be ticked before this step. ``done``: None as long as it is not."""

    number: int
    step: str
    side: str
    kind: str
    text: str
    parts: tuple[PartAt, ...]
    caution: str = ""
    tool: str = ""
    tool_sizes: tuple[ToolSize, ...] = ()
    reading: Reading | None = None
    tightening: tuple[Tight, ...] = ()
    wear: tuple[Worn, ...] = ()
    gate: bool = False
    after_gates: tuple[str, ...] = ()
    source: str = ""
    done: Done | None = None

    @property
    def name(self) -> str:
        """Its step and side."""
        return f"{self.side} {self.step}".strip()


class JobCard(Answer, frozen=True):
    """The card of a plan. ``no_step``: places at which something changes and that no step of the layout is about;
    ``open_gates``: what must still be ticked before it can be closed. ``has_plan``: False where there is no plan."""

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    has_plan: bool = True
    lines: tuple[CardLine, ...] = ()
    no_step: tuple[Place, ...] = ()
    open_gates: tuple[str, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    plan: str = ""
    closed: Done | None = None

    @property
    def is_good(self) -> bool:
        """Whether there is a plan, and every step that changes something stands on the card."""
        return self.has_plan and not self.no_step


def job_card(
    catalogue: Catalogue,
    vehicle_name: str,
    *,
    done: Mapping[StepAt, Done] | None = None,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> JobCard:
    """The card of the best plan for a swap as it is typed. Raises RequestError, UnknownNameError."""
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    plan = plan_swap(catalogue, vehicle.vehicle, request, reasons=False, alternatives=0, patience=patience)
    return card_of(catalogue, places, plan, done or {})


def card_of(catalogue: Catalogue, places: Places, plan: SwapAnswer, done: Mapping[StepAt, Done]) -> JobCard:
    """The card of a plan that was found. Raises RequestError where the steps wait for each other."""
    card = JobCard(plan.vehicle, plan.title, plan.asked, cautions=cautions_on(catalogue, [places.layout]))
    if plan.plan is None:
        return msgspec.structs.replace(card, has_plan=False)
    changes = {c.place: c for c in plan.changes}
    work = work_of(places, plan.changes, opened(places, changes), changed_figures(plan.figures))
    steps = {s.step: s for s in places.layout.steps}
    things = {f.place: f.thing for f in plan.plan.filled if f.stays}
    writer = _Writer(catalogue, places, changes, things, {f.figure: f for f in plan.figures})
    gates = _gates_before(work, steps)
    lines = tuple(
        writer.line(number, steps[at.step], at, work.places[at], gates[at], done.get(at))
        for number, at in enumerate(work.steps, 1)
    )
    about = {p for found in work.places.values() for p in found}
    unsaid = (c.place for c in plan.changes if (comes_off(c) or goes_on(c)) and c.place not in about)
    return msgspec.structs.replace(
        card,
        lines=lines,
        no_step=tuple(unsaid),
        open_gates=tuple(line.name for line in lines if line.gate and line.done is None),
    )


def _gates_before(work: Work, steps: Mapping[str, Step]) -> dict[StepAt, list[StepAt]]:
    """The gates that come before each step, also by way of others, in the order of the card."""
    before: dict[StepAt, set[StepAt]] = {at: set() for at in work.steps}
    for at in work.steps:  # what comes before a step stands before it in this order
        for one in (a for a, b in work.before if b == at):
            before[at] |= {one} | before[one]
    return {at: [a for a in work.steps if a in before[at] and steps[a.step].kind == GATE] for at in work.steps}


def opened(places: Places, changes: Mapping[Place, Change]) -> Collection[Place]:
    """The places whose thing stays where it is while a joint of it is undone or made."""
    found = set()
    for joint in places.joints:
        for here, there in ((joint.first, joint.second), (joint.second, joint.first)):
            if here in changes and changes[here].status == KEPT and there in changes and changes[there].status != KEPT:
                found.add(here)
    return found


class _Writer:
    """Writes lines for one plan."""

    def __init__(
        self,
        catalogue: Catalogue,
        places: Places,
        changes: Mapping[Place, Change],
        things: Mapping[Place, str],
        told: Mapping[str, ToldFigure],
    ) -> None:
        self.catalogue, self.places, self.changes, self.things = catalogue, places, changes, things
        self.told = told

    def line(
        self, number: int, step: Step, at: StepAt, here: Sequence[Place], gates: Sequence[StepAt], done: Done | None
    ) -> CardLine:
        """One line of the card; ``gates``: those that come before it."""
        return CardLine(
            number=number,
            step=step.step,
            side=at.side,
            kind=step.kind,
            text=step.text,
            parts=tuple(self._part(p) for p in here),
            caution=step.caution,
            tool=step.tool,
            tool_sizes=tuple(self._tool_sizes(step, here)),
            reading=self._reading(step, here),
            tightening=tuple(self._tight(step, at.side)),
            wear=tuple(w for p in here if step.kind == INSPECT for w in self._wear(p)),
            gate=step.kind == GATE,
            after_gates=tuple(map(str, gates)),
            source=step.source_of_it,
            done=done,
        )

    def _part(self, place: Place) -> PartAt:
        change = self.changes[place]
        shown = self.catalogue.parts.get(change.new or change.old)
        return PartAt(place, change.old, change.new, shown.name if shown is not None else "", stays(change))

    def _number(self, place: Place, kind: str) -> str:
        """The number of what is worked on: while things come off the old one, else what goes on."""
        change = self.changes[place]
        return (change.old or change.new) if kind in BEFORE_FITTING else (change.new or change.old)

    def _thing(self, place: Place, kind: str) -> str:
        return self.things.get(place, "") or self._number(place, kind)

    def _tool_sizes(self, step: Step, here: Sequence[Place]) -> Iterator[ToolSize]:
        """The sizes that the tool takes, each part once; where none is recorded that of the first part, without it."""
        if not step.tool_size:
            return
        position, _, what = step.tool_size.rpartition(", ")
        feature, _, dimension = what.partition(": ")
        found: dict[str, str] = {}
        for place in (p for p in here if position in ("", p.position)):
            number = self._number(place, step.kind)
            if number and number not in found:
                found[number] = self._written(number, place, feature, dimension)
        known = {n: size for n, size in found.items() if size} or dict([*found.items()][:1])
        yield from (ToolSize(number, what, size) for number, size in known.items())

    def _written(self, number: str, place: Place, feature: str, dimension: str) -> str:
        """A size of a part, or of the member of a set that stands in a place."""
        sides = ("", f"/{place.side}") if place.side else ("",)
        for thing in (number, *(f"{number}/{place.position}{side}" for side in sides)):
            there = self.catalogue.features_of(thing).get(feature)
            said = there.dimensions.get(dimension, ()) if there is not None else ()
            for statement in sorted(said, key=lambda s: s.order):
                if not statement.unknown:
                    return statement.written
        return ""

    def _reading(self, step: Step, here: Sequence[Place]) -> Reading | None:
        if not step.reading:
            return None
        figures = {f.figure: f for f in (*self.places.layout.figures, *self.places.layout.told)}
        if step.reading in figures:
            figure = figures[step.reading]
            if step.if_changed == step.reading and figure.low is None and figure.high is None:
                return self._expected(step)
            return Reading(step.reading, figure.low, figure.high, figure.unit)
        feature, _, dimension = step.reading.partition(": ")
        for place in here:
            there = self.catalogue.features_of(self._thing(place, step.kind)).get(feature)
            known = known_of(there.dimensions.get(dimension, ())) if there is not None else None
            if known is not None and len(known.sizes) == 1:
                size = known.sizes[0]
                return Reading(step.reading, size.low, size.high, "mm")
        return Reading(step.reading)

    def _expected(self, step: Step) -> Reading:
        """What a figure that has no limits comes to, as far as it counts at this step."""
        told = self.told.get(step.reading)
        planned = told.planned if told is not None else None
        low, high = (planned.low, planned.high) if planned is not None else (None, None)
        here = [None if x is None else x * step.share for x in (low, high)]
        return Reading(step.reading, here[0], here[1], told.unit if told is not None else "", expected=True)

    def _tight(self, step: Step, side: str) -> Iterator[Tight]:
        for position in step.tightens:
            place = self.places.at(position, side)
            change = self.changes.get(place) if place is not None else None
            if change is None or not goes_on(change):
                continue
            rows = [t for t in self.places.layout.tightening if t.position == position]
            own = [t for t in rows if t.part == change.new] or [t for t in rows if not t.part]
            yield from (Tight(position, t.low, t.high, t.condition, t.then, t.source) for t in own)
            if not own:
                yield Tight(position)

    def _wear(self, place: Place) -> Iterator[Worn]:
        change = self.changes[place]
        return wear_at(self.catalogue, self.places, place, change.old, self.things.get(place, ""))
