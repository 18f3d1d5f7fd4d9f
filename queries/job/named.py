"""A named plan: what it asks, what was ordered of it, which steps of its card are done; and writing that down."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path

from knockon.graph.jobs.events import Closed, Ordered, Planned, Ticked
from knockon.graph.jobs.store import Job, JobRefused, add_event, job_names, read_job
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.nearest import nearest
from knockon.graph.notes.write import check_member
from knockon.queries.as_typed import RequestError, fold
from knockon.queries.job.card import CardLine, Done, JobCard
from knockon.queries.job.precedence import StepAt
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.request import TypedRequest, asked_of

OPTIONS = ("want", "keep", "avoid", "renew", "prefer")


def now() -> str:
    """The time of writing, in UTC, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def member(by: str) -> str:
    """The initials of who writes something down. Raises JobRefused where there are none, NoteRefused for a name."""
    by = by.strip()
    if not by:
        raise JobRefused("say who writes this down: --by, with initials or a member number")
    check_member(by)
    return by


def remember(
    folder: Path, name: str, vehicle: str, typed: Mapping[str, Iterable[str]], by: str, accept: Mapping[str, int] = {}
) -> Job:
    """Keep a request under a name, or correct the one that is kept there; the plan as it is then.

    Raises JobRefused, NotWritten.
    """
    request = {option: tuple(typed[option]) for option in OPTIONS if typed.get(option)}
    said = Planned(member(by), now(), vehicle, request, {k: n for k, n in accept.items() if n})
    if name.casefold() in (n.casefold() for n in job_names(folder)):
        job = read_job(folder, name)
        before = job.planned
        if (before.vehicle, before.request, before.accept) == (said.vehicle, said.request, said.accept):
            return job
    return add_event(folder, name, said, not_built)


def not_built(job: Job) -> None:
    """Raise JobRefused where the record of a plan is written: then nothing more happens to it."""
    if job.built is not None:
        raise JobRefused(f"plan {job.name} is built: its record is written. Give a new plan another name")


def typed_in(job: Job) -> TypedRequest:
    """The request of a plan as it was typed."""
    typed: TypedRequest = {}
    for option in OPTIONS:
        typed[option] = job.planned.request.get(option, ())  # type: ignore[literal-required]
    return typed


def words_in(catalogue: Catalogue, job: Job, otherwise: tuple[Asked, ...]) -> tuple[Asked, ...]:
    """What a plan asks, without the numbers that were ordered for it; ``otherwise``: where the records cannot read it
    any more."""
    try:
        return asked_of(catalogue, job.planned.vehicle, typed_in(job))[2].in_words
    except (RequestError, UnknownNameError):
        return otherwise


def asked_in(job: Job) -> tuple[str, TypedRequest]:
    """The vehicle and the request of a plan. Once an order was placed for it, the numbers that it supplies are asked
    for; once its card was closed, those that the card had then."""
    planned, typed = job.planned, typed_in(job)
    last = next((e for e in reversed(job.events) if isinstance(e, Ordered | Planned)), None)
    chosen = last.chosen if isinstance(last, Ordered) else {}
    if job.closed is not None:
        chosen = job.closed.chosen or chosen
    if chosen:
        typed["want"] = (*typed["want"], *(f"{place}={number}" for place, number in chosen.items()))
    return planned.vehicle, typed


def done_in(job: Job) -> dict[StepAt, Done]:
    """The steps that are done."""
    return {StepAt(step, side): Done(e.by, e.at, e.read) for (step, side), e in job.ticked.items()}


def lines_named(card: JobCard, names: Sequence[str], side: str) -> list[CardLine]:
    """The lines of a card by their step's name, with their side in front or beside it. Raises UnknownNameError, and
    JobRefused where a step is done on both sides and none is said."""
    found = []
    for name in names:
        wanted = fold(name)
        of_it = [x for x in card.lines if wanted in (fold(x.name), fold(x.step))]
        exact = [x for x in of_it if wanted == fold(x.name) and x.side] or of_it
        meant = [x for x in exact if not side or x.side in (side, "")]
        if not meant:
            raise UnknownNameError("step", name, nearest(name, [x.name for x in card.lines]))
        if len(meant) > 1:
            raise JobRefused(f"{name} is done on each side. Say which: {' or '.join(repr(x.name) for x in meant)}")
        found += meant
    return found


def tick(
    folder: Path, name: str, card: JobCard, lines: Sequence[CardLine], by: str, read: str = "", taken_back: bool = False
) -> Job:
    """Tick lines of a card, or take that back. Raises JobRefused where a gate before one of them is open, or where the
    card is closed; NotWritten."""
    who = member(by)
    if read and len(lines) > 1:
        raise JobRefused("a reading belongs to one step: tick the steps one by one")
    names = {line.name for line in lines}
    for line in lines if not taken_back else ():
        waiting = [gate for gate in line.after_gates if gate in card.open_gates and gate not in names]
        if waiting:
            raise JobRefused(f"{line.name} waits for a gate that is not ticked: {', '.join(waiting)}")

    def still_open(job: Job) -> None:
        not_built(job)
        if job.closed is not None:
            raise JobRefused(f"the card of plan {job.name} is closed")

    job = read_job(folder, name)
    for line in lines:
        job = add_event(folder, name, Ticked(who, now(), line.step, line.side, read, taken_back), still_open)
    return job


def close(folder: Path, name: str, card: JobCard, by: str, checked_by: str) -> Job:
    """Close a card. Raises JobRefused where a gate is open, where a place that changes has no step, or where no second
    person checked it; NotWritten."""
    who, second = member(by), member(checked_by)
    if fold(who) == fold(second):
        raise JobRefused("a second person checks the work: --checked-by must be another member than --by")
    if card.open_gates:
        raise JobRefused(f"the card cannot be closed. Not ticked: {', '.join(card.open_gates)}")
    if card.no_step:
        raise JobRefused(f"the card cannot be closed. No step for: {', '.join(card.no_step)}. Add them to steps.csv")

    def still_open(job: Job) -> None:
        not_built(job)
        if job.closed is not None:
            raise JobRefused(f"the card of plan {job.name} is closed already")
        if {StepAt(*key) for key in job.ticked} != {StepAt(x.step, x.side) for x in card.lines if x.done}:
            raise JobRefused("somebody ticked or took back a step meanwhile. Look at the card again")

    fitted = {str(p.place): p.new for x in card.lines for p in x.parts if p.new and p.name and not p.stays}
    return add_event(folder, name, Closed(who, now(), second, fitted), still_open)
