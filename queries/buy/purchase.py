"""What is bought, in the solver's whole numbers: packs, kits, the shelf, and all that they cost.

Amounts are whole numbers of the smallest step in which the market's amounts are written; taxes are whole cents, each
rounded by itself. What is said of money here is said once more, in decimals, in ``bill.py``, which every order that is
shown goes through.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING, Any

from knockon.queries.buy.market import DUE, SOUND, Market, Terms

if TYPE_CHECKING:
    from ortools.sat.python.cp_model import CpModel

Expression = Any
"""A literal, variable or sum of the solver; their types load late."""
CENTS = 2


class Asked:
    """What the filling that is sought asks for, as expressions: of each (number, side) how many, at most ``most``;
    the old parts that leave, by part type, at most ``most_old``."""

    def __init__(self) -> None:
        self.needs: dict[tuple[str, str], list[Expression]] = defaultdict(list)
        self.most: dict[tuple[str, str], int] = defaultdict(int)
        self.old: dict[str, list[Expression]] = defaultdict(list)
        self.most_old: dict[str, int] = defaultdict(int)

    def need(self, number: str, side: str, literal: Expression, quantity: int) -> None:
        """So many more of a number where a literal holds."""
        self.needs[number, side].append(quantity * literal)
        self.most[number, side] += quantity

    def leaves(self, part_type: str, literal: Expression, quantity: int) -> None:
        """So many old parts of a type where a literal holds."""
        self.old[part_type].append(quantity * literal)
        self.most_old[part_type] += quantity

    @cached_property
    def numbers(self) -> tuple[str, ...]:
        """Every number that some filling may ask for."""
        return tuple(sorted({number for number, _ in self.needs}))


class Purchase:
    """A purchase that supplies what is asked. ``all_lines``: every line; else as many as can be."""

    def __init__(self, model: CpModel, market: Market, asked: Asked, types: Mapping[str, str], all_lines: bool) -> None:
        self.model, self.market, self.asked = model, market, asked
        self.scale = _scale(market)
        self.need: dict[str, Expression] = {}
        self.most: dict[str, int] = {}
        self.line: dict[str, Expression] = {}
        for number in asked.numbers:
            sides = [side for n, side in asked.needs if n == number]
            self.most[number] = sum(asked.most[number, side] for side in sides)
            self.need[number] = sum(term for side in sides for term in asked.needs[number, side])
            self.line[number] = self._reified(self.need[number], 1)
        self.short = {number: self._short(number) for number in asked.numbers}
        self.count = [self._count(i) for i in range(len(market.sold))]
        self.used = [self._used(held) for held in market.shelf]
        self.supplied = {number: self._supply(number, all_lines) for number in asked.numbers}
        self.parcel: dict[str, Expression] = {}
        self.served: dict[int, Expression] = {}
        self._surcharged(types)
        self.most_total = 0
        self.total = sum(self._cost_of(terms) for terms in market.terms.values())
        self.parcels = sum(self.parcel.values())

    def whole(self, amount: Decimal) -> int:
        """An amount in the solver's steps."""
        return int(amount.scaleb(self.scale))

    def _reified(self, expression: Expression, least: int) -> Expression:
        """A literal that holds exactly where a sum is at least so much."""
        held = self.model.new_bool_var("")
        self.model.add(expression >= least).only_enforce_if(held)
        self.model.add(expression <= least - 1).only_enforce_if(~held)
        return held

    # ---- what comes

    def _short(self, number: str) -> Expression:
        """How many of a number the plan needs beside those that it has of an earlier order."""
        had = self.market.had.get(number, 0)
        if not had:
            return self.need[number]
        short = self.model.new_int_var(0, max(0, self.most[number] - had), "")
        self.model.add_max_equality(short, [0, self.need[number] - had])
        return short

    def _count(self, i: int) -> Expression:
        """How many packs or kits: no more than would by themselves supply the line, of a kit the most wanted one."""
        lines = [(number, n) for number, n in self.market.sold[i].holds if self.most.get(number)]
        most = self.most_of(i)
        count = self.model.new_int_var(0, most, "")
        if not most:
            return count
        if len(lines) == 1:
            number, n = lines[0]
            self.model.add(n * count <= self.short[number] + n - 1)
            return count
        enough = []
        for number, n in lines:
            suits = self.model.new_bool_var("")
            self.model.add(n * count <= self.short[number] + n - 1).only_enforce_if(suits)
            enough.append(suits)
        self.model.add_bool_or(enough)
        return count

    def _used(self, held: Any) -> Expression:
        most = 0 if held.condition == DUE else min(held.quantity, self.most.get(held.part, 0))
        return self.model.new_int_var(0, most, "")

    def _supply(self, number: str, all_lines: bool) -> Expression:
        """Whether a line is supplied."""
        shelf = [(held, used) for held, used in zip(self.market.shelf, self.used, strict=True) if held.part == number]
        for side in {held.side for held, _ in shelf} - {""}:
            asked = sum(self.asked.needs.get((number, side), []))
            self.model.add(sum(used for held, used in shelf if held.side == side) <= asked)
        come = [n * count for sold, count in zip(self.market.sold, self.count, strict=True)
                for part, n in sold.holds if part == number]  # fmt: skip
        if shelf:
            self.model.add(sum(used for _, used in shelf) <= self.need[number])
        have = sum(come) + sum(used for _, used in shelf)
        if all_lines:
            self.model.add(have >= self.need[number])
            return self.line[number]
        supplied = self.model.new_bool_var("")
        self.model.add(have >= self.need[number]).only_enforce_if(supplied)
        self.model.add_implication(supplied, self.line[number])
        return supplied

    def unknown_used(self, number: str) -> list[Expression]:
        """Literals that hold exactly where a part of unknown condition supplies a line."""
        shelf = zip(self.market.shelf, self.used, strict=True)
        return [self._reified(used, 1) for held, used in shelf if held.part == number and held.condition != SOUND]

    # ---- what it costs

    def _surcharged(self, types: Mapping[str, str]) -> None:
        """For how many units of each offer an old part serves: where the surcharge is greatest."""
        by_type: dict[str, list[int]] = defaultdict(list)
        for i, sold in enumerate(self.market.sold):
            if sold.surcharge and not sold.is_kit:
                by_type[types.get(sold.name, "")].append(i)
        for part_type, offers in sorted(by_type.items()):
            shelf = [(h, u) for h, u in zip(self.market.shelf, self.used, strict=True) if h.part_type == part_type]
            most = self.asked.most_old[part_type] + sum(held.quantity for held, _ in shelf)
            for i in offers:
                self.served[i] = self.model.new_int_var(0, most, "")
                self.model.add(self.served[i] <= self._units(i))
            old = sum(self.asked.old[part_type]) + sum(held.quantity - used for held, used in shelf)
            if promised := self.market.promised.get(part_type, 0):
                free = self.model.new_int_var(0, most, "")
                self.model.add_max_equality(free, [0, old - promised])
                old = free
            self.model.add(sum(self.served[i] for i in offers) <= old)
            if any(self.market.terms[self.market.sold[i].supplier].rate for i in offers):
                self._greatest_first(offers)

    def _units(self, i: int) -> Expression:
        return self.market.sold[i].units * self.count[i]

    def _greatest_first(self, offers: list[int]) -> None:
        """With tax on some, the dearest to save is not always the greatest surcharge; the greatest is served first."""
        amounts = sorted({self.market.sold[i].surcharge for i in offers})
        for amount in amounts[:-1]:
            less = [i for i in offers if self.market.sold[i].surcharge == amount]
            any_served = self._reified(sum(self.served[i] for i in less), 1)
            for i in offers:
                if self.market.sold[i].surcharge > amount:
                    self.model.add(self.served[i] >= self._units(i)).only_enforce_if(any_served)

    def _cost_of(self, terms: Terms) -> Expression:
        """All that a supplier is paid, in steps."""
        model, sold = self.model, self.market.sold
        own = [i for i, s in enumerate(sold) if s.supplier == terms.supplier]
        parcel = self.parcel[terms.supplier] = self._reified(sum(self.count[i] for i in own), 1)
        for i in own:  # says nothing new, but bounds far better what a parcel costs
            model.add(self.count[i] <= self.most_of(i) * parcel)
        goods = sum(self.whole(sold[i].price) * self.count[i] for i in own)
        owing = [i for i in own if i in self.served]
        surcharges = sum(self.whole(sold[i].surcharge) * (self._units(i) - self.served[i]) for i in owing)
        if terms.smallest_order is not None:
            model.add(goods >= self.whole(terms.smallest_order)).only_enforce_if(parcel)
        postage = self._postage(terms, parcel, goods, own)
        before = goods + surcharges + postage
        most = sum(self.whole(sold[i].price + sold[i].surcharge * sold[i].units) * self.most_of(i) for i in own)
        most += max([self.whole(p) for _, p in terms.steps] + [self.whole(terms.postage or Decimal(0))])
        if not terms.rate:
            self.most_total += most
            return before
        # tax in cents: the whole part of before * rate + 1/2
        share, parts = terms.rate.as_integer_ratio()
        below = 2 * parts * 10 ** (self.scale - CENTS)
        tax = model.new_int_var(0, (2 * share * most) // below + 1, "")
        rounded = 2 * share * before + parts * 10 ** (self.scale - CENTS)
        model.add(below * tax <= rounded)
        model.add(below * tax >= rounded - below + 1)
        self.most_total += most + ((2 * share * most) // below + 1) * 10 ** (self.scale - CENTS)
        return before + tax * 10 ** (self.scale - CENTS)

    def most_of(self, i: int) -> int:
        """How many of one thing for sale are bought at most."""
        lines = [-(-self.most[number] // n) for number, n in self.market.sold[i].holds if self.most.get(number)]
        most, stock = max(lines, default=0), self.market.sold[i].stock
        return most if stock is None else min(most, stock)

    def _postage(self, terms: Terms, parcel: Expression, goods: Expression, own: list[int]) -> Expression:
        model, paid = self.model, parcel
        if terms.free_over is not None:
            free = self._reified(goods, self.whole(terms.free_over))
            paid = model.new_bool_var("")
            model.add_bool_and([parcel, ~free]).only_enforce_if(paid)
            model.add_bool_or([paid, ~parcel, free])
        if not terms.steps:
            return self.whole(terms.postage or Decimal(0)) * paid
        return self._by_weight(terms, paid, own)

    def _by_weight(self, terms: Terms, paid: Expression, own: list[int]) -> Expression:
        """One step holds for the parcel that is paid for: the first that its weight does not exceed, the last for what
        is heavier and for what has no weight recorded."""
        model, sold = self.model, self.market.sold
        weights = [w for i in own if (w := sold[i].weight) is not None]
        places = max([0, *(_places(w) for w in (*weights, *(limit for limit, _ in terms.steps)))])
        grams = {i: int(w.scaleb(places)) for i in own if (w := sold[i].weight) is not None}
        weight = sum(grams[i] * self.count[i] for i in grams)
        unweighed = [self.count[i] for i in own if i not in grams]
        open_ = self._reified(sum(unweighed), 1) if unweighed else None
        steps = [model.new_bool_var("") for _ in terms.steps]
        model.add(sum(steps) == paid)
        before: int | None = None
        for n, ((limit, _), step) in enumerate(zip(terms.steps, steps, strict=True)):
            most, is_last = int(limit.scaleb(places)), n == len(steps) - 1
            if not is_last:
                model.add(weight <= most).only_enforce_if(step)
                if open_ is not None:
                    model.add_implication(step, ~open_)
            if before is not None:
                model.add(weight >= before + 1).only_enforce_if([step] if open_ is None else [step, ~open_])
            before = most
        return sum(self.whole(postage) * step for (_, postage), step in zip(terms.steps, steps, strict=True))


def _places(amount: Decimal) -> int:
    exponent = amount.normalize().as_tuple().exponent
    assert isinstance(exponent, int)
    return max(0, -exponent)


def _scale(market: Market) -> int:
    """In how many decimals all amounts of a market are whole; cents at least."""
    amounts: list[Decimal | None] = []
    for sold in market.sold:
        amounts += [sold.price, sold.surcharge]
    for terms in market.terms.values():
        amounts += [terms.postage, terms.free_over, terms.smallest_order, *_postages(terms)]
    return max([CENTS, *(_places(a) for a in amounts if a is not None)])


def _postages(terms: Terms) -> Iterable[Decimal]:
    return (postage for _, postage in terms.steps)
