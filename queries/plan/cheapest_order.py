"""What the cheapest order that supplies a plan costs in all, as a plan's answer tells it; ``queries/buy`` finds it."""

from __future__ import annotations

import msgspec

from knockon.graph.model.layouts.layout import Place


class CheapestOrder(msgspec.Struct, frozen=True, omit_defaults=True):
    """The cheapest order in short. All money is text, in ``currency``: ``total`` is all that is paid, with ``goods``,
    ``postage``, exchange ``surcharges`` and ``tax``. ``parcels``: one a supplier. ``kits``: what it buys as kits.

    ``optimal``: proven to be the least of all. ``lacks``: numbers that the plan needs and that it does not supply.
    ``differs``: places where it buys another number than the plan shows (place, the plan's, the order's): equal for the
    vehicle, and cheaper to buy."""

    total: str
    goods: str
    postage: str
    surcharges: str
    tax: str
    parcels: int
    optimal: bool
    currency: str = ""
    kits: tuple[str, ...] = ()
    lacks: tuple[str, ...] = ()
    differs: tuple[tuple[Place, str, str], ...] = ()
