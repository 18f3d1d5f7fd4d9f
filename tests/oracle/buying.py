"""The three orders of a small market, by trying every purchase of every filling: exact money, nothing clever.

A market is what can be bought and what is on the shelf. A filling is told by what it needs of each number on each
side, how many parts of each type it takes off, and which of its lines are not proven whatever is bought.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from itertools import product
from typing import Any

SOUND, DUE = "sound", "due"


@dataclass(frozen=True)
class Shop:
    """Who sells: postage of a parcel, or its steps by weight (kg, postage), the dearest for what is heavier."""

    name: str
    postage: Decimal = Decimal(0)
    steps: tuple[tuple[Decimal, Decimal], ...] = ()
    free_over: Decimal | None = None
    smallest: Decimal | None = None
    net: bool = False
    tax: Decimal = Decimal(0)


@dataclass(frozen=True)
class Offer:
    """A pack of a part at a price; the surcharge is of each unit."""

    shop: str
    part: str
    price: Decimal
    pack: int = 1
    surcharge: Decimal = Decimal(0)
    stock: int | None = None


@dataclass(frozen=True)
class Kit:
    """Parts sold whole."""

    name: str
    shop: str
    price: Decimal
    lines: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class OnShelf:
    """Parts that somebody has; ``side``: for that side only."""

    part: str
    quantity: int
    condition: str = SOUND
    side: str = ""


@dataclass(frozen=True)
class Market:
    """All that can be had. ``types``: the part type of each number, ``weights``: of one in kg."""

    shops: tuple[Shop, ...]
    offers: tuple[Offer, ...]
    kits: tuple[Kit, ...] = ()
    shelf: tuple[OnShelf, ...] = ()
    types: dict[str, str] = field(default_factory=dict)
    weights: dict[str, Decimal] = field(default_factory=dict)


@dataclass(frozen=True)
class Needs:
    """What one filling asks for: of each number on each side; old parts by type; the lines not proven."""

    lines: dict[tuple[str, str], int]
    old: dict[str, int] = field(default_factory=dict)
    unproven: frozenset[str] = frozenset()

    def of(self, number: str) -> int:
        """How many of a number on all sides."""
        return sum(n for (one, _), n in self.lines.items() if one == number)

    @property
    def numbers(self) -> list[str]:
        """Its lines."""
        return sorted({number for number, _ in self.lines})


@dataclass(frozen=True)
class Bought:
    """One order: what it costs, its parcels, its unproven lines, how many lines it supplies, and its own lines."""

    total: Decimal
    parcels: int
    unproven: int
    supplied: int
    complete: bool
    lines: tuple[tuple[str, str, str], ...]
    goods: Decimal
    surcharges: Decimal
    postage: Decimal
    tax: Decimal


ORDERS: dict[str, Callable[[Bought], Any]] = {
    "cheapest": lambda b: (*_first(b), b.total, b.parcels, b.unproven, b.lines),
    "fewest parcels": lambda b: (*_first(b), b.parcels, b.total, b.unproven, b.lines),
    "safest": lambda b: (*_first(b), b.unproven, b.total, b.parcels, b.lines),
}


def _first(bought: Bought) -> tuple[bool, int]:
    """Every line is supplied; where no order can, most lines are."""
    return not bought.complete, 0 if bought.complete else -bought.supplied


def orders(market: Market, fillings: Iterable[Needs]) -> dict[str, Bought]:
    """The best order of each name; all lines are supplied wherever that can be."""
    best: dict[str, Bought] = {}
    for needs in fillings:
        for bought in every_order(market, needs):
            for name, key in ORDERS.items():
                if name not in best or key(bought) < key(best[name]):
                    best[name] = bought
    return best


def every_order(market: Market, needs: Needs) -> Iterator[Bought]:
    """Every purchase for one filling, with every use of the shelf."""
    offers = [o for o in market.offers if needs.of(o.part)]
    kits = [k for k in market.kits if any(needs.of(part) for part, _ in k.lines)]
    most = [min(-(-needs.of(o.part) // o.pack), 10**9 if o.stock is None else o.stock) for o in offers]
    most += [max(-(-needs.of(part) // n) for part, n in k.lines if n and needs.of(part)) for k in kits]
    for counts in product(*(range(m + 1) for m in most)):
        packs, whole = counts[: len(offers)], counts[len(offers) :]
        if _sends(market, offers, packs, kits, whole):
            yield from _with_the_shelf(market, needs, offers, packs, kits, whole)


def _goods(offers: list[Offer], packs: tuple[int, ...], kits: list[Kit], whole: tuple[int, ...]) -> dict[str, Decimal]:
    goods: dict[str, Decimal] = {}
    bought: list[tuple[Offer | Kit, int]] = [*zip(offers, packs, strict=True), *zip(kits, whole, strict=True)]
    for one, n in bought:
        if n:
            goods[one.shop] = goods.get(one.shop, Decimal(0)) + one.price * n
    return goods


def _sends(
    market: Market, offers: list[Offer], packs: tuple[int, ...], kits: list[Kit], whole: tuple[int, ...]
) -> bool:
    goods = _goods(offers, packs, kits, whole)
    return all(s.smallest is None or s.name not in goods or goods[s.name] >= s.smallest for s in market.shops)


def _with_the_shelf(
    market: Market,
    needs: Needs,
    offers: list[Offer],
    packs: tuple[int, ...],
    kits: list[Kit],
    whole: tuple[int, ...],
) -> Iterator[Bought]:
    usable = [s for s in market.shelf if s.condition != DUE and needs.of(s.part)]
    for used in product(*(range(s.quantity + 1) for s in usable)):
        come: dict[str, int] = {}
        for o, n in zip(offers, packs, strict=True):
            come[o.part] = come.get(o.part, 0) + o.pack * n
        for k, n in zip(kits, whole, strict=True):
            for part, each in k.lines:
                come[part] = come.get(part, 0) + each * n
        taken = dict(zip(usable, used, strict=True))
        if not _is_wanted(needs, taken):
            continue
        have = {n: come.get(n, 0) + sum(u for s, u in taken.items() if s.part == n) for n in needs.numbers}
        supplied = sum(n >= needs.of(number) for number, n in have.items())
        unproven = needs.unproven | {s.part for s, u in taken.items() if u and s.condition != SOUND}
        money = _money(market, needs, offers, packs, kits, whole, taken)
        lines = [(o.shop, o.part, str(n)) for o, n in zip(offers, packs, strict=True) if n]
        lines += [(k.shop, k.name, str(n)) for k, n in zip(kits, whole, strict=True) if n]
        whole_list = supplied == len(needs.numbers)
        parcels = len({shop for shop, _, _ in lines})
        yield Bought(sum(money, Decimal(0)), parcels, len(unproven), supplied, whole_list, tuple(sorted(lines)), *money)


def _is_wanted(needs: Needs, taken: dict[OnShelf, int]) -> bool:
    """Whether no more is taken from the shelf than is asked, what is kept for a side on that side."""
    for s in taken:
        of_side = sum(n for one, n in taken.items() if one.part == s.part and one.side == s.side)
        of_all = sum(n for one, n in taken.items() if one.part == s.part)
        if of_all > needs.of(s.part) or (s.side and of_side > needs.lines.get((s.part, s.side), 0)):
            return False
    return True


def _money(
    market: Market,
    needs: Needs,
    offers: list[Offer],
    packs: tuple[int, ...],
    kits: list[Kit],
    whole: tuple[int, ...],
    taken: dict[OnShelf, int],
) -> tuple[Decimal, Decimal, Decimal, Decimal]:
    """Goods, surcharges, postage, tax; of old parts that may serve either of two equal surcharges, the cheaper way."""
    goods = _goods(offers, packs, kits, whole)
    postage = {
        s.name: _postage(market, s, goods[s.name], offers, packs, kits, whole) for s in market.shops if s.name in goods
    }
    best: tuple[Decimal, Decimal, Decimal, Decimal] | None = None
    for surcharges in _surcharges(market, needs, offers, packs, taken):
        tax = Decimal(0)
        for shop in market.shops:
            if shop.name in goods and shop.net:
                taxed = goods[shop.name] + surcharges.get(shop.name, Decimal(0)) + postage[shop.name]
                tax += (taxed * shop.tax / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
        money = (sum(goods.values(), Decimal(0)), sum(surcharges.values(), Decimal(0)),
                 sum(postage.values(), Decimal(0)), tax)  # fmt: skip
        if best is None or sum(money) < sum(best):
            best = money
    assert best is not None
    return best


def _postage(
    market: Market,
    shop: Shop,
    goods: Decimal,
    offers: list[Offer],
    packs: tuple[int, ...],
    kits: list[Kit],
    whole: tuple[int, ...],
) -> Decimal:
    if shop.free_over is not None and goods >= shop.free_over:
        return Decimal(0)
    if not shop.steps:
        return shop.postage
    units = [(o.part, o.pack * n) for o, n in zip(offers, packs, strict=True) if n and o.shop == shop.name]
    units += [(part, each * n) for k, n in zip(kits, whole, strict=True) if n and k.shop == shop.name
              for part, each in k.lines]  # fmt: skip
    steps = sorted(shop.steps)
    if any(n and part not in market.weights for part, n in units):
        return steps[-1][1]
    weight = sum((market.weights[part] * n for part, n in units if n), Decimal(0))
    return next((postage for most, postage in steps if weight <= most), steps[-1][1])


def _surcharges(
    market: Market, needs: Needs, offers: list[Offer], packs: tuple[int, ...], taken: dict[OnShelf, int]
) -> Iterator[dict[str, Decimal]]:
    """By shop, for each way of serving units of equal surcharge."""
    old = dict(needs.old)
    for s in market.shelf:
        kind = market.types[s.part]
        old[kind] = old.get(kind, 0) + s.quantity - taken.get(s, 0)
    units = [(market.types[o.part], o.surcharge, o.shop)
             for o, n in zip(offers, packs, strict=True) if o.surcharge for _ in range(o.pack * n)]  # fmt: skip
    ways = []
    for kind in sorted({kind for kind, _, _ in units}):
        of_kind = sorted([(amount, shop) for k, amount, shop in units if k == kind], key=lambda u: -u[0])
        served = min(old.get(kind, 0), len(of_kind))
        edge = of_kind[served - 1][0] if served else None
        sure = [u for u in of_kind if edge is not None and u[0] > edge]
        tied = [u for u in of_kind if u[0] == edge]
        rest = [u for u in of_kind if edge is None or u[0] < edge]
        left = set()
        for pick in product((True, False), repeat=len(tied)):
            if sum(pick) == served - len(sure):
                left.add(tuple(sorted([u for u, p in zip(tied, pick, strict=True) if not p] + rest)))
        ways.append(sorted(left))
    for way in product(*ways):
        owed: dict[str, Decimal] = {}
        for amount, shop in (u for kind in way for u in kind):
            owed[shop] = owed.get(shop, Decimal(0)) + amount
        yield owed
