"""What happens to a named plan, one record each; what the plan is now follows from all of them, in their order."""

from __future__ import annotations

import msgspec


class Event(msgspec.Struct, frozen=True, tag_field="event", omit_defaults=True):
    """What all say: ``by`` whom (initials or a member number), ``at`` what time (UTC, to the second)."""

    by: str
    at: str


class Planned(Event, frozen=True, tag="planned"):
    """What was asked, on which vehicle: ``request`` by option (want, keep, avoid, renew, prefer) as it was typed,
    ``accept`` by level. A later one corrects it."""

    vehicle: str
    request: dict[str, tuple[str, ...]] = {}
    accept: dict[str, int] = {}


class LineOrdered(msgspec.Struct, frozen=True, omit_defaults=True):
    """One line of an order: so many packs of ``pack`` of a part, or so many of a kit, which ``holds`` so many of each
    part. ``price`` of one; ``exchanged``: for how many units an old part goes back."""

    supplier: str
    quantity: int
    price: str
    part: str = ""
    kit: str = ""
    pack: int = 1
    holds: dict[str, int] = {}
    exchanged: int = 0

    @property
    def units(self) -> dict[str, int]:
        """How many of each part number should come."""
        if self.kit:
            return {part: n * self.quantity for part, n in self.holds.items()}
        return {self.part: self.quantity * self.pack}


class Ordered(Event, frozen=True, tag="ordered"):
    """An order that was placed. ``chosen``: the number that the order's plan has in each place where something goes on,
    by place; ``name``: which of the orders it was (cheapest ...); ``total`` with its ``currency``."""

    name: str
    total: str
    lines: tuple[LineOrdered, ...]
    chosen: dict[str, str]
    currency: str = ""


class Received(Event, frozen=True, tag="received"):
    """What came of a part number: ``verdict`` is accept, reject or ask. ``readings`` as ``feature: dimension = value``;
    ``side``: looked at for this side only."""

    part: str
    quantity: int
    verdict: str
    supplier: str = ""
    side: str = ""
    why: str = ""
    readings: tuple[str, ...] = ()


class Ticked(Event, frozen=True, tag="ticked"):
    """A step of the job card that was done, or is not done after all (``taken_back``); ``read``: what was read."""

    step: str
    side: str = ""
    read: str = ""
    taken_back: bool = False


class Closed(Event, frozen=True, tag="closed"):
    """The card was closed: everything was checked, also by a second person. ``chosen``: the number that the card had in
    each place where something goes on, by place."""

    checked_by: str
    chosen: dict[str, str] = {}


class PlaceBuilt(msgspec.Struct, frozen=True, omit_defaults=True):
    """One place that changed: the part number before (``old``) and after (``new``), blank where nothing is there or
    nothing is recorded; ``name``: what it is; ``thing``: the particular thing or set member that is fitted."""

    place: str
    position: str
    side: str
    status: str
    old: str = ""
    new: str = ""
    name: str = ""
    thing: str = ""


class CheckBuilt(msgspec.Struct, frozen=True, omit_defaults=True):
    """A joint or figure that the change made, with its verdict, the places that it is about, the ``sources`` of the
    sizes, claims and limits that it rests on, the ``weakest`` standing among them, and what is ``missing``."""

    check: str
    verdict: str
    places: tuple[str, ...]
    safety_critical: bool = False
    weakest: str = ""
    sources: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


class Built(Event, frozen=True, tag="built"):
    """The record was written: the vehicle has what was built. What it had is kept here, since its fittings say what it
    has now. ``was`` and ``now`` are arrangements."""

    places: tuple[PlaceBuilt, ...] = ()
    checks: tuple[CheckBuilt, ...] = ()
    was: str = ""
    now: str = ""
    cautions: tuple[str, ...] = ()


class Noted(Event, frozen=True, tag="noted"):
    """A club note says what was built; ``note`` is its name."""

    note: str


class Answered(Event, frozen=True, tag="answered"):
    """What a plan's answers were when they were kept: when the plan was made, corrected or ordered.

    ``planned``: whether there was a plan. ``chosen``: the number in each place where something goes on, ``lines``: how
    many of each number are on the order list. ``checks``: each check that is not settled, by name and places, with its
    verdict; ``wrong``: the same of the vehicle as it stands. ``total`` of the cheapest order with its ``currency``,
    blank where none supplies every line. ``kits``: by kit the state of each order group in it. ``steps`` of the card.
    """

    planned: bool = False
    chosen: dict[str, str] = {}
    lines: dict[str, int] = {}
    checks: dict[str, str] = {}
    wrong: dict[str, str] = {}
    total: str = ""
    currency: str = ""
    kits: dict[str, dict[str, str]] = {}
    steps: tuple[str, ...] = ()


AnyEvent = Answered | Planned | Ordered | Received | Ticked | Closed | Built | Noted
ACCEPT, REJECT, ASK = "accept", "reject", "ask"
VERDICTS = (ACCEPT, REJECT, ASK)
