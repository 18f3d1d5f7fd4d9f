"""A small world as plain data: what the record tables say, row by row, and nothing worked out.

Lengths are whole millimetres, so that sums are exact and limits are hit often.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from itertools import product
from typing import Literal, NamedTuple

STANDINGS = ("on the item", "drawing", "same number, new", "worn", "seller", "hearsay")
"""Evidence, best first."""

HANDS = ("left", "right")

Sort = str
"""assembly or service."""

Need = str
"""required, supporting or told."""


class Mark(Enum):
    """What a cell can say beside a value."""

    UNSURE = "?"
    ABSENT = "absent"


@dataclass(frozen=True)
class Size:
    """A number known to lie in the closed interval [low, high]; nominal: stated without limits."""

    low: int
    high: int
    nominal: bool = False


@dataclass(frozen=True)
class Thread:
    """A thread of which only the hand is compared: RH, LH, or not written, which is usual right."""

    hand: Literal["", "RH", "LH"] = ""


Value = Size | str | Thread
"""A size, a code (text), or a thread."""

Cell = Value | Mark
"""A value, or a mark."""


@dataclass(frozen=True)
class Dimension:
    """One column of a kind: its name and whether it is a length, a count, a code or a thread."""

    name: str
    datatype: Literal["length", "count", "code", "thread"]


@dataclass(frozen=True)
class Kind:
    """A sort of feature and its dimensions."""

    name: str
    dimensions: tuple[Dimension, ...]


@dataclass(frozen=True)
class Term:
    """`factor` times a dimension of the first (0) or the second (1) role of a fit rule."""

    factor: int
    role: int
    dimension: str


@dataclass(frozen=True)
class Window:
    """A closed window; either end may be missing."""

    low: int | None = None
    high: int | None = None


@dataclass(frozen=True)
class Condition:
    """A signed sum of `terms` in a window, or (`same_code`) a code or a hand that is equal on both sides."""

    name: str
    sort: Sort
    need: Need
    terms: tuple[Term, ...]
    window: Window = Window()
    gross: Window | None = None
    same_code: bool = False


@dataclass(frozen=True)
class Rule:
    """Which kinds meet, and under which conditions."""

    name: str
    kinds: tuple[str, str]
    conditions: tuple[Condition, ...]
    safety_critical: bool = False


@dataclass(frozen=True)
class Source:
    """Where statements come from."""

    name: str
    standing: str


@dataclass(frozen=True)
class Part:
    """One part number; one that is not accepted is used only where it is asked for by its number."""

    number: str
    part_type: str
    hand: Literal["left", "right", "either"] = "either"
    one_use: bool = False
    mirror_of: str = ""
    drawn_as: str = ""
    accepted: bool = True


@dataclass(frozen=True)
class Member:
    """A place that a set fills; side blank: at the corner where the set is fitted."""

    position: str
    side: str = ""
    as_part: str = ""


@dataclass(frozen=True)
class PartSet:
    """A set, its members, and the stacks and joints that it states as made."""

    number: str
    members: tuple[Member, ...]
    states: tuple[str, ...] = ()


@dataclass(frozen=True)
class Claim:
    """`part` is "listed for" a vehicle, "goes with" a part, or is the "same as" one (`about`)."""

    part: str
    claim: str
    about: str


@dataclass(frozen=True)
class Row:
    """One row of a feature table: what one source says of one feature of one owner.

    The owner is a part number, an item or SET/position.
    """

    owner: str
    feature: str
    kind: str
    cells: tuple[tuple[str, Cell], ...]
    source: str


class Alternatives(NamedTuple):
    """A choice of the layout: its name, and its arrangements, of which exactly one holds."""

    name: str
    arrangements: tuple[str, ...]


def one_of(*arrangements: str) -> tuple[Alternatives, ...]:
    """The choices of a layout that has but one, which needs no name."""
    return (Alternatives("", arrangements),)


@dataclass(frozen=True)
class Position:
    """A place that takes one part type.

    `level`: corner or vehicle; `need`: needed, optional or with.
    """

    name: str
    level: str
    part_type: str
    quantity: int = 1
    arrangement: str = ""
    need: str = "needed"
    with_position: str = ""
    lacking_feature: str = ""
    carried_by: str = ""
    pressed_in: bool = False


@dataclass(frozen=True)
class Joint:
    """Two positions' features that meet under a rule.

    `disturbs`: undoing it disturbs the one-use parts in it (those that it owns in any case).
    """

    name: str
    position: str
    feature: str
    other_position: str
    other_feature: str
    rule: str
    arrangement: str = ""
    safety_critical: bool | None = None
    owns: tuple[str, ...] = ()
    disturbs: bool = True


@dataclass(frozen=True)
class InTheWay:
    """To reach another position the thing in `position` must come off, or is only slackened.

    `arrangement`: that of the vehicle as it is; `leaves`: joints of it that stay made meanwhile.
    """

    position: str
    in_the_way_of: str
    arrangement: str = ""
    slackened: bool = False
    leaves: tuple[str, ...] = ()


@dataclass(frozen=True)
class StackTerm:
    """`factor` times a dimension of the thing in a position."""

    position: str
    feature: str
    dimension: str
    factor: int


@dataclass(frozen=True)
class Stack:
    """A signed sum through several positions that must lie within a window.

    `as_made`: its lower limit is the sum of the vehicle as made; `unlimited`: which nobody knows.
    """

    name: str
    sort: Sort
    terms: tuple[StackTerm, ...]
    window: Window
    safety_critical: bool = False
    method: bool = False
    arrangement: str = ""
    as_made: bool = False
    unlimited: bool = False


@dataclass(frozen=True)
class Fitting:
    """What stands in a position of a vehicle: an item, or a part by number only.

    `condition`: sound, due or unknown; side blank: both hands, or the vehicle.
    """

    position: str
    side: str
    part: str = ""
    item: str = ""
    condition: str = "sound"


@dataclass(frozen=True)
class Item:
    """A particular thing; its number may be blank, a set, or one member of a set (SET/position).

    `work_on`: it is what that other item is once some work is done.  `read_at`: it was read in that place (vehicle,
    position, side) and is what stands there as long as that has its number; fittings do not name it.
    """

    name: str
    part: str = ""
    work_on: str = ""
    read_at: tuple[str, str, str] | None = None


@dataclass(frozen=True)
class Vehicle:
    """What is in each position, as made or as found.

    `arrangements`: one of each choice, or of some only.
    `fittings` is all of it; `like`: the records give that vehicle's fittings and only what differs.
    """

    name: str
    arrangements: tuple[str, ...]
    fittings: tuple[Fitting, ...]
    as_made: bool = False
    made_as: str = ""
    like: str = ""


@dataclass(frozen=True)
class Offer:
    """One supplier's price of a part, and what it costs more where no old one is given back."""

    supplier: str
    part: str
    price: int
    surcharge: int = 0


