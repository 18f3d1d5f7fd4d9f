"""Fillings of a layout, and what one undoes: what goes, what moves, what must be renewed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tests.oracle.verdict import Thing
from tests.oracle.world import HANDS, Fitting, Joint, Place, Vehicle, Window, World, places_of


class Property(NamedTuple):
    """A dimension asked for, on any feature: the recorded size must lie wholly in the window."""

    position: str
    dimension: str
    window: Window


@dataclass(frozen=True)
class Request:
    """What the user wants of a vehicle."""

    wants: tuple[tuple[str, str], ...] = ()
    properties: tuple[Property, ...] = ()
    keep: tuple[str, ...] = ()
    avoid: tuple[str, ...] = ()
    renew: tuple[str, ...] = ()


class Choice(NamedTuple):
    """What a filling puts in a place; `set_number` when it comes in a set."""

    thing: Thing
    set_number: str = ""


class Filling(dict[Place, Choice | None]):
    """What stands in each place, under one arrangement (None: while that rule is not in force)."""

    def __init__(self, arrangement: str | None, at: dict[Place, Choice | None]) -> None:
        super().__init__(at)
        self.arrangement = arrangement

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
        self.there = {place: self._thing_there(one) for place, one in self.fitted.items()}
        self.joints = [(joint, ends) for joint in world.joints for ends in joint_places(world, joint)]
        self.joints_at: dict[Place, list[tuple[Joint, tuple[Place, Place]]]] = {}
        for joint, ends in self.joints:
            for end in ends:
                self.joints_at.setdefault(end, []).append((joint, ends))

    def _thing_there(self, fitting: Fitting) -> Thing:
        if not fitting.item:
            return Thing(fitting.part, (self.drawing(fitting.part),), stays=True)
        number = self.world.item[fitting.item].part
        drawing = (self.drawing(number),) if number else ()
        return Thing(number, (fitting.item, *drawing), stays=True)

    def drawing(self, number: str) -> str:
        """The part whose drawing a number shares."""
        part = self.world.part.get(number)
        return part.drawn_as if part is not None and part.drawn_as else number

    # ------------------------------------------------------------- what goes, moves, is undone

    def is_due(self, place: Place) -> bool:
        """Due on the vehicle, or asked to be renewed."""
        return self.fitted[place].condition == "due" or place[0] in self.request.renew

    def goes(self, filling: Filling, place: Place) -> bool:
        """The vehicle's thing leaves this place."""
        if place not in self.there:
            return False
        choice = filling.get(place)
        return choice is None or not choice.thing.stays

    def carrier(self, place: Place) -> Place | None:
        """The place that this one hangs on."""
        name = self.world.position[place[0]].carried_by
        if not name:
            return None
        return (name, place[1] if self.world.position[name].level == "corner" else "")

    def lost_carriers(self, filling: Filling, place: Place) -> set[Place]:
        """The places it hangs on, directly or not, whose thing goes."""
        found, carrier = set(), self.carrier(place)
        while carrier is not None:
            if self.goes(filling, carrier):
                found.add(carrier)
            carrier = self.carrier(carrier)
        return found

    def moves(self, filling: Filling, place: Place) -> bool:
        """The thing stays on the vehicle and comes off with a carrier that goes."""
        stays = place in self.there and not self.goes(filling, place)
        return stays and bool(self.lost_carriers(filling, place))

    def together(self, filling: Filling, one: Place, other: Place) -> bool:
        """Both move, and with the same lost carrier."""
        if not (self.moves(filling, one) and self.moves(filling, other)):
            return False
        return bool(self.lost_carriers(filling, one) & self.lost_carriers(filling, other))

    def made_in_vehicle(self, joint: Joint, ends: tuple[Place, Place]) -> bool:
        """Whether the joint exists on the vehicle as it stands."""
        arrangement = joint.arrangement in ("", self.vehicle.arrangement)
        return arrangement and all(end in self.there for end in ends)

    def undone(self, filling: Filling, joint: Joint, ends: tuple[Place, Place]) -> bool:
        """Either of its parts goes or moves, unless both move together."""
        if not self.made_in_vehicle(joint, ends) or self.together(filling, *ends):
            return False
        return any(self.goes(filling, end) or self.moves(filling, end) for end in ends)

    def causes(self, filling: Filling, place: Place) -> set[Place]:
        """Other places whose going or moving undoes a joint of this one, or one that owns it."""
        found: set[Place] = set()
        for joint, ends in self.joints:
            owned = place[0] in joint.owns and place[1] in (ends[0][1], ends[1][1])
            if not (owned or place in ends) or not self.undone(filling, joint, ends):
                continue
            one, other = ends
            found |= {
                end
                for end, opposite in ((one, other), (other, one))
                if end != place and self._undoes(filling, end, opposite)
            }
        return found

    def _undoes(self, filling: Filling, end: Place, opposite: Place) -> bool:
        """Goes, or moves on a lost carrier that the opposite end does not hang on."""
        if self.goes(filling, end):
            return True
        lost = self.lost_carriers(filling, end)
        return self.moves(filling, end) and not lost & self.lost_carriers(filling, opposite)

    def pressed_out(self, filling: Filling, place: Place) -> bool:
        """Pressed into a carrier that goes."""
        carrier = self.carrier(place)
        pressed = self.world.position[place[0]].pressed_in
        return pressed and carrier is not None and self.goes(filling, carrier)

    def one_use(self, place: Place) -> bool:
        """The vehicle's thing there is a one-use part."""
        part = self.world.part.get(self.there[place].number)
        return part is not None and part.one_use

    def must_renew(self, filling: Filling, place: Place) -> bool:
        """The thing there cannot stay although nothing speaks against its number."""
        if self.is_due(place) or self.pressed_out(filling, place):
            return True
        return self.one_use(place) and bool(self.causes(filling, place))

    def cannot_stay(self, filling: Filling, place: Place) -> bool:
        """A thing that a filling lets stay, and that must be renewed."""
        own_joint_undone = any(self.undone(filling, joint, ends) for joint, ends in self.joints_at.get(place, []))
        return self.must_renew(filling, place) or (self.one_use(place) and own_joint_undone)

    def keeps(self, filling: Filling, place: Place) -> bool:
        """The thing stays or, where it must be renewed, the same number is fitted."""
        choice = filling.get(place)
        if choice is None:
            return False
        if choice.thing.stays:
            return True
        same = choice.thing.number == self.there[place].number and not choice.set_number
        return same and self.must_renew(filling, place)


def joint_places(world: World, joint: Joint) -> list[tuple[Place, Place]]:
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
