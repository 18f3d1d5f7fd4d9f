"""The market of one job: what is sold of the numbers that it may use, on which terms, and what is on the shelf."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from decimal import Decimal

import msgspec

from knockon.graph.judge.beliefs import Size, known_of, presence_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Kit, Offer, OnShelf, Supplier
from knockon.queries.as_typed import RequestError
from knockon.queries.plan.solving.offered import exact

SOUND, UNKNOWN, DUE = "sound", "unknown", "due"


class Terms(msgspec.Struct, frozen=True):
    """A supplier's terms, exact. ``postage``: flat (None: not recorded, taken as nothing); ``steps``: (kilograms,
    postage), least first; ``rate``: the share of tax that is added, 0 where prices are gross."""

    supplier: str
    postage: Decimal | None = None
    steps: tuple[tuple[Decimal, Decimal], ...] = ()
    free_over: Decimal | None = None
    smallest_order: Decimal | None = None
    rate: Decimal = Decimal(0)
    tax_missing: bool = False


class Sold(msgspec.Struct, frozen=True):
    """A pack or a kit that is sold whole: the parts that it ``holds`` and how many, its price, the surcharge on each
    unit, how many there are (None: not recorded). ``weight``: of one in kilograms, None where ``unweighed`` parts of
    it have none recorded."""

    supplier: str
    name: str
    is_kit: bool
    price: Decimal
    holds: tuple[tuple[str, int], ...]
    surcharge: Decimal = Decimal(0)
    stock: int | None = None
    lead_days: int | None = None
    weight: Decimal | None = None
    unweighed: tuple[str, ...] = ()
    not_itemised: str = ""

    @property
    def units(self) -> int:
        """How many parts are in it."""
        return sum(n for _, n in self.holds)


class Held(msgspec.Struct, frozen=True):
    """Parts of one number on the shelf; ``side``: for that side only; ``why``: what is said of its condition beside
    the row."""

    part: str
    part_type: str
    side: str
    condition: str
    quantity: int
    item: str = ""
    why: str = ""


class Had(msgspec.Struct, frozen=True):
    """What an earlier order of the same plan brought or will bring: ``units`` of each number, which supply lines and
    are not bought once more; ``refused``: (supplier, number) of what was sent back, which is not bought there again;
    ``promised``: old parts that go back against surcharges already, by the number that they were bought with."""

    units: Mapping[str, int] = msgspec.field(default_factory=dict)
    refused: frozenset[tuple[str, str]] = frozenset()
    promised: Mapping[str, int] = msgspec.field(default_factory=dict)


class Market(msgspec.Struct, frozen=True):
    """All that can be had, in a fixed order. ``currency``: blank where nobody recorded one. ``had``: units of each
    number on the shelf that belong to the plan; ``promised``: old parts of each part type that are not free."""

    terms: Mapping[str, Terms]
    sold: tuple[Sold, ...]
    shelf: tuple[Held, ...]
    currency: str = ""
    had: Mapping[str, int] = msgspec.field(default_factory=dict)
    promised: Mapping[str, int] = msgspec.field(default_factory=dict)


NOTHING_HAD = Had()


def market_of(
    catalogue: Catalogue,
    numbers: Collection[str],
    types: Mapping[str, str],
    avoid: Iterable[str],
    had: Had = NOTHING_HAD,
) -> Market:
    """The market of some numbers, but for suppliers to avoid and for what was refused; ``types``: what old parts of
    each part type count as. Raises RequestError where it has two currencies."""
    avoided = set(avoid)
    every = [s for s in _sold(catalogue, numbers, avoided) if not _is_refused(s, had)]
    sold = sorted(every, key=lambda s: (s.supplier, s.name, s.is_kit, s.units, s.price))
    suppliers = [catalogue.suppliers[name] for name in dict.fromkeys(s.supplier for s in sold)]
    currency = _one_currency(suppliers)
    shelf = tuple(h for on in catalogue.shelf if (h := _held(catalogue, on, types)) is not None and h.quantity)
    # a part that is new is never handed in as an old one, so it has no part type
    own = tuple(Held(number, "", "", SOUND, n) for number, n in sorted(had.units.items()) if n > 0)
    promised: dict[str, int] = {}
    for number, n in sorted(had.promised.items()):
        part_type = types.get(number) or (catalogue.parts[number].part_type if number in catalogue.parts else "")
        promised[part_type] = promised.get(part_type, 0) + n
    terms = {s.supplier: terms_of(s) for s in suppliers}
    return Market(terms, tuple(sold), (*own, *shelf), currency, {h.part: h.quantity for h in own}, promised)


def _is_refused(sold: Sold, had: Had) -> bool:
    return any((sold.supplier, number) in had.refused for number, _ in sold.holds)


def _sold(catalogue: Catalogue, numbers: Collection[str], avoided: Collection[str]) -> Iterator[Sold]:
    for number in sorted(numbers):
        offers = catalogue.offers.get(number, ())
        yield from (_pack(catalogue, o) for o in offers if o.supplier not in avoided)
    for kit in catalogue.kits.values():
        if kit.is_ == "kit" and kit.price is not None and kit.supplier and kit.supplier not in avoided:
            made = _kit(catalogue, kit, kit.price)
            if any(number in numbers for number, _ in made.holds):
                yield made


def _pack(catalogue: Catalogue, offer: Offer) -> Sold:
    holds = ((offer.part, offer.pack_size),)
    weight, unweighed = _weight(catalogue, holds)
    return Sold(
        supplier=offer.supplier,
        name=offer.part,
        is_kit=False,
        price=exact(offer.price),
        holds=holds,
        surcharge=exact(offer.exchange_surcharge),
        stock=offer.stock,
        lead_days=offer.lead_days,
        weight=weight,
        unweighed=unweighed,
    )


def _kit(catalogue: Catalogue, kit: Kit, price: float) -> Sold:
    holds = tuple((line.part, line.quantity) for line in kit.lines if line.quantity)
    weight, unweighed = _weight(catalogue, holds)
    return Sold(
        supplier=kit.supplier,
        name=kit.kit,
        is_kit=True,
        price=exact(price),
        holds=holds,
        weight=weight,
        unweighed=unweighed,
        not_itemised=kit.not_itemised,
    )


def _weight(catalogue: Catalogue, holds: Iterable[tuple[str, int]]) -> tuple[Decimal | None, tuple[str, ...]]:
    total, unweighed = Decimal(0), []
    for number, quantity in holds:
        part = catalogue.parts.get(number)
        if part is None or part.weight_kg is None:
            unweighed.append(number)
        else:
            total += exact(part.weight_kg) * quantity
    return (None if unweighed else total), tuple(unweighed)


def terms_of(supplier: Supplier) -> Terms:
    """A supplier's terms as exact amounts."""
    net = supplier.prices == "net"
    return Terms(
        supplier=supplier.supplier,
        postage=_amount(supplier.postage),
        steps=tuple((exact(step.up_to_kg), exact(step.postage)) for step in supplier.steps),
        free_over=_amount(supplier.free_over),
        smallest_order=_amount(supplier.smallest_order),
        rate=exact(supplier.tax) / 100 if net and supplier.tax is not None else Decimal(0),
        tax_missing=net and supplier.tax is None,
    )


