"""The order of a named plan: what is still to be bought beside what was ordered, and placing it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from msgspec.structs import replace

from knockon.graph.jobs.events import LineOrdered, Ordered
from knockon.graph.jobs.store import Job, JobRefused, add_event
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.queries.as_typed import RequestError
from knockon.queries.buy.market import Had
from knockon.queries.buy.order import OrderAnswer, OrderBought, order
from knockon.queries.buy.placed import LineToday, OfPlan, OrderPlaced, Today
from knockon.queries.job.named import asked_in, member, not_built, now, typed_in, words_in
from knockon.queries.job.parcels import had_in, order_holds, stands
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.request import TypedRequest


def order_for(catalogue: Catalogue, job: Job, patience: Patience | None = None) -> OrderAnswer:
    """The orders of a plan: of all of it as long as nothing was ordered, then of what is neither accepted nor still to
    come. Raises RequestError, UnknownNameError."""
    asking = _Asking(catalogue, job, patience or Patience())
    if not job.orders:
        return replace(asking.asked(typed_in(job)), of_plan=OfPlan(job.name))
    return asking.further()


def today_of(catalogue: Catalogue, job: Job, patience: Patience | None = None) -> Today:
    """The last order that was placed, as it would be today. The plan must have one."""
    return _Asking(catalogue, job, patience or Patience()).today()


class _Asking:
    """A plan's order on the way."""

    def __init__(self, catalogue: Catalogue, job: Job, patience: Patience) -> None:
        self.catalogue, self.job, self.patience = catalogue, job, patience

    def asked(self, typed: TypedRequest, had: Had | None = None) -> OrderAnswer:
        """The orders of a request."""
        accept = [f"{level}={n}" for level, n in sorted(self.job.planned.accept.items())]
        self.patience.again()
        vehicle = self.job.planned.vehicle
        return order(self.catalogue, vehicle, accept=accept, patience=self.patience, had=had or Had(), **typed)

    def further(self) -> OrderAnswer:
        """What is still to be bought, and what the last order would be today."""
        job, had = self.job, had_in(self.job)
        about = OfPlan(job.name, tuple(map(_placed, job.orders)), stands(job.events))
        answer = self._as_ordered(had) if order_holds(job) else None
        if answer is None or not answer.is_good:
            answer, about = self._anew(had, replace(about, holds=False))
        asked = words_in(self.catalogue, job, answer.asked)
        return replace(answer, asked=asked, of_plan=replace(about, today=self.today()))

    def _as_ordered(self, had: Had) -> OrderAnswer | None:
        """For the plan that was ordered; None where the records have that no more."""
        try:
            return self.asked(asked_in(self.job)[1], had)
        except (RequestError, UnknownNameError):
            return None

    def _anew(self, had: Had, about: OfPlan) -> tuple[OrderAnswer, OfPlan]:
        """Of any plan that the request admits: what was rejected is bought elsewhere, else the plan does without, else
        the same supplier sends another one."""
        typed = typed_in(self.job)
        first = self.asked(typed, had)
        refused = sorted({number for _, number in had.refused})
        if first.is_good or not refused:
            return first, about
        without = {**typed, "avoid": (*typed["avoid"], *refused)}
        try:
            other = self.asked(without, had)  # type: ignore[arg-type]
        except (RequestError, UnknownNameError):  # it was asked for by its number
            other = None
        if other is not None and other.is_good:
            return other, replace(about, instead=tuple(refused))
        again = self.asked(typed, replace(had, refused=frozenset()))
        return (again, replace(about, same_again=True)) if again.is_good else (first, about)

    def today(self) -> Today:
        """The last order asked again, as if nothing had been bought."""
        placed = self.job.orders[-1]
        earlier = replace(self.job, events=self.job.events[: self.job.events.index(placed)])
        try:
            answer = self.asked(typed_in(self.job), had_in(earlier))
        except (RequestError, UnknownNameError):
            return Today(placed.name, placed.total, "")
        found = next((o for o in answer.orders if o.name == placed.name), None)
        if found is None or not answer.is_good:
            return Today(placed.name, placed.total, "")
        return Today(
            placed.name, placed.total, found.total, tuple(_changed(placed.lines, lines_of(self.catalogue, found)))
        )


def _placed(event: Ordered) -> OrderPlaced:
    return OrderPlaced(event.name, event.total, event.currency, event.by, event.at, len(event.lines))


def _changed(then: Sequence[LineOrdered], now_: Sequence[LineOrdered]) -> list[LineToday]:
    before, after = ({(x.supplier, x.kit or x.part, x.pack): x for x in lines} for lines in (then, now_))
    found = []
    for key in sorted({*before, *after}):
        one, two = before.get(key), after.get(key)
        if one is None or two is None or (one.quantity, one.price) != (two.quantity, two.price):
            found.append(
                LineToday(
                    key[0],
                    key[1],
                    one.quantity if one else 0,
                    two.quantity if two else 0,
                    one.price if one else "",
                    two.price if two else "",
                )
            )
    return found


def lines_of(catalogue: Catalogue, bought: OrderBought) -> tuple[LineOrdered, ...]:
    """The lines of an order as they are kept: a kit with what it holds."""
    return tuple(
        LineOrdered(
            supplier=line.supplier,
            quantity=line.quantity,
            price=line.price,
            part=line.part,
            kit=line.kit,
            pack=line.pack,
            holds=_held_by(catalogue, line.kit) if line.kit else {},
            exchanged=line.exchanged,
        )
        for line in bought.lines
    )


def _held_by(catalogue: Catalogue, kit: str) -> dict[str, int]:
    units: Counter[str] = Counter()
    for line in catalogue.kits[kit].lines:
        units[line.part] += line.quantity
    return {number: n for number, n in units.items() if n}


def place(folder: Path, catalogue: Catalogue, job: Job, answer: OrderAnswer, name: str, by: str) -> Job:
    """Write down that an order was placed. Raises JobRefused where there is none, or nothing to buy, or where somebody
    placed or received something meanwhile; NotWritten."""
    who = member(by)
    chosen = next((o for o in answer.orders if o.name == name), None)
    if chosen is None or not chosen.lines:
        raise JobRefused(f"there is nothing to place: the {name} order of plan {job.name} buys nothing")

    def unchanged(there: Job) -> None:
        not_built(there)
        if there.events != job.events:
            raise JobRefused(f"somebody wrote to plan {job.name} meanwhile. Look at the order again")

    pinned = {p: n for p, n in chosen.chosen.items() if n in catalogue.parts}  # a part yet to be found has no number
    placed = Ordered(who, now(), name, chosen.total, lines_of(catalogue, chosen), pinned, answer.currency)
    return add_event(folder, job.name, placed, unchanged)


def after_placing(answer: OrderAnswer, job: Job) -> OrderAnswer:
    """The answer from which an order was placed, with the plan as it is then."""
    about = OfPlan(job.name, tuple(map(_placed, job.orders)), stands(job.events), just_placed=job.orders[-1].name)
    return replace(answer, of_plan=about)
