"""What a layout is put together from, as plain frozen records: positions, joints, figures, choices. One class a table;
fields are the column names."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections.abc import Collection, Iterator
from itertools import product
from typing import NamedTuple

import msgspec

from knockon.graph.model.layout_words import LayoutWord
from knockon.graph.model.several import Several
from knockon.graph.model.work import Step, Tightening, WearLimit


class Position(msgspec.Struct, frozen=True):
    """A place that takes one part type, in each corner of its axle or once on the vehicle; ``also_called``: every
    other name of it, those of its part type too."""

    position: str
    level: str
    part_type: str
    quantity: int
    need: str
    group: str
    order: int
    arrangement: str = ""
    with_position: str = ""
    lacking_feature: str = ""
    carried_by: str = ""
    pressed_in: bool = False
    axle: str = ""
    also_called: tuple[str, ...] = ()


class JointEnd(NamedTuple):
    """One end of a joint: the position, its feature, and when that can be reached."""

    position: str
    feature: str
    reached: str


class Joint(msgspec.Struct, frozen=True):
    """Two positions' features that meet under a fit rule."""

    joint: str
    position: str
    feature: str
    other_position: str
    other_feature: str
    rule: str
    arrangement: str = ""
    safety_critical: bool | None = None
    owns: tuple[str, ...] = ()
    disturbs: bool | None = None
    reached: str = ""
    other_reached: str = ""

    @property
    def ends(self) -> tuple[JointEnd, JointEnd]:
        """Both ends, as the rule has them."""
        return (
            JointEnd(self.position, self.feature, self.reached),
            JointEnd(self.other_position, self.other_feature, self.other_reached),
        )


class FigureTerm(msgspec.Struct, frozen=True):
    """One term of a stack or figure.

    ``taken_on`` (blank: the plan; the vehicle ``as made``; the ``change`` from that to the plan) and ``assumed`` (the
    value of a size that nobody recorded, as written; ``assumed_value`` in its base unit) belong to figures that are
    told. ``kind``: the label of the feature's kind, where no joint reads it.
    """

    order: int
    position: str
    feature: str
    dimension: str
    factor: float = 1.0
    role: str = ""
    reached: str = ""
    taken_on: str = ""
    assumed: str = ""
    assumed_value: float | None = None
    kind: str = ""


class Figure(msgspec.Struct, frozen=True):
    """A stack (signed sum) or a figure (formula) over several parts, with limits in base units; what is ``told`` is a
    number that is shown and never judged, and ``listed`` says that one which is judged is shown beside those."""

    figure: str
    is_: str
    sort: str
    compared_with: str
    formula: str = ""
    low: float | None = None
    high: float | None = None
    unit: str = ""
    method: str = ""
    arrangement: str = ""
    safety_critical: bool = False
    standing: str = ""
    source: str = ""
    says: str = ""
    listed: bool = False
    remark_within: float | None = None
    """So far outside its limits it is a remark on a vehicle as it stands, and no danger; in the unit of the limits."""
    remark_source: str = ""
    terms: tuple[FigureTerm, ...] = ()


class Consumable(msgspec.Struct, frozen=True):
    """A workshop consumable needed when ``with_position`` is renewed."""

    part_type: str
    with_position: str
    quantity: int = 1


class InTheWay(msgspec.Struct, frozen=True):
    """What is at ``position`` must come off, or be ``slackened``, to reach ``in_the_way_of``, where the vehicle as it
    is has this arrangement (blank: always); the joints that it ``leaves`` stay made meanwhile."""

    position: str
    in_the_way_of: str
    arrangement: str = ""
    slackened: bool = False
    leaves: tuple[str, ...] = ()


class HowToMeasure(msgspec.Struct, frozen=True):
    """How a size is measured in one place, where that differs from how its kind says it; ``source_of_it``: blank for
    common practice."""

    position: str
    feature: str
    dimension: str
    how: str
    source_of_it: str = ""


class Choice(msgspec.Struct, frozen=True):
    """Named alternatives of which exactly one holds; ``choice`` is blank where a layout has but one choice. ``titles``
    are those of the arrangements, in their order."""

    choice: str
    arrangements: tuple[str, ...]
    titles: tuple[str, ...] = ()


class LayoutUse(msgspec.Struct, frozen=True):
    """A ready-made layout in a layout of one's own: ``as_`` is put before its names, and ``without`` are positions and
    arrangements that this one lacks."""

    layout: str
    uses: str
    as_: str = ""
    without: tuple[str, ...] = ()


class Layout(msgspec.Struct, frozen=True):
    """One or more axles and the vehicle-level positions: everything in the layout's own order. ``told`` are the figures
    that are shown beside a plan and decide nothing; ``uses`` the ready-made layouts that it is put together from."""

    layout: str
    title: str = ""
    choices: tuple[Choice, ...] = ()
    positions: tuple[Position, ...] = ()
    joints: tuple[Joint, ...] = ()
    figures: tuple[Figure, ...] = ()
    told: tuple[Figure, ...] = ()
    consumables: tuple[Consumable, ...] = ()
    in_the_way: tuple[InTheWay, ...] = ()
    uses: tuple[LayoutUse, ...] = ()
    words: tuple[LayoutWord, ...] = ()
    how_to_measure: tuple[HowToMeasure, ...] = ()
    steps: tuple[Step, ...] = ()
    tightening: tuple[Tightening, ...] = ()
    wear_limits: tuple[WearLimit, ...] = ()

    @property
    def arrangements(self) -> tuple[str, ...]:
        """The names of all arrangements, of whatever choice."""
        return tuple(a for c in self.choices for a in c.arrangements)

    def ways(self) -> Iterator[frozenset[str]]:
        """Every set of arrangements that can hold together: one of each choice."""
        return (frozenset(way) for way in product(*(c.arrangements for c in self.choices)))

    def said(self, arrangements: Collection[str]) -> Several:
        """These arrangements as they are told: those that could have been others, in the order of their choices."""
        chosen = (c for c in self.choices if len(c.arrangements) > 1)
        return Several((a for c in chosen for a in c.arrangements if a in arrangements), "; ")

    def titled(self, arrangement: str) -> str:
        """An arrangement in words: ``disc brakes``, with its name where another has that title too; where it has no
        title, ``the disc arrangement``."""
        titles = {a: t for c in self.choices for a, t in zip(c.arrangements, c.titles, strict=False) if t}
        title = titles.get(arrangement, "")
        if list(titles.values()).count(title) > 1:
            return f"{title} ({arrangement})"
        return title or f"the {arrangement} arrangement"
