"""What was ordered of a named plan, what came of it, and what is still to come.

Line by line, a line being a part number from a supplier. What is accepted or refused is taken from what is still to
come; where nothing is, the last word on a part counts: what was accepted is refused after all, or the other way round.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.jobs.events import ACCEPT, ASK, REJECT, AnyEvent, LineOrdered, Ordered, Planned, Received
from knockon.graph.jobs.store import Job, JobRefused
from knockon.graph.model.nearest import nearest
from knockon.queries.as_typed import fold
from knockon.queries.buy.market import Had
from knockon.queries.buy.placed import LineStands


def stands(events: Sequence[AnyEvent]) -> tuple[LineStands, ...]:
    """Every line ordered, in the order of suppliers and numbers."""
    lines: dict[tuple[str, str], LineStands] = {}
    for event in events:
        if isinstance(event, Ordered):
            for supplier, number, n in _units(event.lines):
                line = lines.get((supplier, number), LineStands(supplier, number, 0))
                lines[supplier, number] = replace(line, ordered=line.ordered + n, outstanding=line.outstanding + n)
        elif isinstance(event, Received) and (event.supplier, event.part) in lines:
            lines[event.supplier, event.part] = _received(lines[event.supplier, event.part], event)
    return tuple(lines[key] for key in sorted(lines))


def _units(lines: Sequence[LineOrdered]) -> Iterator[tuple[str, str, int]]:
    for line in lines:
        yield from ((line.supplier, number, n) for number, n in line.units.items())


def _received(line: LineStands, event: Received) -> LineStands:
    """A line after something was said of it."""
    n, accepted, rejected, asked = event.quantity, line.accepted, line.rejected, line.asked
    again = max(0, n - line.outstanding)  # so many were judged before, and are judged anew
    if event.verdict == ACCEPT:
        accepted, rejected, asked = accepted + n, max(0, rejected - again), max(0, asked - n)
    elif event.verdict == REJECT:
        accepted, rejected, asked = max(0, accepted - again), rejected + n, max(0, asked - n)
    elif event.verdict == ASK:
        asked = min(max(asked, n), line.outstanding)
    return replace(
        line,
        accepted=accepted,
        rejected=rejected,
        asked=asked,
        outstanding=line.ordered - accepted - rejected,
        why=((event.why, *line.why) if event.why else line.why),
        readings=(*event.readings, *line.readings),
    )


def line_meant(job: Job, typed: str, supplier: str, verdict: str, quantity: int | None) -> tuple[LineStands, int]:
    """The line that a part's number means, and of how many of it something is said: of all that are still to come where
    nobody says how many. Raises JobRefused."""
    every = stands(job.events)
    if not every:
        raise JobRefused(f"nothing was ordered of plan {job.name}")
    of_it = [x for x in every if fold(x.part) == fold(typed)]
    if not of_it:
        near = nearest(typed, [x.part for x in every])
        raise JobRefused(
            f"{typed} was not ordered for plan {job.name}" + (f". Near it: {', '.join(near)}" if near else "")
        )
    if supplier:
        named = [x for x in of_it if fold(x.supplier) == fold(supplier)]
        if not named:
            sellers = " or ".join(x.supplier for x in of_it)
            raise JobRefused(f"{of_it[0].part} was not ordered from {supplier}, but from {sellers}")
        of_it = named
    waiting = [x for x in of_it if x.outstanding] or of_it
    if len(waiting) > 1:
        raise JobRefused(
            f"{waiting[0].part} comes from {' and from '.join(x.supplier for x in waiting)}. Say which: --from"
        )
    line = waiting[0]
    judged_before = {ACCEPT: line.rejected, REJECT: line.accepted}.get(verdict, 0)
    n = quantity if quantity is not None else (line.outstanding or judged_before)
    if not 0 < n <= line.outstanding + judged_before:
        raise JobRefused(
            f"of {line.part} from {line.supplier} {line.outstanding} are still to come. "
            f"{line.ordered} were ordered, {line.accepted} accepted, {line.rejected} rejected"
        )
    return line, n


def had_in(job: Job) -> Had:
    """What the next order of a plan need not buy: what was accepted, and what is still to come."""
    every = stands(job.events)
    units: Counter[str] = Counter()
    for line in every:
        units[line.part] += line.ordered - line.rejected
    exchanged: Counter[tuple[str, str]] = Counter()
    for order in job.orders:
        for bought in order.lines:
            exchanged[bought.supplier, bought.part] += bought.exchanged
    promised: Counter[str] = Counter()
    for line in every:
        promised[line.part] += min(exchanged[line.supplier, line.part], line.ordered - line.rejected)
    return Had(
        {number: n for number, n in sorted(units.items()) if n},
        frozenset((line.supplier, line.part) for line in every if line.rejected),
        {number: n for number, n in sorted(promised.items()) if n},
    )


def order_holds(job: Job) -> bool:
    """Whether the plan is still the one that was ordered last: the request is the same, and nothing was rejected
    since."""
    last = max((i for i, e in enumerate(job.events) if isinstance(e, Ordered)), default=-1)
    if last < 0 or any(isinstance(e, Planned) for e in job.events[last + 1 :]):
        return False
    then = {(x.supplier, x.part): x.rejected for x in stands(job.events[: last + 1])}
    return all(x.rejected <= then.get((x.supplier, x.part), 0) for x in stands(job.events))
