"""What a plan's order costs: the cheapest offers, and surcharges where too few old parts of the type leave."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from functools import cache

from tests.oracle.world import Offer, Place, World


def offers_of(world: World, avoid: Iterable[str]) -> dict[str, list[Offer]]:
    """The offers of each part, without those of suppliers to be avoided."""
    found: dict[str, list[Offer]] = {}
    for offer in world.offers:
        if offer.supplier not in avoid:
            found.setdefault(offer.part, []).append(offer)
    return found


def old_parts(world: World, lose: Iterable[Place]) -> Counter[str]:
    """How many parts of each type leave the vehicle, of the places that lose what is recorded of them."""
    found: Counter[str] = Counter()
    for name, _ in lose:
        found[world.position[name].part_type] += world.position[name].quantity
    return found


def price(world: World, offers: Mapping[str, list[Offer]], lines: Mapping[str, int], old: Counter[str]) -> int:
    """The least that the offered lines cost; a line without an offer adds nothing.

    Each unit may come from another supplier.  A surcharge is paid for each unit for which no old part of its type
    serves.
    """
    units: dict[str, list[tuple[Offer, ...]]] = {}
    for number, count in lines.items():
        if number in offers:
            units.setdefault(_type(world, number), []).extend([tuple(offers[number])] * count)
    return sum(_cheapest(tuple(each), old[part_type]) for part_type, each in units.items())


def _type(world: World, number: str) -> str:
    """The part type; of a set that of its first position in the layout: it is one unit, and has no type of its own."""
    if number in world.set_named:
        filled = {member.position for member in world.set_named[number].members}
        return next(position.part_type for position in world.positions if position.name in filled)
    return world.part[number].part_type


@cache
def _cheapest(units: tuple[tuple[Offer, ...], ...], old: int) -> int:
    """Each unit from each of its offers, with one of the old parts handed in and without."""
    if not units:
        return 0
    first, rest = units[0], units[1:]
    ways = [min(offer.price + offer.surcharge for offer in first) + _cheapest(rest, old)]
    if old:
        ways.append(min(offer.price for offer in first) + _cheapest(rest, old - 1))
    return min(ways)
