"""What an answer about a named plan says of the orders that were placed for it."""

from __future__ import annotations

import msgspec


class LineStands(msgspec.Struct, frozen=True):
    """One part number of one supplier: how many were ordered, accepted and rejected, and how many are ``outstanding``:
    neither. ``asked``: of how many of these the supplier was asked something; ``why`` and ``readings``: what was said
    and read of it, last to first."""

    supplier: str
    part: str
    ordered: int
    accepted: int = 0
    rejected: int = 0
    asked: int = 0
    outstanding: int = 0
    why: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()


class OrderPlaced(msgspec.Struct, frozen=True):
    """An order that was placed: which of the orders it was, what it cost, by whom and when, and of how many lines."""

    name: str
    total: str
    currency: str
    by: str
    at: str
    lines: int


class LineToday(msgspec.Struct, frozen=True):
    """A line of which another number would be bought today, or at another price: blank or 0 where there is none."""

    supplier: str
    what: str
    quantity_then: int = 0
    quantity_now: int = 0
    price_then: str = ""
    price_now: str = ""


class Today(msgspec.Struct, frozen=True):
    """The last order as it would be today, if nothing had been bought: its totals, and the lines that differ.
    ``total_now``: blank where it cannot be placed any more."""

    name: str
    total_then: str
    total_now: str
    lines: tuple[LineToday, ...] = ()


class OfPlan(msgspec.Struct, frozen=True):
    """A named plan, with what was ordered of it. ``holds``: the plan that was ordered still holds, and the order
    answers for it; else it is planned anew. ``instead``: what the new plan does without, since nobody else sells
    what was rejected.
    ``same_again``: the part that was rejected is bought again of the same supplier, since nothing else can be had."""

    name: str
    placed: tuple[OrderPlaced, ...] = ()
    stands: tuple[LineStands, ...] = ()
    holds: bool = True
    instead: tuple[str, ...] = ()
    same_again: bool = False
    today: Today | None = None
    just_placed: str = ""
