"""What answers share: cautions, order lines, and how an answer says where it comes from."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.triples.cautions import Caution


def as_text(value: object) -> str:
    """A text that knows what it is made of (a place, a size by name), as the text that it is."""
    if isinstance(value, str):
        return str(value)
    raise NotImplementedError(f"no plain form of {type(value)}")


class Answer(msgspec.Struct, frozen=True):
    """The answer to one question, as a frozen record."""

    def to_dict(self) -> dict[str, Any]:
        """The answer as dictionaries, lists, texts and numbers; whatever it names twice stands there twice."""
        found: dict[str, Any] = msgspec.to_builtins(self, enc_hook=as_text)
        return found


CAUTION = "Geometry only. Says nothing about strength, material, wear or approval."
LOCAL_RULES = "Local rules and licensed practice may apply. The maker's manual overrides this answer."
ON_THE_WAY = (
    "Parts that come off only to reach another are not in the list. Check their one-use parts too (pins, tabs, seals, "
    "clips) before you order."
)
NO_TORQUES = "No torque values here: the records have none with a source. Use the maker's manual."
IN_THE_WAY = (
    "What must come off to reach a part is in the list as far as this layout knows. Check for anything else in the "
    "way before you order."
)
IN_SHORT = "Local rules, licensed practice and the maker's manual override this answer."
"""What stands with every answer, where one screen must hold it and the layout's part types bring no words of theirs."""
GENERAL = ((10, CAUTION), (50, NO_TORQUES))
"""The cautions of every layout, each with its place among those that a layout's part types bring."""
WAY, RULES = 30, 60
"""Where it is said what comes off on the way, and where local rules stand: the general words on them, where a layout's
part types bring no others."""
SHORT_CAUTIONS = (CAUTION, LOCAL_RULES)


def cautions_on(catalogue: Catalogue, layouts: Iterable[Layout]) -> tuple[str, ...]:
    """The cautions of an answer about these layouts: what their part types bring, among those of every layout."""
    layouts = list(layouts)
    brought = _brought(catalogue, layouts)
    found = [(c.order, c.text) for c in brought]
    found += [] if any(c.order == RULES for c in brought) else [(RULES, LOCAL_RULES)]
    way = (WAY, IN_THE_WAY if any(layout.in_the_way for layout in layouts) else ON_THE_WAY)
    return tuple(text for _, text in sorted((*GENERAL, way, *found)))


def cautions_at_work(catalogue: Catalogue, layouts: Iterable[Layout]) -> tuple[str, ...]:
    """What stands on a page that is used at the vehicle: the cautions that its part types bring."""
    return tuple(c.text for c in sorted(_brought(catalogue, layouts), key=lambda c: c.order))


def _brought(catalogue: Catalogue, layouts: Iterable[Layout]) -> list[Caution]:
    """The cautions that the part types of these layouts bring."""
    types = {p.part_type for layout in layouts for p in layout.positions}
    return _of_types(catalogue, types)


def _of_types(catalogue: Catalogue, types: Iterable[str]) -> list[Caution]:
    vocabulary, types = catalogue.vocabulary, set(types)
    return [c for c in vocabulary.cautions if any(vocabulary.is_a(t, w) for t in types for w in c.part_types)]


def short_cautions_on(catalogue: Catalogue, layouts: Iterable[Layout] | None = None) -> tuple[str, ...]:
    """Of these cautions those that stand with every answer; without layouts as all layouts and parts of the records
    have them."""
    brought = _brought(catalogue, layouts) if layouts is not None else _of_types(catalogue, _types(catalogue))
    rules = [c.text for c in brought if c.order == RULES]
    return (CAUTION, *(rules or (LOCAL_RULES,)))


def _types(catalogue: Catalogue) -> set[str]:
    found = {p.part_type for layout in catalogue.layouts.values() for p in layout.positions}
    return found | {*catalogue.numbers_of_type}


def everywhere(catalogue: Catalogue) -> frozenset[str]:
    """The cautions that stand with every answer, in whichever words."""
    return frozenset({*SHORT_CAUTIONS, *(c.text for c in catalogue.vocabulary.cautions if c.order == RULES)})


def rules_in_short(catalogue: Catalogue, cautions: Iterable[str]) -> str:
    """What an answer with these cautions says of local rules and the manual, in one sentence."""
    cautions = set(cautions)
    return next((c.in_short for c in catalogue.vocabulary.cautions if c.in_short and c.text in cautions), IN_SHORT)


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
    places: tuple[Place, ...]
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
