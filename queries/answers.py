"""What answers share: cautions, order lines, and how an answer says where it comes from."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Layout

CAUTION = "Geometry only. Says nothing about strength, material, wear or approval."
LOCAL_RULES = (
    "Local rules differ: a brake change may need approval, inspection or your insurer's consent; where the trade is "
    "licensed, get licensed work or sign-off (licensed practice). The maker's manual stands above this answer."
)
LICENSED = (
    "Local rules differ; where the trade is licensed, get licensed work or sign-off (licensed practice). The maker's "
    "manual stands above this answer."
)
ON_THE_WAY = (
    "What comes off only to get at a part is not in the list: look at its one-use parts (pins, tabs, seals, clips) "
    "as well before you order."
)
NO_TORQUES = "No torque values here: none is in the records with a source. Use the maker's manual."
IN_THE_WAY = (
    "What must come off only to get at a part is counted as far as this layout says it: look what else is in the way "
    "on your vehicle before you order."
)
IN_SHORT = "Local rules, licensed practice and the maker's manual stand above this answer. All cautions: --full."
"""What stands with every answer, where one screen must hold it."""
GENERAL = ((10, CAUTION), (50, NO_TORQUES))
"""The cautions of every layout, each with its place among those that a layout's part types call for."""
WAY, RULES = 30, 60
"""Where it is told what comes off on the way, and where local rules stand: the general words on them, where a layout's
part types call for no others."""
SHORT_CAUTIONS = (CAUTION, LOCAL_RULES)
EVERYWHERE = frozenset({CAUTION, LOCAL_RULES, LICENSED})
"""What stands with every answer, in whichever words."""


def cautions_on(catalogue: Catalogue, layouts: Iterable[Layout]) -> tuple[str, ...]:
    """The cautions of an answer about these layouts: what their part types call for, among those of every layout."""
    layouts = list(layouts)
    types = {p.part_type for layout in layouts for p in layout.positions}
    vocabulary = catalogue.vocabulary
    called = [
        (c.order, c.text)
        for c in vocabulary.cautions
        if any(vocabulary.is_a(t, w) for t in types for w in c.part_types)
    ]
    called += [] if any(order == RULES for order, _ in called) else [(RULES, LICENSED)]
    way = (WAY, IN_THE_WAY if any(layout.in_the_way for layout in layouts) else ON_THE_WAY)
    return tuple(text for _, text in sorted((*GENERAL, way, *called)))


def short_cautions_on(catalogue: Catalogue, layouts: Iterable[Layout]) -> tuple[str, ...]:
    """Of these cautions those that stand with every answer."""
    return tuple(text for text in cautions_on(catalogue, layouts) if text in EVERYWHERE)


def cautions_with(
    catalogue: Catalogue, numbers: Iterable[str], cautions: tuple[str, ...] = SHORT_CAUTIONS
) -> tuple[str, ...]:
    """The usual cautions, and one for each of these parts that no plan would use unasked."""
    parts = (catalogue.parts[n] for n in dict.fromkeys(numbers) if n in catalogue.parts)
    return cautions + tuple(f"{p.part}: {p.not_accepted}." for p in parts if p.not_accepted)


def with_article(name: str) -> str:
    """A name with its article: ``an outer joint``, ``a rotor``."""
    return f"{'an' if name[:1].casefold() in 'aeiou' else 'a'} {name}"


class BestOffer(msgspec.Struct, frozen=True):
    """The cheapest offer of a part; ``price`` includes the ``surcharge`` that is due where no old part is handed in."""

    supplier: str
    price: float
    surcharge: float = 0.0


class OrderLine(msgspec.Struct, frozen=True):
    """A number with its quantity for the whole job, where it goes, and the cheapest offer (None: nobody offers it).

    ``exchanged``: for how many units an old part is handed in that saves a surcharge. Where that is some of them only,
    they are bought at ``exchange``, and the others at ``offer``.
    Not ``recorded``: something of this sort is needed, and no part of it is in the records; ``name`` is the part type
    then, the number blank. ``to_prove``: the plan rests on a check of it that is not known without even a claim.
    """

    number: str
    name: str
    quantity: int
    places: tuple[str, ...]
    one_use: bool = False
    offer: BestOffer | None = None
    recorded: bool = True
    exchanged: int = 0
    exchange: BestOffer | None = None
    to_prove: bool = False

    def total(self) -> Decimal:
        """The price of the whole line, exact; 0 where nobody offers it."""
        served = self.exchanged if self.exchange else 0
        parts = ((self.exchange, served), (self.offer, self.quantity - served))
        return sum((Decimal(repr(offer.price)) * units for offer, units in parts if offer), Decimal(0))


class OrderGroup(msgspec.Struct, frozen=True):
    """Lines that are ordered together; handed parts are a group for each hand."""

    group: str
    hand: str
    why: str
    lines: tuple[OrderLine, ...]
