"""Random parts of a layout's types, with what sources say of their features, and sets of them."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from tests.oracle.layouts import CHAIN, FORMS, HOLE, PEG, PIN, SOURCES, TWINS, LayoutMaker
from tests.oracle.switches import SET_JOINTS, TO_BE_FOUND
from tests.oracle.world import HANDS, Cell, Dimension, Joint, Mark, Member, Part, PartSet, Position, Row, Size, Thread

SET = "SET-1"


@dataclass
class CatalogueMaker(LayoutMaker):
    """Makes the parts of a layout; what is made so far is in its fields."""

    parts: list[Part] = field(default_factory=list)
    family: dict[str, int] = field(default_factory=dict)
    rows: list[Row] = field(default_factory=list)
    sets: list[PartSet] = field(default_factory=list)
    family_of_set: int = 0
    threads: dict[tuple[str, str], Thread] = field(default_factory=dict)

    def catalogue(self) -> None:
        """Parts of each type with their features, and sets."""
        for position in self.positions:
            for number in range(1, 2 + self.choose.below(3)):
                self.part(position, number)
        if self.may_have(TO_BE_FOUND, 25):
            self.none_accepted(self.pick(self.positions[1:]))
        if self.chance(45):
            self.part_set()

    def none_accepted(self, position: Position) -> None:
        """Of one type no accepted part is recorded, or no part at all."""
        ours = [p for p in self.parts if p.part_type == position.part_type]
        self.parts = [p for p in self.parts if p not in ours]
        if self.chance(60):
            self.parts += [replace(p, accepted=False) for p in ours]
        else:
            named = {p.number for p in ours}
            self.rows = [row for row in self.rows if row.owner not in named]

    def part(self, position: Position, number: int) -> None:
        """A part for both hands, or a pair of mirrored ones."""
        name, family = f"{position.name.upper()}-{number}", (number + 1) % 2
        one_use = self.chance(85 if position.name in (PIN, *CHAIN) else 30)
        if position.level == "corner" and self.chance(20):
            left, right = f"{name}L", f"{name}R"
            self.parts.append(Part(left, position.part_type, "left", one_use, right))
            self.parts.append(Part(right, position.part_type, "right", one_use, left, left))
            self.family[left] = self.family[right] = family
            self.features(left, position, family)
        else:
            self.parts.append(Part(name, position.part_type, "either", one_use, accepted=not self.chance(4)))
            self.family[name] = family
            self.features(name, position, family)

    def features_of(self, position: Position) -> list[tuple[str, str]]:
        """Feature and kind of every place where the position's parts meet others."""
        found = []
        for joint in self.joints:
            if joint.position == position.name:
                found.append((joint.feature, PEG.name))
            if joint.other_position == position.name:
                found.append((joint.other_feature, HOLE.name))
        return found

    def features(self, owner: str, position: Position, family: int) -> None:
        """What sources say of the owner's features."""
        for feature, kind in self.features_of(position):
            if self.chance(6):
                continue
            source = self.pick_source()
            self.statement(owner, feature, kind, family, source)
            if self.chance(20):
                second = TWINS.get(source, source) if self.chance(60) else self.pick_source()
                other = 1 - family if self.chance(25) else family
                self.statement(owner, feature, kind, other, second)
        if any(p.lacking_feature and p.with_position == position.name for p in self.positions):
            said = self.choose.below(4)
            if said < 2:
                cell: Cell = Mark.ABSENT if said else Size(20, 20)
                self.add_row(owner, "valve", PEG.name, {"teeth": cell}, SOURCES[0].name)

    def pick_source(self) -> str:
        """Mostly the drawing."""
        return SOURCES[0].name if self.chance(60) else self.pick(SOURCES).name

    def statement(self, owner: str, feature: str, kind: str, family: int, source: str) -> None:
        """One row of a feature table."""
        if self.chance(4):
            return self.add_row(owner, feature, kind, {"width": Mark.ABSENT}, source)
        cells: dict[str, Cell] = {}
        for dimension in self.dimensions:
            cell = self.cell(dimension, family)
            if isinstance(cell, Thread):  # whoever speaks of it says the same
                cell = self.threads.setdefault((owner, feature), cell)
            if cell is not None:
                cells[dimension.name] = cell
        if cells:
            self.add_row(owner, feature, kind, cells, source)
        return None

    def add_row(self, owner: str, feature: str, kind: str, cells: dict[str, Cell], source: str) -> None:
        """Record it, unless the same source has spoken of the feature already."""
        if not any((r.owner, r.feature, r.source) == (owner, feature, source) for r in self.rows):
            self.rows.append(Row(owner, feature, kind, tuple(cells.items()), source))

    def cell(self, dimension: Dimension, family: int) -> Cell | None:
        """A size near the family's, or nothing, or a question mark."""
        luck = self.choose.below(100)
        if luck >= 93:
            return None
        if luck >= 90:
            return Mark.UNSURE
        if self.chance(12):
            family = 1 - family
        if dimension.datatype == "code":
            return FORMS[family]
        if dimension.datatype == "thread":
            return Thread(self.pick(("", "RH", "", "LH")))
        if dimension.datatype == "count":
            return Size(20 + family, 20 + family)
        value = 10 + 2 * family + self.choose.below(4) // 3
        if self.chance(45):
            return Size(value, value + 1)
        return Size(value, value, nominal=True)

    def part_set(self) -> None:
        """A set for a corner, or for both hands of an axle."""
        corner = [p for p in self.positions if p.level == "corner"]
        first = self.pick(corner)
        chosen = [
            p
            for p in corner
            if p is first or ((p.arrangement == first.arrangement or self.several) and self.chance(50))
        ]
        sides = HANDS if self.chance(35) else ("",)
        family = 1 - self.choose.below(4) // 3
        number = SET
        self.family_of_set = family
        members = []
        for position in chosen:
            like = [
                part.number
                for part in self.parts
                if part.part_type == position.part_type and self.family[part.number] == family
            ]
            as_part = self.pick(like) if like and self.chance(60) else ""
            members += [Member(position.name, side, as_part) for side in sides]
            if not as_part:
                self.features(f"{number}/{position.name}", position, family)
        states = tuple(stack.name for stack in self.stacks if self.chance(50))
        filled = {member.position for member in members}
        states += tuple(
            joint.name
            for joint in self.joints
            if {joint.position, joint.other_position} <= filled and self.may_have(SET_JOINTS, 60)
        )
        self.sets.append(PartSet(number, tuple(members), states))
        for joint in self.joints:
            if joint.name in states and self.chance(60):
                self.unmeasured(joint, {member.as_part for member in members})

    def unmeasured(self, joint: Joint, parts: set[str]) -> None:
        """Of a joint that the set states, the sizes at one end are not recorded."""
        position, feature = self.pick(((joint.position, joint.feature), (joint.other_position, joint.other_feature)))
        owners = {f"{SET}/{position}", *parts}
        self.rows = [row for row in self.rows if row.owner not in owners or row.feature != feature]
