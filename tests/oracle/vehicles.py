"""Random vehicles: models as made, and one as found, with what was read on it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from tests.oracle.catalogue import SET, CatalogueMaker
from tests.oracle.layouts import BENCH, SOURCES
from tests.oracle.switches import NOT_RECORDED, READ_IN_PLACE, SAME_NUMBER, SET_ITEMS
from tests.oracle.world import HANDS, Fitting, Item, Position, Vehicle


@dataclass
class VehicleMaker(CatalogueMaker):
    """Makes the vehicles of a layout and its parts; what is made so far is in its fields."""

    items: list[Item] = field(default_factory=list)
    vehicles: list[Vehicle] = field(default_factory=list)

    def all_vehicles(self) -> None:
        """A model as made of each family, and one vehicle as found."""
        for name, family in (("model a", 0), ("model b", 1)):
            held = tuple(choice.arrangements[family % len(choice.arrangements)] for choice in self.choices)
            self.vehicles.append(Vehicle(name, held, tuple(self.as_made(held, family)), as_made=True))
        made = self.mixed() if self.several and self.chance(30) else self.vehicles[0]
        with_a_set = bool(self.sets) and (self.chance(20) or self.may_have(SET_ITEMS, 30))
        fitted = self.with_a_set(made.fittings) if with_a_set else made.fittings
        found = tuple(fitting for one in fitted for fitting in self.as_found(one))
        like = made.name if self.chance(30) and made in self.vehicles else ""
        if self.may_have(NOT_RECORDED, 40):
            found, like = self.with_gaps(found), ""
        if self.may_have(SAME_NUMBER, 30):
            self.vehicles.append(self.another(made))
        said = made.arrangements
        if self.may_be_untold and self.chance(50):
            said = tuple(name for name in said if self.chance(30))
            found, like = self.without_what_shows(found), ""
        self.vehicles.append(Vehicle("found", said, found, made_as=made.name, like=like))

    def mixed(self) -> Vehicle:
        """A vehicle of the first model, but for one choice as the other model is."""
        held = tuple(choice.arrangements[-(choice is self.choices[0])] for choice in self.choices)
        return replace(self.vehicles[0], arrangements=held, fittings=tuple(self.as_made(held, 0)))

    def without_what_shows(self, fittings: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
        """Now and then the fittings without those that show which arrangement of a choice the vehicle has."""
        arrangement = {p.name: p.arrangement for p in self.positions}
        for choice in self.choices:
            if self.chance(50):
                fittings = tuple(f for f in fittings if arrangement[f.position] not in choice.arrangements)
        return fittings

    def as_made(self, arrangements: tuple[str, ...], family: int) -> list[Fitting]:
        """Parts of one family in every position of the arrangements."""
        fitted: list[Fitting] = []
        for position in self.positions:
            if position.arrangement not in ("", *arrangements):
                continue
            if position.need != "needed" and self.chance(35):
                continue
            options = [p for p in self.parts if p.part_type == position.part_type]
            options = [p for p in options if self.family[p.number] == family] or options
            if not options:
                continue
            part = self.pick(options)
            if part.hand == "either":
                fitted.append(Fitting(position.name, "", part.number))
            else:
                fitted += [Fitting(position.name, hand, f"{part.number[:-1]}{hand[0].upper()}") for hand in HANDS]
        return fitted

    def with_a_set(self, fittings: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
        """The fittings with the members of a set in all of its positions."""
        one = self.sets[0]
        positions = {member.position for member in one.members}
        if not positions <= {fitting.position for fitting in fittings}:
            return fittings
        others = tuple(fitting for fitting in fittings if fitting.position not in positions)
        return (*others, *(Fitting(position, "", one.number) for position in sorted(positions)))

    def with_gaps(self, fittings: tuple[Fitting, ...]) -> tuple[Fitting, ...]:
        """The fittings without one or two of them, or without one hand of them."""
        needed = {p.name: p.level for p in self.positions if p.need != "optional"}
        for _ in range(1 + self.choose.below(2)):
            bare = [f for f in fittings if f.position in needed and not f.item]
            if not bare:
                break
            lost = self.pick(bare)
            both = not lost.side and needed[lost.position] == "corner" and self.chance(50)
            half = (replace(lost, side=self.pick(HANDS)),) if both else ()
            fittings = (*(f for f in fittings if f is not lost), *half)
        return fittings

    def another(self, made: Vehicle) -> Vehicle:
        """Another vehicle of that model, whose things were read too, and are unlike ours."""
        found: list[Fitting] = []
        for one in made.fittings:
            position = next(p for p in self.positions if p.name == one.position)
            family = 1 - self.family[one.part]
            found += self.measured(one, position, "sound", family, "theirs") if self.chance(60) else [one]
        return Vehicle("other", made.arrangements, tuple(found), made_as=made.name)

    def as_found(self, made: Fitting) -> list[Fitting]:
        """What a survey finds there: due, measured, or another part on one hand."""
        condition = self.pick(("sound",) * 6 + ("due", "unknown"))
        if made.position == self.due:
            condition = "due"
        position = next(p for p in self.positions if p.name == made.position)
        others = [p.number for p in self.parts if p.part_type == position.part_type and p.hand == "either"]
        if others and self.chance(8) and not made.side and position.level == "corner":
            return [
                Fitting(made.position, "left", made.part, condition=condition),
                Fitting(made.position, "right", self.pick(others), condition=condition),
            ]
        if self.chance(25) and made.part in self.family:
            return self.measured(made, position, condition, self.family[made.part], "ours")
        if made.part == SET and self.may_have(SET_ITEMS, 70):
            return self.measured(made, position, condition, self.family_of_set, "ours")
        if made.side:
            return [Fitting(made.position, made.side, made.part, condition=condition)]
        return [Fitting(made.position, "", made.part, condition=condition)]

    def measured(self, made: Fitting, position: Position, condition: str, family: int, whose: str) -> list[Fitting]:
        """The same part as a particular item with readings, on each hand."""
        sides: tuple[str, ...] = (made.side,)
        if not made.side and position.level == "corner":
            sides = HANDS
        found = []
        for side in sides:
            name = f"{whose} {position.name} {side}".strip()
            item = Item(name, "" if self.chance(6) else self.number(made, side))
            for feature, kind in self.features_of(position):
                if self.chance(70):
                    self.statement(name, feature, kind, family, self.reader())
                    if self.chance(10):
                        self.statement(name, feature, kind, family, BENCH[1].name)
            if item.part and self.may_have(READ_IN_PLACE, 50):
                vehicle = "found" if whose == "ours" else "other"
                self.items.append(replace(item, read_at=(vehicle, position.name, side)))
                found.append(Fitting(made.position, side, made.part, condition=condition))
                continue
            self.items.append(item)
            found.append(Fitting(made.position, side, made.part if item.part else "", name, condition))
            if made.part != SET and self.chance(12):
                self.after_work(item, position, family)
        return found

    def number(self, made: Fitting, side: str) -> str:
        """The number by which an item is named; of a set's member that of the set, or of the member itself."""
        if made.part != SET or self.chance(40):
            return made.part
        own_side = any(member.side for member in self.sets[0].members)
        return "/".join([SET, made.position, *([side] if own_side else [])])

    def reader(self) -> str:
        """Who speaks of a particular thing: mostly who read it, now and then one who was only told."""
        return self.pick(SOURCES).name if self.chance(25) else BENCH[0].name

    def after_work(self, item: Item, position: Position, family: int) -> None:
        """What the item is once something is done to it."""
        worked = Item(f"{item.name} worked", item.part, item.name)
        for feature, kind in self.features_of(position):
            if self.chance(70):
                self.statement(worked.name, feature, kind, 1 - family if self.chance(50) else family, self.reader())
        self.items.append(worked)
