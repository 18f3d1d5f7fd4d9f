"""A named plan's answers at one time: its plan, cheapest order, kits and card; kept, they show later what changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from knockon.graph.jobs.events import Answered, Ordered, Planned
from knockon.graph.jobs.store import Job, add_event
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.queries.as_typed import RequestError
from knockon.queries.buy.order import order
from knockon.queries.buy.search import CHEAPEST
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.job.card import card_of
from knockon.queries.job.named import asked_in, done_in, member, now, typed_in
from knockon.queries.plan.kit import check_kit
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.plan.swap import SwapAnswer, plan_swap

MOST_KITS = 12
"""So many kits that hold something of the plan are held against it, by name."""


def answers_of(catalogue: Catalogue, job: Job, by: str = "", patience: Patience | None = None) -> Answered:
    """What the plan's answers are with these records; without a plan where they cannot read what it asks, or where
    nothing meets it."""
    patience = patience or Patience()
    name, typed = asked_in(job)
    try:
        vehicle, places, request = asked_of(catalogue, name, typed)
    except (RequestError, UnknownNameError):
        return Answered(by, now())
    found = plan_swap(catalogue, vehicle.vehicle, request, reasons=False, alternatives=0, patience=patience)
    wrong = dict(_told(found.findings.wrong))
    if found.plan is None:
        return Answered(by, now(), wrong=wrong)
    lines = {line.number: line.quantity for g in found.plan.groups for line in g.lines if line.number}
    total, currency = _cheapest(catalogue, job, patience)
    return Answered(
        by,
        now(),
        planned=True,
        chosen={str(f.place): f.number for f in found.plan.filled if not f.stays},
        lines=lines,
        checks=dict(_told(found.plan.unproven)),
        wrong=wrong,
        total=total,
        currency=currency,
        kits=dict(_kits(catalogue, found, lines, typed, patience)),
        steps=tuple(line.name for line in card_of(catalogue, places, found, done_in(job)).lines),
    )


def _told(checks: Iterable[Evidence]) -> Iterator[tuple[str, str]]:
    """Each check by its name and places, with its verdict."""
    for one in checks:
        yield f"{one.check}, {', '.join(map(str, one.places))}", str(one.verdict)


def _cheapest(catalogue: Catalogue, job: Job, patience: Patience) -> tuple[str, str]:
    """What the cheapest order of all of it costs; blank where none supplies every line."""
    accept = [f"{level}={n}" for level, n in sorted(job.planned.accept.items())]
    patience.again()
    try:
        found = order(
            catalogue, job.planned.vehicle, accept=accept, patience=patience, names=(CHEAPEST,), **typed_in(job)
        )
    except (RequestError, UnknownNameError):
        return "", ""
    return (found.orders[0].total, found.currency) if found.is_good else ("", "")


def _kits(
    catalogue: Catalogue, found: SwapAnswer, lines: dict[str, int], typed: TypedRequest, patience: Patience
) -> Iterator[tuple[str, dict[str, str]]]:
    """The kits that hold something of the plan, each with the state of its order groups."""
    holding = [k for k in sorted(catalogue.kits) if any(line.part in lines for line in catalogue.kits[k].lines)]
    for kit in holding[:MOST_KITS]:
        patience.again()
        held = check_kit(catalogue, kit, found.vehicle, patience=patience, **typed)
        yield kit, {f"{g.group} {g.hand}".strip(): g.status for g in held.groups}


def keep_answers(
    folder: Path, catalogue: Catalogue, job: Job, by: str, patience: Patience | None = None, *, anew: bool = False
) -> Job:
    """Keep what the answers are, where that was not done since the plan was made, corrected or ordered; ``anew``: in
    any case. Raises JobRefused, NotWritten."""
    last = next((e for e in reversed(job.events) if isinstance(e, Planned | Ordered | Answered)), None)
    if isinstance(last, Answered) and not anew:
        return job
    return add_event(folder, job.name, answers_of(catalogue, job, member(by), patience))
