"""Fillings of a layout, and what one undoes: what goes, what moves, what must be renewed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import NamedTuple

from tests.oracle.known import Thing, known_to_lack
from tests.oracle.reach import off_to_reach, takes_along, ways_of
from tests.oracle.world import HANDS, Fitting, Item, Joint, PartSet, Place, Position, Vehicle, Window, World, places_of

Ends = tuple[Place, Place]
"""The two places that a joint stands between."""


class Property(NamedTuple):
    """A dimension asked for, on any feature: the recorded size must lie wholly in the window."""

    position: str
    dimension: str
    window: Window


@dataclass(frozen=True)
class Request:
    """What the user wants of a vehicle.

    `prefer`: names of levels that come before the others but the first; `arrangements`: the only ones of their choices
    that may hold.
    """

    wants: tuple[tuple[str, str], ...] = ()
    properties: tuple[Property, ...] = ()
    keep: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    renew: tuple[str, ...] = ()
    prefer: tuple[str, ...] = ()
    arrangements: tuple[str, ...] = ()


class Choice(NamedTuple):
    """What a filling puts in a place; `set_number` when it comes in a set, `worked` when it stays after work."""

    thing: Thing
    set_number: str = ""
    worked: bool = False


class Filling(dict[Place, Choice | None]):
    """What stands in each place, under one arrangement of each choice."""

    def __init__(self, arrangements: frozenset[str], at: dict[Place, Choice | None]) -> None:
        super().__init__(at)
        self.arrangements = arrangements
        self.effects: Effects | None = None

    def thing(self, place: Place) -> Thing | None:
        """The thing in a place."""
        choice = self.get(place)
        return None if choice is None else choice.thing


class Motion:
    """One vehicle, one request, and what a filling does to the things that are there."""

    def __init__(self, world: World, vehicle: Vehicle, request: Request) -> None:
        self.world = world
        self.vehicle = vehicle
        self.request = request
        self.fitted: dict[Place, Fitting] = {}
        for fitting in vehicle.fittings:
            for place in places_of(world.position[fitting.position]):
                if not fitting.side or fitting.side == place[1]:
                    self.fitted[place] = fitting
        self.there = {place: self._thing_there(place, one) for place, one in self.fitted.items()}
        self.own = self._own_arrangements()
        self.perhaps: dict[Place, Thing] = {}
        self.nothing_recorded()
        self.joints = [(joint, ends) for joint in world.joints for ends in joint_places(world, joint)]
        self.ways = ways_of(world, self.own)
        self._effects: dict[tuple[frozenset[Place], ...], Effects] = {}
        self.joints_at: dict[Place, list[tuple[Joint, Ends]]] = {}
        for joint, ends in self.joints:
            for end in ends:
                self.joints_at.setdefault(end, []).append((joint, ends))

    def _thing_there(self, place: Place, fitting: Fitting) -> Thing:
        for item in self.world.items:
            if not fitting.item and item.read_at == (self.vehicle.name, *place) and _number(item) == fitting.part:
                return self.item(item.name, place)
        if fitting.part in self.world.set_named and not fitting.item:
            return replace(self.member(self.world.set_named[fitting.part], place), stays=True)
        if not fitting.item:
            return Thing(fitting.part, (self.drawing(fitting.part),), stays=True)
        return self.item(fitting.item, place)

    def _own_arrangements(self) -> frozenset[str]:
        """Of each choice the arrangement that the vehicle has: as it says, else as what is recorded on it shows."""
        shown = {self.world.position[name].arrangement for name, _ in self.fitted}
        found: set[str] = set()
        for choice in self.world.choices:
            seen = shown & set(choice.arrangements)
            found |= set(self.vehicle.arrangements) & set(choice.arrangements) or (seen if len(seen) == 1 else set())
        return frozenset(found)

    def nothing_recorded(self) -> None:
        """A position that the vehicle needs and of which no fitting speaks holds something, nobody recorded what.

        Needed: always, or with something that stands there.  Something not recorded may be what another is needed with.
        Where nothing tells which arrangement of a choice the vehicle has, it may be each: what is needed in some only
        is `perhaps` there.  A plan that takes one of these may leave it; where a plan does not, nothing goes.
        """
        needed = [self._needed_in(way) for way in self.world.ways if self.own <= way]
        for place in self.world.places:
            if any(place in one for one in needed):
                thing = Thing("", (" ".join(("something not recorded:", *place)),), stays=True)
                if all(place in one for one in needed):
                    self.fitted[place], self.there[place] = Fitting(*place), thing
                else:
                    self.perhaps[place] = thing

    def _needed_in(self, way: frozenset[str]) -> set[Place]:
        """The places of which no fitting speaks and that hold something where these arrangements do."""
        found: set[Place] = set()
        growing = True
        while growing:
            more = {
                place
                for place in self.world.places
                if place not in self.there and place not in found
                if self.world.position[place[0]].arrangement in ("", *way)
                and self._called_for(self.world.position[place[0]], place[1], found)
            }
            found |= more
            growing = bool(more)
        return found

    def _called_for(self, position: Position, side: str, blank: set[Place]) -> bool:
        """Whether the vehicle as it stands, with something not recorded in `blank`, needs something in the position."""
        if position.need != "with":
            return position.need == "needed"
        lacking = position.lacking_feature
        return any(
            known_to_lack(self.world, self.there[other], lacking) if lacking else other in blank or other in self.there
            for other in self.goes_with(position, side)
            if not lacking or other in self.there
        )

    def goes_with(self, position: Position, side: str) -> list[Place]:
        """The places of its 'with position': of the same corner, or both where it has no corner."""
        places = places_of(self.world.position[position.with_position])
        return [place for place in places if not side or place[1] in ("", side)]

    def is_recorded(self, place: Place) -> bool:
        """Whether the records say what stands there."""
        return bool(self.there[place].number)

    def item(self, name: str, place: Place) -> Thing:
        """A particular thing; where it has no number it is known by its own name.

        One that is a member of a set has the sizes of that member; it says which, or stands where the set has it.
        """
        number, before = self.world.item[name].part, self.world.item[name].work_on
        drawing = (self.drawing(number),) if number else ()
        set_number, *member = number.split("/")
        if set_number in self.world.set_named and not before:
            own = self.member(self.world.set_named[set_number], (member[0] if member else place[0], place[1]))
            return Thing(set_number, (name, *own.records), stays=True, as_part=own.as_part)
        if before:
            own = self.there_as(before)
            return Thing(own.number, (name, *own.records), stays=True, as_part=own.as_part, reworked=True)
        return Thing(number or name, (name, *drawing), stays=True)

    def there_as(self, item: str) -> Thing:
        """The item as it stands on the vehicle."""
        return next(self.there[place] for place, fitting in self.fitted.items() if fitting.item == item)

    def member(self, one: PartSet, place: Place) -> Thing:
        """What a new set puts into a place."""
        member = next(m for m in one.members if m.position == place[0] and m.side in ("", place[1]))
        records = self.drawing(member.as_part) if member.as_part else f"{one.number}/{place[0]}"
        return Thing(one.number, (records,), as_part=member.as_part)

    def drawing(self, number: str) -> str:
        """The part whose drawing a number shares."""
        part = self.world.part.get(number)
        return part.drawn_as if part is not None and part.drawn_as else number

    # ------------------------------------------------------------- what goes, moves, is undone

    def is_due(self, place: Place) -> bool:
        """Due on the vehicle, or asked to be renewed."""
        due = place in self.fitted and self.fitted[place].condition == "due"
        return due or place[0] in self.request.renew

    def carrier(self, place: Place) -> Place | None:
        """The place that this one hangs on."""
        name = self.world.position[place[0]].carried_by
        if not name:
            return None
        return (name, place[1] if self.world.position[name].level == "corner" else "")

    def one_use(self, place: Place) -> bool:
        """The vehicle's thing there is a one-use part."""
        thing = self.there[place]
        part = self.world.part.get(thing.as_part or thing.number)
        return part is not None and part.one_use

    def may_be_made(self, joint: Joint) -> bool:
        """Whether the joint may exist on the vehicle as it stands: nothing tells that another arrangement does."""
        return not self.world.beside(joint.arrangement) & self.own

    def after(self, filling: Filling) -> Effects:
        """What a whole filling does to the vehicle's things; the same for all that take and add the same."""
        if filling.effects is None:
            gone = frozenset(
                place for place in self.there if (thing := filling.thing(place)) is None or not thing.stays
            )
            left = frozenset(place for place in self.perhaps if (thing := filling.thing(place)) and thing.stays)
            reached = {way.reached for way in self.ways}
            new = frozenset(place for place in reached - self.there.keys() - left if filling.get(place) is not None)
            if (gone, left, new) not in self._effects:
                self._effects[gone, left, new] = Effects(self, gone, left, new)
            filling.effects = self._effects[gone, left, new]
        return filling.effects

    def keeps(self, filling: Filling, place: Place) -> bool:
        """The thing stays or, where it must be renewed, the same number is fitted."""
        choice = filling.get(place)
        if choice is None:
            return False
        if choice.thing.stays:
            return True
        return self.same_again(choice, place) and place in self.after(filling).renewed

    def renews_needlessly(self, filling: Filling) -> bool:
        """Whether a thing that could stay gives way to another one of its own number: no other plan."""
        return any(
            choice is not None and place in self.there and self.same_again(choice, place)
            for place, choice in filling.items()
            if place not in self.after(filling).renewed
        )

    def same_again(self, choice: Choice, place: Place) -> bool:
        """The same number, and another thing."""
        same = place in self.there and choice.thing.number == self.there[place].number
        return same and not choice.thing.stays


