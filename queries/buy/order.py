"""The order: what to buy where, so that a plan is supplied: the cheapest, the one with fewest parcels, the safest."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on, cautions_with
from knockon.queries.as_typed import RequestError
from knockon.queries.buy.admitted import Admitted
from knockon.queries.buy.bill import Bill, as_money
from knockon.queries.buy.demand import types_of, units_of
from knockon.queries.buy.market import NOTHING_HAD, Had, Market, Sold, market_of
from knockon.queries.buy.placed import OfPlan
from knockon.queries.buy.questions import Question, questions_on
from knockon.queries.buy.rivals import Rival, rivals_of
from knockon.queries.buy.search import CHEAPEST, ORDERS, Found, Search
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.number_chains import ChainOf, chains_of
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, UNPROVEN
from knockon.queries.plan.solving.narrowed import FEW, planner_of
from knockon.queries.plan.solving.patience import BEST_PLAN, Patience, TimeUp
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, asked_of

ACCEPTED = (CHANGES, UNPROVEN)
PLAN, RIVALS = "plan", "rivals"
"""What may not be decided in the time, beside the orders by their names."""


class LineBought(msgspec.Struct, frozen=True):
    """One line for one supplier: so many packs of a ``part``, or so many of a ``kit``, at the price of one. ``pack``:
    how many parts are in one. ``lead_days`` and ``stock``: None where not recorded."""

    supplier: str
    quantity: int
    price: str
    part: str = ""
    kit: str = ""
    title: str = ""
    pack: int = 1
    surcharge: str = "0.00"
    exchanged: int = 0
    lead_days: int | None = None
    stock: int | None = None


class PartLeft(msgspec.Struct, frozen=True):
    """So many of a part that the plan does not use."""

    part: str
    quantity: int


class PartTaken(msgspec.Struct, frozen=True):
    """So many of a part from the shelf; ``item`` where they are particular things."""

    part: str
    quantity: int
    condition: str
    item: str = ""
    side: str = ""


class ParcelBill(msgspec.Struct, frozen=True):
    """What one supplier is paid; ``weight`` of the parcel in kilograms, blank where a part of it has none recorded."""

    supplier: str
    total: str
    goods: str
    postage: str
    surcharges: str
    tax: str
    weight: str = ""


class OrderBought(msgspec.Struct, frozen=True):
    """One order. All money is text. ``unproven``: how many lines are not proven; ``optimal``: proven to be the best of
    all; else ``gap`` is by how much, at most, another could be better in what its name says. ``lead_days``: the longest
    of its lines, None where that of some line is not recorded. ``supplied``: how many lines the
    plan has that it supplies; ``lacks``: those that it does not. ``chosen``: the number in each place where something
    goes on; ``from_plan``: what it uses of an earlier order of the same plan."""

    name: str
    total: str
    goods: str
    postage: str
    surcharges: str
    tax: str
    parcels: int
    unproven: int
    optimal: bool
    lines: tuple[LineBought, ...]
    left_over: tuple[PartLeft, ...]
    ask: tuple[Question, ...]
    gap: str = ""
    lead_days: int | None = None
    parcel_bills: tuple[ParcelBill, ...] = ()
    from_shelf: tuple[PartTaken, ...] = ()
    from_plan: tuple[PartLeft, ...] = ()
    unproven_lines: tuple[str, ...] = ()
    lacks: tuple[PartLeft, ...] = ()
    supplied: int = 0
    changes: int = 0
    unproven_checks: int = 0
    chosen: dict[str, str] = msgspec.field(default_factory=dict)


class OrderAnswer(Answer, frozen=True):
    """The orders side by side; none where there is no plan (``has_plan``). ``complete``: every line is supplied.
    ``accepted``: what the plan may cost beside the best one; ``plan``: what that costs. ``not_usable``: parts on the
    shelf that supply nothing, and why. ``not_decided``: what was not decided in the time. ``superseded``: the chains of
    numbers in the orders that are said to be superseded. ``of_plan``: of a named plan, what was ordered of it."""

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    accepted: dict[str, int]
    has_plan: bool = True
    complete: bool = True
    currency: str = ""
    plan: dict[str, int] = msgspec.field(default_factory=dict)
    orders: tuple[OrderBought, ...] = ()
    rivals: tuple[Rival, ...] = ()
    not_sold: tuple[str, ...] = ()
    not_usable: tuple[str, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    not_decided: tuple[str, ...] = ()
    superseded: tuple[ChainOf, ...] = ()
    of_plan: OfPlan | None = None

    @property
    def is_good(self) -> bool:
        """Whether there is an order that supplies every line."""
        return self.has_plan and self.complete and bool(self.orders)


def read_accepted(typed: Sequence[str]) -> dict[str, int]:
    """What is accepted beside the best plan, from ``changes=1``; each by itself. Raises RequestError."""
    accepted = dict.fromkeys(ACCEPTED, 0)
    for text in typed:
        name, sign, number = (x.strip() for x in text.partition("="))
        if name not in ACCEPTED or not sign or not number.isascii() or not number.isdecimal():
            raise RequestError(f"cannot read {text!r}. Write {' or '.join(f'{a}=1' for a in ACCEPTED)}")
        accepted[name] = int(number)
    return accepted


def order(
    catalogue: Catalogue,
    vehicle_name: str,
    *,
    accept: Sequence[str] = (),
    patience: Patience | None = None,
    had: Had = NOTHING_HAD,
    names: Sequence[str] = tuple(ORDERS),
    **typed: Unpack[TypedRequest],
) -> OrderAnswer:
    """The orders that supply a swap as it is typed; ``had``: what an earlier order of it brought or will bring;
    ``names``: which orders, with what would change the choice only where all are asked for. Raises RequestError,
    UnknownNameError."""
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    answer = OrderAnswer(vehicle.vehicle, vehicle.title, request.in_words, read_accepted(accept))
    problem = Problem(Checks(catalogue, places), vehicle, request)
    return _Ordering(catalogue, problem, request, patience or Patience(), had, names).answered(answer)


class _Ordering:
    """One question on the way."""

    def __init__(
        self,
        catalogue: Catalogue,
        problem: Problem,
        request: Request,
        patience: Patience,
        had: Had,
        names: Sequence[str],
    ) -> None:
        self.catalogue, self.problem, self.request, self.patience = catalogue, problem, request, patience
        self.had, self.names = had, names

    def answered(self, answer: OrderAnswer) -> OrderAnswer:
        """The answer with its orders."""
        usual = cautions_on(self.catalogue, [self.problem.places.layout])
        answer = replace(answer, cautions=usual)
        self.patience.heard(BEST_PLAN, 0, 0)
        few = len(self.problem.numbered) <= FEW
        try:
            planner = Admitted(self.problem, self.patience) if few else planner_of(self.problem, self.patience)
            best = planner.best()
            if best is None:
                return replace(answer, has_plan=False)
            most = dict(best.costs)
            for level in ACCEPTED:
                most[level] += answer.accepted[level]
            if not isinstance(planner, Admitted):  # of very many candidates first those that can stand at all
                planner.limit_unknowns(most[NOT_KNOWN])
                found = planner.possible(unknown_limited=True)
                part = self.problem.only({self.problem.ids[c] for c in found})
                whole, planner = found.whole, Admitted(part, self.patience)
            else:
                whole = True
            planner.admit(most)
            candidates = planner.candidates()
        except TimeUp:
            return replace(answer, not_decided=(PLAN,))
        proven = best.proved and whole and candidates.whole
        problem = self.problem.only(frozenset(candidates))
        return self._bought(replace(answer, plan=best.costs), problem, most, proven)

    def _bought(self, answer: OrderAnswer, problem: Problem, most: Mapping[str, int], proven: bool) -> OrderAnswer:
        types = types_of(problem, self.catalogue)
        market = market_of(self.catalogue, {u.number for u in units_of(problem)}, types, self.request.avoid, self.had)
        self.patience.again()
        planner = Admitted(problem, self.patience, watched=True)
        planner.admit(most)
        search = Search(planner, market, types, self.patience)
        found: dict[str, Found] = {}
        undecided = []
        complete = True
        for name in self.names:
            try:
                order = search.best(name)
                if order is None and complete:
                    complete = False
                    search = Search(planner, market, types, self.patience, all_lines=False)
                    order = search.best(name)
            except TimeUp:
                undecided.append(name)
                continue
            if order is not None:
                found[name] = order if proven else replace(order, optimal=False)
        writer = _Writer(self.catalogue, problem, market)
        rivals: tuple[Rival, ...] = ()
        if complete and CHEAPEST in found and len(self.names) == len(ORDERS):
            self.patience.again()
            try:
                rivals = tuple(rivals_of(search, found[CHEAPEST]))
            except TimeUp:
                undecided.append(RIVALS)
        chosen = [c.number for f in found.values() for c in f.filling.chosen.values()]
        orders = tuple(writer.order(name, one) for name, one in found.items())
        bought = [n for order in orders for n in _numbers_in(order)]
        return replace(
            answer,
            complete=complete,
            currency=market.currency,
            orders=orders,
            rivals=rivals,
            not_sold=tuple(_not_sold(market, found.values())),
            not_usable=tuple(held.why for held in market.shelf if held.why),
            cautions=cautions_with(self.catalogue, chosen, answer.cautions),
            not_decided=tuple(undecided),
            superseded=chains_of(self.catalogue, bought),
        )


def _numbers_in(order: OrderBought) -> Iterator[str]:
    """The part numbers that an order buys, takes from the shelf or lacks."""
    yield from (line.part for line in order.lines if line.part)
    yield from (taken.part for taken in order.from_shelf)
    yield from (lacked.part for lacked in order.lacks)


def _not_sold(market: Market, orders: Iterable[Found]) -> Iterator[str]:
    """The lines that an order lacks and nobody sells."""
    sold = {number for s in market.sold for number, _ in s.holds}
    yield from sorted({n for found in orders for n in _lacking(market, found) if n not in sold})


def _come(market: Market, found: Found) -> dict[str, int]:
    """How many of each number come."""
    come: dict[str, int] = {}
    for sold, n in zip(market.sold, found.counts, strict=True):
        for number, each in sold.holds if n else ():
            come[number] = come.get(number, 0) + each * n
    return come


def _lacking(market: Market, found: Found) -> dict[str, int]:
    """How many of each line are neither bought nor on the shelf."""
    have = _come(market, found)
    for held, used in zip(market.shelf, found.used, strict=True):
        have[held.part] = have.get(held.part, 0) + used
    need = found.demand.numbers
    return {number: need[number] - have.get(number, 0) for number in sorted(need) if need[number] > have.get(number, 0)}


class _Writer:
    """Writes what was found as the answer has it."""

    def __init__(self, catalogue: Catalogue, problem: Problem, market: Market) -> None:
        self.catalogue, self.problem, self.market = catalogue, problem, market

    def order(self, name: str, found: Found) -> OrderBought:
        """One order, written out."""
        market = self.market
        lines = tuple(self._line(s, n, found.served.get(i, 0)) for i, (s, n) in self._bought(found))
        days = [line.lead_days for line in lines]
        lacking = _lacking(market, found)
        return OrderBought(
            name=name,
            total=as_money(found.total),
            goods=_sum(b.goods for b in found.bills),
            postage=_sum(b.postage for b in found.bills),
            surcharges=_sum(b.surcharges for b in found.bills),
            tax=_sum(b.tax for b in found.bills),
            parcels=len(found.bills),
            unproven=len(found.unproven),
            optimal=found.optimal,
            gap="" if found.optimal else self._gap(name, found),
            lines=lines,
            left_over=self._left_over(found),
            ask=questions_on(self.problem, market, found),
            lead_days=max((d for d in days if d is not None), default=0) if None not in days else None,
            parcel_bills=tuple(map(_written, found.bills)),
            from_shelf=tuple(
                PartTaken(held.part, used, held.condition, held.item, held.side)
                for held, used in zip(market.shelf, found.used, strict=True)
                if used and held.part_type
            ),
            from_plan=tuple(
                PartLeft(held.part, used)
                for held, used in zip(market.shelf, found.used, strict=True)
                if used and not held.part_type
            ),
            unproven_lines=tuple(sorted(found.unproven)),
            lacks=tuple(PartLeft(number, n) for number, n in lacking.items()),
            supplied=len(found.demand.numbers) - len(lacking),
            changes=found.changes,
            unproven_checks=found.unproven_checks,
            chosen={str(p): c.number for p, c in sorted(found.filling.chosen.items()) if not c.stays},
        )

    def _bought(self, found: Found) -> list[tuple[int, tuple[Sold, int]]]:
        counted = enumerate(zip(self.market.sold, found.counts, strict=True))
        return [(i, (s, n)) for i, (s, n) in counted if n]

    def _line(self, sold: Sold, quantity: int, exchanged: int) -> LineBought:
        named = self.catalogue.kits[sold.name].title if sold.is_kit else ""
        part = self.catalogue.parts.get(sold.name)
        return LineBought(
            supplier=sold.supplier,
            quantity=quantity,
            price=as_money(sold.price),
            part="" if sold.is_kit else sold.name,
            kit=sold.name if sold.is_kit else "",
            title=named or (part.name if part is not None else ""),
            pack=1 if sold.is_kit else sold.units,
            surcharge=as_money(sold.surcharge),
            exchanged=exchanged,
            lead_days=sold.lead_days,
            stock=sold.stock,
        )

    def _left_over(self, found: Found) -> tuple[PartLeft, ...]:
        need = found.demand.numbers
        for held, used in zip(self.market.shelf, found.used, strict=True):
            if used:
                need[held.part] -= used
        come = _come(self.market, found)
        for held, used in zip(self.market.shelf, found.used, strict=True):
            if not held.part_type:  # bought before, and not used now
                come[held.part] = come.get(held.part, 0) + held.quantity - used
        over = {number: n - max(0, need.get(number, 0)) for number, n in sorted(come.items())}
        return tuple(PartLeft(number, n) for number, n in over.items() if n > 0)

    @staticmethod
    def _gap(name: str, found: Found) -> str:
        measured = {"cheapest": found.total, "fewest parcels": Decimal(len(found.bills))}
        here = measured.get(name, Decimal(len(found.unproven)))
        gap = max(Decimal(0), here - found.least)
        return as_money(gap) if name == CHEAPEST else str(int(gap))


def _sum(amounts: Iterable[Decimal]) -> str:
    return as_money(sum(amounts, Decimal(0)))


def _written(bill: Bill) -> ParcelBill:
    return ParcelBill(
        supplier=bill.supplier,
        total=as_money(bill.total),
        goods=as_money(bill.goods),
        postage=as_money(bill.postage),
        surcharges=as_money(bill.surcharges),
        tax=as_money(bill.tax),
        weight="" if bill.weight is None else str(bill.weight.normalize() + 0),
    )


__all__ = ["OrderAnswer", "OrderBought", "order", "read_accepted"]
