"""What can be bought and for how much: exact prices, and what an old part that is handed in saves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Offer

CENT = Decimal("0.01")


def exact(amount: float) -> Decimal:
    """An amount of money as it was written in the records."""
    return Decimal(repr(amount))


def in_cents(amount: Decimal) -> int:
    """An amount in whole hundredths, halves up."""
    return int(amount.quantize(CENT, ROUND_HALF_UP) / CENT)


class Offered(msgspec.Struct, frozen=True, dict=True):
    """The offers by number, those of suppliers to avoid left out."""

    offers: Mapping[str, tuple[Offer, ...]]

    @classmethod
    def by(cls, catalogue: Catalogue, avoid: Iterable[str]) -> Offered:
        """The offers of a catalogue but for some suppliers."""
        avoided = set(avoid)
        left = {n: tuple(o for o in offers if o.supplier not in avoided) for n, offers in catalogue.offers.items()}
        return cls({n: offers for n, offers in left.items() if offers})

    def cheapest(self, number: str, old_part: bool) -> Offer | None:
        """The cheapest offer of one unit, by price then supplier; ``old_part``: one is handed in for it."""
        return min(
            self.offers.get(number, ()), key=lambda o: (self.price_of_one(o, old_part), o.supplier), default=None
        )

    @staticmethod
    def price_of_one(offer: Offer, old_part: bool) -> Decimal:
        """What one unit costs at this offer."""
        return exact(offer.price) / offer.pack_size + (Decimal(0) if old_part else exact(offer.exchange_surcharge))

    def price(self, number: str, old_part: bool = False) -> Decimal:
        """The least price of one; 0 where nobody offers it (counted as a line of a level of its own)."""
        offer = self.cheapest(number, old_part)
        return self.price_of_one(offer, old_part) if offer is not None else Decimal(0)

    def cents(self, number: str, quantity: int) -> int:
        """The price of some units in hundredths, where no old part is handed in for any."""
        return in_cents(self.price(number) * quantity)

    @cached_property
    def savings(self) -> dict[str, int]:
        """What an old part handed in saves on one unit, in hundredths, by number; only where it saves anything."""
        found = {n: in_cents(self.price(n) - self.price(n, old_part=True)) for n in self.offers}
        return {n: saved for n, saved in found.items() if saved}