@dataclass(frozen=True)
class Note:
    """A member made parts fit at a joint, and says how."""

    name: str
    joint: str
    parts: tuple[str, ...]


Place = tuple[str, str]
"""A position and its side: left, right, or blank at vehicle level."""


@dataclass(frozen=True)
class World:
    """All the records of one small world, with one layout."""

    kinds: tuple[Kind, ...] = ()
    rules: tuple[Rule, ...] = ()
    sources: tuple[Source, ...] = ()
    parts: tuple[Part, ...] = ()
    sets: tuple[PartSet, ...] = ()
    claims: tuple[Claim, ...] = ()
    rows: tuple[Row, ...] = ()
    choices: tuple[Alternatives, ...] = one_of("only")
    positions: tuple[Position, ...] = ()
    joints: tuple[Joint, ...] = ()
    stacks: tuple[Stack, ...] = ()
    in_the_way: tuple[InTheWay, ...] = ()
    items: tuple[Item, ...] = ()
    vehicles: tuple[Vehicle, ...] = ()
    offers: tuple[Offer, ...] = ()
    notes: tuple[Note, ...] = ()
    layout: str = field(default="layout")

    @cached_property
    def standing(self) -> dict[str, int]:
        """Rank of each source, 0 the best."""
        return {source.name: STANDINGS.index(source.standing) for source in self.sources}

    def is_thread(self, dimension: str) -> bool:
        """Whether a dimension is a thread, of which the hand is compared."""
        return any(one.name == dimension and one.datatype == "thread" for kind in self.kinds for one in kind.dimensions)

    @cached_property
    def rows_of(self) -> dict[tuple[str, str], list[Row]]:
        """Rows by owner and feature."""
        found: dict[tuple[str, str], list[Row]] = {}
        for row in self.rows:
            found.setdefault((row.owner, row.feature), []).append(row)
        return found

    @cached_property
    def part(self) -> dict[str, Part]:
        """Parts by number."""
        return {part.number: part for part in self.parts}

    @cached_property
    def set_named(self) -> dict[str, PartSet]:
        """Sets by number."""
        return {one.number: one for one in self.sets}

    @cached_property
    def rule(self) -> dict[str, Rule]:
        """Rules by name."""
        return {rule.name: rule for rule in self.rules}

    @cached_property
    def item(self) -> dict[str, Item]:
        """Items by name."""
        return {item.name: item for item in self.items}

    @cached_property
    def position(self) -> dict[str, Position]:
        """Positions by name."""
        return {position.name: position for position in self.positions}

    @cached_property
    def ways(self) -> tuple[frozenset[str], ...]:
        """All sets of arrangements that can hold together: one of each choice."""
        return tuple(frozenset(way) for way in product(*(choice.arrangements for choice in self.choices)))

    def beside(self, arrangement: str) -> frozenset[str]:
        """The other arrangements of its choice: none of them holds where it does."""
        return frozenset(
            other for c in self.choices if arrangement in c.arrangements for other in c.arrangements
        ) - {arrangement}  # fmt: skip

    @cached_property
    def vehicle(self) -> dict[str, Vehicle]:
        """Vehicles by name."""
        return {vehicle.name: vehicle for vehicle in self.vehicles}

    @cached_property
    def places(self) -> tuple[Place, ...]:
        """Every position of the layout with its side, in the layout's order."""
        return tuple(place for position in self.positions for place in places_of(position))

    @cached_property
    def numbers_as_made(self) -> dict[str, frozenset[str]]:
        """The part numbers of each vehicle that is recorded as made."""
        return {
            vehicle.name: frozenset(fitting.part for fitting in vehicle.fittings if fitting.part)
            for vehicle in self.vehicles
            if vehicle.as_made
        }


def places_of(position: Position) -> tuple[Place, ...]:
    """The places of one position: both hands of a corner position, or the one of the vehicle."""
    if position.level == "vehicle":
        return ((position.name, ""),)
    return tuple((position.name, hand) for hand in HANDS)
