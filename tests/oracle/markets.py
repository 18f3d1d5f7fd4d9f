"""Random small markets, and markets as tables; what a filling of a small world asks of one."""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import prod
from pathlib import Path

from tests.oracle.buying import DUE, SOUND, Kit, Market, Needs, Offer, OnShelf, Shop
from tests.oracle.layouts import Seeded
from tests.oracle.motion import Filling
from tests.oracle.plan import Swap
from tests.oracle.prices import old_parts

SHOPS = ("Alder & Co", "Birch", "Cedar", "Dogwood")


def money(cents: int) -> Decimal:
    """An amount in hundredths."""
    return Decimal(cents).scaleb(-2)


@dataclass
class MarketMaker:
    """Makes a market of some numbers (number -> part type), with what people get wrong in it."""

    choose: Seeded

    def chance(self, percent: int) -> bool:
        """Whether it happens."""
        return self.choose.below(100) < percent

    def pick(self, among: Sequence[str]) -> str:
        """One of some."""
        return among[self.choose.below(len(among))]

    def shop(self, name: str) -> Shop:
        """A supplier's terms."""
        steps: tuple[tuple[Decimal, Decimal], ...] = ()
        if self.chance(35):
            kilos = sorted({1 + self.choose.below(6) for _ in range(3)})
            steps = tuple((Decimal(k), money(300 + 250 * n)) for n, k in enumerate(kilos))
        net = self.chance(40)
        return Shop(
            name,
            postage=money(0 if steps else self.choose.below(5) * 250),
            steps=steps,
            free_over=money(500 * (1 + self.choose.below(6))) if self.chance(40) else None,
            smallest=money(250 * (1 + self.choose.below(6))) if self.chance(30) else None,
            net=net,
            tax=Decimal(self.pick(("20", "5", "7.5"))) if net else Decimal(0),
        )

    def market(self, types: dict[str, str], most_offers: int = 9) -> Market:
        """A market of at most four shops and three kits."""
        shops = tuple(self.shop(name) for name in SHOPS[: 1 + self.choose.below(4)])
        names = [shop.name for shop in shops]
        numbers = sorted(types)
        offers: dict[tuple[str, str, int], Offer] = {}
        for number in numbers:
            for shop in names:
                if self.chance(60) and len(offers) < most_offers:
                    pack = (1, 1, 2, 4)[self.choose.below(4)]
                    price = money(pack * (25 + 25 * self.choose.below(40)))
                    surcharge = money(125 * self.choose.below(4)) if self.chance(30) else Decimal(0)
                    stock = self.choose.below(3) if self.chance(25) else None
                    offers[shop, number, pack] = Offer(shop, number, price, pack, surcharge, stock)
        for shop, number, pack in [*offers]:  # now and then another pack from the same shop
            if self.chance(12) and len(offers) < most_offers + 2:
                other = 3 - min(pack, 2)
                price = offers[shop, number, pack].price * other / pack
                offers.setdefault((shop, number, other), Offer(shop, number, price.quantize(money(1)), other))
        kits = []
        for n in range(self.choose.below(4)):
            held = sorted({self.pick(numbers) for _ in range(1 + self.choose.below(3))})
            lines = tuple((number, 1 + self.choose.below(2)) for number in held)
            kits.append(Kit(f"kit {n}", self.pick(names), money(100 + 25 * self.choose.below(60)), lines))
        shelf: dict[tuple[str, str, str], OnShelf] = {}
        for _ in range(self.choose.below(4)):
            number, condition = self.pick(numbers), self.pick((SOUND, "unknown", DUE))
            side = self.pick(("", "", "left", "right"))
            shelf[number, condition, side] = OnShelf(number, 1 + self.choose.below(2), condition, side)
        weights = {number: Decimal(self.pick(("0.5", "1", "2.25"))) for number in numbers if self.chance(85)}
        return Market(shops, tuple(offers.values()), tuple(kits), tuple(shelf.values()), dict(types), weights)


def write_market(folder: Path, market: Market) -> None:
    """Put a market in the place of a folder's offers; weights go into its parts."""
    write(folder / "suppliers.csv", "supplier,postage,free over,smallest order,prices,tax", [
        (s.name, "" if s.steps else s.postage, s.free_over, s.smallest, *(("net", s.tax) if s.net else ("gross", "")))
        for s in market.shops
    ])  # fmt: skip
    steps = [(s.name, kilos, postage) for s in market.shops for kilos, postage in s.steps]
    write(folder / "postage_steps.csv", "supplier,up to kg,postage", steps)
    write(folder / "offers.csv", "supplier,part,price,exchange surcharge,pack size,stock", [
        (o.shop, o.part, o.price, o.surcharge or "", "" if o.pack == 1 else o.pack, o.stock) for o in market.offers
    ])  # fmt: skip
    write(folder / "kits.csv", "kit,is,supplier,price", [(k.name, "kit", k.shop, k.price) for k in market.kits])
    lines = [(k.name, part, n) for k in market.kits for part, n in k.lines]
    write(folder / "kit_lines.csv", "kit,part,quantity", lines)
    write(folder / "shelf.csv", "part,side,condition,quantity", [
        (s.part, s.side, s.condition, s.quantity) for s in market.shelf
    ])  # fmt: skip
    with (folder / "parts.csv").open(encoding="utf-8", newline="") as stream:
        parts = list(csv.DictReader(stream))
    header = [*parts[0], "weight kg"]
    rows = [[*part.values(), market.weights.get(part["part"])] for part in parts]
    write(folder / "parts.csv", ",".join(header), rows)


def write(file: Path, header: str, rows: Sequence[Sequence[object]]) -> None:
    """One table; None is an empty cell."""
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(header.split(","))
        writer.writerows([["" if cell is None else cell for cell in row] for row in rows])


def admitted(swap: Swap, changes: int, unproven: int) -> Iterator[Filling]:
    """The plans that an order may rest on."""
    plans = [(swap.levels(one), one) for one in swap.plans(list(swap.fillings()))]
    if not plans:
        return
    best, _ = min(plans, key=lambda p: swap.order(p[0]))
    for levels, one in plans:
        allowed = levels.replaced <= best.replaced + changes and levels.unproven <= best.unproven + unproven
        if levels.unsupported == best.unsupported and allowed:
            yield one


def needs_of(swap: Swap, filling: Filling) -> Needs:
    """What a filling asks for; none of its lines counts as unproven here."""
    world, lines = swap.world, Counter[tuple[str, str]]()
    uses: set[tuple[str, str]] = set()
    for (name, side), choice in filling.items():
        if choice is None or choice.thing.stays:
            continue
        number = choice.thing.number
        if not choice.set_number:
            lines[number, side] += world.position[name].quantity
            continue
        across = any(member.side for member in world.set_named[number].members)
        uses.add((number, "" if across else side))
    for use in uses:
        lines[use] += 1
    gone = (place for place in swap.after(filling).gone if swap.is_recorded(place))
    return Needs(dict(lines), {kind: n for kind, n in old_parts(world, gone).items() if n})


def work(market: Market, needs: Needs) -> int:
    """How many purchases there are to try for one filling."""
    offers = [-(-needs.of(o.part) // o.pack) for o in market.offers if needs.of(o.part)]
    kits = [max((-(-needs.of(part) // n) for part, n in k.lines if needs.of(part)), default=0) for k in market.kits]
    shelf = [s.quantity for s in market.shelf if s.condition != DUE and needs.of(s.part)]
    return prod(n + 1 for n in (*offers, *kits, *shelf))