class Effects:
    """What it does to the other things that the things in the places `gone` go.

    `new`: places that held nothing, get something, and that something may be in the way of.
    `here`: the places that hold something of the vehicle before, with what a plan leaves of what is perhaps there.
    `lost`: for each place the carriers, direct or not, that go.  `moving`: what stays and hangs on
    a lost carrier.  `undone`: joints by name and ends.  `causes`: for each place the other places
    whose going or moving undoes a joint of it, or one that owns it; its lost carriers undo its joints
    with what does not hang on them.  `pressed_out`: pressed into a
    carrier that goes.  `off`: comes off to reach something.  `reached`: for each place with a one-use part the other
    places that go or are new and for whose sake something comes off that takes it along.
    `renewed`: what cannot stay although nothing speaks against its number.
    """

    def __init__(self, motion: Motion, gone: frozenset[Place], left: frozenset[Place], new: frozenset[Place]) -> None:
        self.motion = motion
        self.gone = gone
        self.new = new
        self.here = {*motion.there, *left}
        self.lost = {place: self._lost(place) for place in motion.world.places}
        self.moving = {place for place in self.here if place not in gone and self.lost[place]}
        self.undone = {(joint.name, ends) for joint, ends in motion.joints if self._undone(joint, ends)}
        self.causes = {place: self._causes(place) for place in self.here}
        self.pressed_out = {place for place in self.here if self.presses_out(place)}
        offs = {goal: off_to_reach(motion.ways, self.here, goal) for goal in (*gone, *new)}
        self.off = {one.place for found in offs.values() for one in found}
        self.reached = {
            place: {
                goal
                for goal, found in offs.items()
                if goal != place and any(takes_along(motion, self.here, one, place) for one in found)
            }
            for place in motion.there
            if motion.one_use(place)
        }
        disturbed = {place for place, goals in self.reached.items() if goals or self.causes[place]}
        due = {place for place in self.here if motion.is_due(place)}
        self.renewed = due | self.pressed_out | disturbed

    def _lost(self, place: Place) -> set[Place]:
        found, carrier = set(), self.motion.carrier(place)
        while carrier is not None:
            if carrier in self.gone:
                found.add(carrier)
            carrier = self.motion.carrier(carrier)
        return found

    def together(self, one: Place, other: Place) -> bool:
        """Both move, and with the same lost carrier."""
        return {one, other} <= self.moving and bool(self.lost[one] & self.lost[other])

    def _undone(self, joint: Joint, ends: Ends) -> bool:
        """The vehicle may have it, and it is taken apart."""
        return self.motion.may_be_made(joint) and self.here.issuperset(ends) and self.apart(ends)

    def apart(self, ends: Ends) -> bool:
        """Either of two things goes or moves, unless both move together."""
        return not self.together(*ends) and any(end in self.gone or end in self.moving for end in ends)

    def _causes(self, place: Place) -> set[Place]:
        found: set[Place] = set()
        for joint, ends in self.motion.joints:
            owned = place[0] in joint.owns and place[1] in (ends[0][1], ends[1][1])
            if not (owned or (place in ends and joint.disturbs)) or (joint.name, ends) not in self.undone:
                continue
            one, other = ends
            for end, opposite in ((one, other), (other, one)):
                if end != place and self._undoes(end, opposite):
                    found.add(end)
                if end == place:
                    found |= self.taken_along(end, opposite)
        return found

    def taken_along(self, end: Place, opposite: Place) -> set[Place]:
        """The lost carriers that take an end away from what does not hang on them, whether that goes or not."""
        return set() if self.lost[end] & self.lost[opposite] else self.lost[end]

    def _undoes(self, end: Place, opposite: Place) -> bool:
        """Goes, or moves on a lost carrier that the opposite end does not hang on."""
        return end in self.gone or (end in self.moving and not self.lost[end] & self.lost[opposite])

    def presses_out(self, place: Place) -> bool:
        """Whether what stands in a place is pressed into a carrier that goes."""
        pressed = self.motion.world.position[place[0]].pressed_in
        return pressed and self.motion.carrier(place) in self.gone


def _number(item: Item) -> str:
    """Its part number; of a set's member the set's."""
    return item.part.split("/")[0]


def joint_places(world: World, joint: Joint) -> list[Ends]:
    """The places that a joint stands between: one pair a hand, or one for the vehicle."""
    names = (joint.position, joint.other_position)
    corner = [world.position[name].level == "corner" for name in names]
    sides = HANDS if any(corner) else ("",)
    return [
        (
            (names[0], side if corner[0] else ""),
            (names[1], side if corner[1] else ""),
        )
        for side in sides
    ]