def _amount(amount: float | None) -> Decimal | None:
    return None if amount is None else exact(amount)


def _one_currency(suppliers: Iterable[Supplier]) -> str:
    """The currency of all who sell. Raises RequestError where there are two."""
    found: dict[str, tuple[str, str]] = {}
    for supplier in suppliers:
        if supplier.currency:
            found.setdefault(supplier.currency.casefold(), (supplier.currency, supplier.supplier))
    if len(found) > 1:
        named = " and ".join(f"{currency} ({supplier})" for currency, supplier in found.values())
        raise RequestError(f"an order has one currency, and the suppliers have {named}. Write --avoid SUPPLIER")
    return next((currency for currency, _ in found.values()), "")


# ---- the shelf


def _held(catalogue: Catalogue, on: OnShelf, types: Mapping[str, str]) -> Held | None:
    """What is on the shelf; None for a thing without a number, of which nobody knows what it could supply."""
    item = catalogue.items.get(on.item)
    number = on.part or (item.part if item is not None and not item.member else "")
    part = catalogue.parts.get(number)
    if part is None:
        return None
    condition, why = on.condition, ""
    if on.item and condition != DUE:
        condition, why = _as_read(catalogue, on.item, number, condition)
    return Held(number, types.get(number, part.part_type), on.side, condition, on.quantity, on.item, why)


def _as_read(catalogue: Catalogue, item: str, number: str, condition: str) -> tuple[str, str]:
    """The condition of a particular thing as its own readings leave it: one that shares no value with its number's
    sizes is not that number and supplies nothing; a reading that nothing is recorded of leaves it unknown."""
    by_number = catalogue.features_of(number)
    for name, feature in sorted(catalogue.features_of(item).items()):
        same = by_number.get(name)
        if presence_of(feature) == "absent" and same is not None and presence_of(same) == "recorded":
            return DUE, f"{item} has no {name}"
        for dimension, statements in sorted(feature.dimensions.items()):
            if all(s.of_number for s in statements):
                continue
            own = known_of(tuple(s for s in statements if not s.of_number)).sizes
            others = known_of(same.dimensions.get(dimension, ())).sizes if same is not None else ()
            if own and others and not any(_share(a, b) for a in own for b in others):
                return DUE, f"{item}, {name}: its {dimension} is not that of {number}"
            if own and not others and condition == SOUND:
                condition = UNKNOWN
    return condition, ""


AS_WRITTEN = 0.05
"""By how much, in mm or degrees, a thing may differ from a size that is recorded without limits."""


def _share(one: Size, other: Size) -> bool:
    """Whether two sizes have a value in common."""
    if one.code is not None or other.code is not None:
        return one.code == other.code
    room = AS_WRITTEN if one.nominal or other.nominal else 0.0
    ends = ((one.low, other.high), (other.low, one.high))
    return all(a is None or b is None or a <= b + room for a, b in ends)
