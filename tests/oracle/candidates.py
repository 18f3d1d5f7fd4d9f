"""What may stand in a place, as far as the place alone and the request decide it."""

from __future__ import annotations

from tests.oracle.known import Thing, beliefs_in_feature, sized
from tests.oracle.motion import Choice, Motion, Property
from tests.oracle.verdict import in_window
from tests.oracle.world import Part, Place, Position, Size, Value, Window


class Candidates(Motion):
    """One vehicle, one request, and the choices for each place.

    `kept`: the places whose thing must be kept: those of the request, and more on demand.
    `others_empty`: the positions of the arrangements that do not hold are empty, as the rule is.
    """

    kept: frozenset[Place] = frozenset()
    others_empty: bool = True

    def candidates(self, position: Position, side: str) -> list[Choice]:
        """What may stand in a place: what is there, new parts of its type, members of sets."""
        found = []
        if (position.name, side) in self.there:
            found.append(Choice(self.there[(position.name, side)]))
            fitted = self.fitted[(position.name, side)].item
            found += [
                Choice(self.item(one.name, (position.name, side)), worked=True)
                for one in self.world.items
                if fitted and one.work_on == fitted
            ]
        if (position.name, side) in self.perhaps:
            found.append(Choice(self.perhaps[(position.name, side)]))
        found += [
            Choice(Thing(part.number, (self.drawing(part.number),)))
            for part in self.world.parts
            if part.part_type == position.part_type and _hand_allows(part, side)
        ]
        if position.need != "optional" and not self.any_accepted(position):
            found.append(Choice(to_be_found(position)))
        place = (position.name, side)
        found += [
            Choice(self.member(one, place), one.number)
            for one in self.world.sets
            if any(member.position == position.name and member.side in ("", side) for member in one.members)
        ]
        return [choice for choice in found if choice.thing.stays or self._usable(choice.thing.number)]

    def any_accepted(self, position: Position) -> bool:
        """Whether any accepted part of the position's type is recorded at all, or a set that fills the position."""
        sold = any(member.position == position.name for one in self.world.sets for member in one.members)
        return sold or any(part.part_type == position.part_type and part.accepted for part in self.world.parts)

    def _usable(self, number: str) -> bool:
        """Not to be avoided, and accepted or asked for by its number."""
        part = self.world.part.get(number)
        asked = any(self.same_or_mirror(number, wanted) for _, wanted in self.request.wants)
        return number not in self.request.avoid and (part is None or part.accepted or asked)

    def options(self, position: Position, side: str, arrangements: frozenset[str]) -> list[Choice | None]:
        """Candidates that the request allows, and emptiness where that is possible at all."""
        outside = position.arrangement not in ("", *arrangements)
        filled: list[Choice] = []
        if not (outside and self.others_empty):
            filled = [c for c in self.candidates(position, side) if self._allowed(position, side, c)]
        asked = {name for name, _ in self.request.wants} | {one.position for one in self.request.properties}
        may_be_empty = outside or position.need != "needed"
        must_not = position.name in asked or (position.name, side) in self.kept
        return [*filled, *([None] if may_be_empty and not must_not else [])]

    def _allowed(self, position: Position, side: str, choice: Choice) -> bool:
        """Meets the request as far as this place alone goes."""
        number = choice.thing.number
        for name, part in self.request.wants:
            if name == position.name and not self.same_or_mirror(number, part):
                return False
        for wanted in self.request.properties:
            if wanted.position == position.name and not self._has(choice.thing, wanted):
                return False
        place = (position.name, side)
        if choice.thing.stays:
            return not self.is_due(place)
        if place in self.kept:
            return place in self.there and number == self.there[place].number
        return True

    def _has(self, thing: Thing, wanted: Property) -> bool:
        """Some feature has the dimension, and all that is believed of it lies in the window."""
        return any(
            beliefs_in_feature(self.world, thing, feature) == (True,)
            and _inside(sized(self.world, thing, feature, wanted.dimension).statements, wanted.window)
            for owner, feature in self.world.rows_of
            if owner in thing.records
        )

    def same_or_mirror(self, one: str, other: str) -> bool:
        """Two numbers that the axle rule takes as one."""
        if one == other:
            return True
        parts = self.world.part
        return (one in parts and parts[one].mirror_of == other != "") or (
            other in parts and parts[other].mirror_of == one != ""
        )


TO_BE_FOUND = " yet to be found"


def to_be_found(position: Position) -> Thing:
    """A part that nobody has recorded yet, of which no size is known."""
    number = position.part_type + TO_BE_FOUND
    return Thing(number, (number,))


def is_to_be_found(thing: Thing) -> bool:
    """Whether it is a part that nobody has recorded yet."""
    return thing.number.endswith(TO_BE_FOUND)


def _hand_allows(part: Part, side: str) -> bool:
    return part.hand == "either" or part.hand == side


def _inside(statements: tuple[Value, ...], window: Window) -> bool:
    return bool(statements) and all(
        isinstance(size, Size) and in_window(size.low, size.high, window) is True for size in statements
    )
