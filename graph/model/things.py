"""The things that records speak of, as plain frozen records of their own. One class a table; fields are the column
names."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from typing import NamedTuple

import msgspec

STANDINGS = ("on the item", "drawing", "same number, new", "worn", "seller", "hearsay")
SIDES = ("left", "right")


class Source(msgspec.Struct, frozen=True):
    """Where a statement comes from; ``standing`` is one of STANDINGS, best first."""

    source: str
    standing: str
    title: str = ""
    member: str = ""
    date: str = ""
    licence: str = ""

    @property
    def rank(self) -> int:
        """1 (on the item) to 6 (hearsay)."""
        return STANDINGS.index(self.standing) + 1 if self.standing in STANDINGS else len(STANDINGS)


class Statement(msgspec.Struct, frozen=True):
    """One size as one source states it: the interval [low, high] in the base unit, or a code; and what was written.

    ``of_number``: of a particular thing, where it is said of the thing's number and not of the thing itself.
    """

    written: str
    source: str
    rank: int
    low: float | None = None
    high: float | None = None
    nominal: bool = False
    code: str | None = None
    unknown: bool = False
    of_number: bool = False

    @property
    def order(self) -> tuple[bool, int]:
        """Which computes, least first: what is said of the very thing, then the best standing."""
        return self.of_number, self.rank


class Said(NamedTuple):
    """That a feature is there, or is not, by whom; ``of_number`` as for a statement."""

    source: str
    rank: int
    of_number: bool = False

    @property
    def order(self) -> tuple[bool, int]:
        """As of a statement."""
        return self.of_number, self.rank


class Feature(msgspec.Struct, frozen=True):
    """A place where a thing meets another: statements by dimension; ``absent`` lists who says that it is not there,
    ``there`` who has a row of it, measured or not."""

    name: str
    kind: str
    dimensions: dict[str, tuple[Statement, ...]] = msgspec.field(default_factory=dict)
    absent: tuple[Said, ...] = ()
    there: tuple[Said, ...] = ()


class Part(msgspec.Struct, frozen=True):
    """One thing that can be bought or held."""

    part: str
    name: str
    part_type: str
    hand: str
    one_use: bool
    maker: str = ""
    mirror_of: str = ""
    drawn_as: str = ""
    as_written: str = ""
    not_accepted: str = ""
    source: str = ""
    weight_kg: float | None = None


class Claim(msgspec.Struct, frozen=True):
    """A statement without sizes about ``part``."""

    part: str
    claim: str
    vehicle: str = ""
    other_part: str = ""
    text: str = ""
    source: str = ""


class SetMember(msgspec.Struct, frozen=True):
    """One position that a set fills; ``side`` blank: in the corner that the set is used in."""

    set: str
    position: str
    side: str = ""
    as_part: str = ""
    quantity: int = 1


class SetAside(msgspec.Struct, frozen=True):
    """A row that could not be used: a joint, figure or position (``kind``) that the layout lacks, a fitting that a
    vehicle lacks (``name``: the vehicle) or a set member that a set lacks (``name``: the set).

    ``name``, ``positions``, ``part_type`` and ``side`` as far as they can be read, blank or none else.
    """

    file: str
    row: int
    kind: str
    layout: str = ""
    name: str = ""
    positions: tuple[str, ...] = ()
    part_type: str = ""
    problem: str = ""
    side: str = ""


class Fitting(msgspec.Struct, frozen=True):
    """What is in one position of a vehicle; ``member``: the set's member that it is, where its row names one.
    ``unread``: the row was set aside; what stands there, if anything does, is not known. ``taken_from``: the vehicle
    that it is like, where nobody looked at this one's."""

    position: str
    side: str = ""
    part: str = ""
    item: str = ""
    condition: str = "unknown"
    member: str = ""
    unread: bool = False
    taken_from: str = ""


class Vehicle(msgspec.Struct, frozen=True):
    """A vehicle as made or as found, with its fittings (those of ``like`` already taken over); ``arrangements``: one of
    each choice of its layout, as far as it is known."""

    vehicle: str
    layout: str
    as_made: bool
    title: str = ""
    arrangements: tuple[str, ...] = ()
    made_as: str = ""
    like: str = ""
    owner: str = ""
    source: str = ""
    fittings: tuple[Fitting, ...] = ()


class Item(msgspec.Struct, frozen=True):
    """A particular thing; ``after_work_on`` names the item that this one is once ``work`` is done.

    ``vehicle``, ``position`` and ``side`` say in which place it was read, for a thing that got its name there;
    ``member``: the member of the set ``part`` that it is, where its row names one.
    """

    item: str
    part: str = ""
    title: str = ""
    after_work_on: str = ""
    work: str = ""
    vehicle: str = ""
    position: str = ""
    side: str = ""
    source: str = ""
    member: str = ""


class Unbound(msgspec.Struct, frozen=True):
    """Readings "on the item" of which nobody knows on which thing they were made: they count as ``worn``.

    ``thing``: the number or item that they name; ``places``: where it stands, ``VEHICLE, PLACE``; ``problem``: why.
    """

    source: str
    thing: str
    feature: str
    problem: str
    places: tuple[str, ...] = ()


class KitLine(msgspec.Struct, frozen=True):
    """A part in a kit."""

    part: str
    quantity: int


class Kit(msgspec.Struct, frozen=True):
    """Parts sold together, or kept on a shelf; ``not_itemised`` is the text of a line whose contents are not listed."""

    kit: str
    is_: str
    title: str = ""
    supplier: str = ""
    price: float | None = None
    not_itemised: str = ""
    per: str = "axle"
    source: str = ""
    lines: tuple[KitLine, ...] = ()


class PostageStep(msgspec.Struct, frozen=True):
    """Postage of a parcel up to a weight, in kilograms."""

    supplier: str
    up_to_kg: float
    postage: float


class Supplier(msgspec.Struct, frozen=True):
    """Who sells, with the terms of a parcel in their currency: ``postage`` whatever it weighs (None: not recorded) or
    by ``steps`` of weight, free from goods of ``free_over`` on; ``tax`` in per cent, added where ``prices`` are net."""

    supplier: str
    title: str = ""
    postage: float | None = None
    free_over: float | None = None
    smallest_order: float | None = None
    prices: str = ""
    tax: float | None = None
    currency: str = ""
    steps: tuple[PostageStep, ...] = ()


class Offer(msgspec.Struct, frozen=True):
    """A price of one pack; the surcharge is due on each unit for which no old part is handed in. ``stock``: packs
    (None: not recorded)."""

    supplier: str
    part: str
    price: float
    exchange_surcharge: float = 0.0
    pack_size: int = 1
    stock: int | None = None
    lead_days: int | None = None


class OnShelf(msgspec.Struct, frozen=True):
    """Parts that somebody has: of a number, or a particular thing; ``side``: kept for that side only."""

    part: str = ""
    item: str = ""
    side: str = ""
    condition: str = "unknown"
    quantity: int = 1


class Note(msgspec.Struct, frozen=True):
    """What a member found."""

    note: str
    text: str
    date: str = ""
    member: str = ""
    vehicle: str = ""
    condition: str = ""
    parts: tuple[str, ...] = ()
    joint: str = ""
    outcome: str = ""
    work_done: str = ""
    says: str = ""
    evidence: str = ""
    source: str = ""
    photographs: tuple[str, ...] = ()
