"""Every filling of a small layout, tried one after another: which are consistent, which is best."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import NamedTuple

from tests.oracle.candidates import Candidates
from tests.oracle.motion import Choice, Filling, Request
from tests.oracle.verdict import (
    Result,
    Thing,
    Verdict,
    judge_joint,
    judge_stack,
    known_to_lack,
)
from tests.oracle.world import (
    HANDS,
    Joint,
    Place,
    Position,
    Stack,
    Vehicle,
    World,
    places_of,
)

ARRANGEMENT = "arrangement"
AXLE_RULE = "axle rule"
UNKNOWN = "unknown not allowed"

Ends = tuple[Place, Place]


class Levels(NamedTuple):
    """The order of preference, smaller is better."""

    unsupported: int
    replaced: int
    unproven: int
    not_offered: int
    price: int


@dataclass
class Answer:
    """What is found for a request.

    `best`: the consistent fillings that no other beats, also not by part numbers (more than one
    only where they differ in nothing but "stays" against "the same number new").  `keeping`: the
    levels of the best filling that keeps a place's thing.  `frontier`: levels than which none is
    better in all.
    """

    best: list[Filling] = field(default_factory=list)
    levels: Levels | None = None
    forced_by_fit: frozenset[Place] = frozenset()
    forced_by_known: frozenset[Place] = frozenset()
    frontier: frozenset[Levels] = frozenset()
    keeping: dict[Place, Levels] = field(default_factory=dict)
    consistent: int = 0


class Swap(Candidates):
    """All fillings of one vehicle's layout that meet one request.

    `active`: the sorts of check and rules that count (see `reasons`); None: all of them.
    `also_kept`: places whose thing must be kept although the request does not say so.
    """

    def __init__(
        self,
        world: World,
        vehicle: Vehicle,
        request: Request,
        active: frozenset[str] | None = None,
        also_kept: Iterable[Place] = (),
    ) -> None:
        super().__init__(world, vehicle, request)
        self.active = active
        asked = (place for name in request.keep for place in places_of(world.position[name]))
        self.kept = frozenset((*asked, *also_kept))
        self._options: dict[tuple[Place, str | None], list[Choice | None]] = {}
        self.stacks = [(stack, side) for stack in world.stacks for side in stack_sides(world, stack)]
        self._joint_results: dict[tuple[str, Thing, Thing], Result] = {}
        self._stack_results: dict[object, Result] = {}

    def counts(self, unit: str) -> bool:
        """Whether a sort of check, or a rule, is in force."""
        return self.active is None or unit in self.active

    # ------------------------------------------------------------------------ consistent fillings

    def fillings(self) -> Iterator[Filling]:
        """Every consistent filling that meets the request."""
        options: tuple[str | None, ...] = self.world.arrangements
        if not self.counts(ARRANGEMENT):
            options = (None,)
        for arrangement in options:
            yield from self._extend(Filling(arrangement, {}), list(self.world.places))

    def _extend(self, filling: Filling, rest: list[Place]) -> Iterator[Filling]:
        if not rest:
            if self._whole(filling):
                yield Filling(filling.arrangement, filling)
            return
        place, *others = rest
        for choice in self._options_at(place, filling.arrangement):
            filling[place] = choice
            if self._so_far(filling, place):
                yield from self._extend(filling, others)
            del filling[place]

    def _options_at(self, place: Place, arrangement: str | None) -> list[Choice | None]:
        key = (place, arrangement)
        if key not in self._options:
            self._options[key] = self.options(self.world.position[place[0]], place[1], arrangement)
        return self._options[key]

    def _so_far(self, filling: Filling, place: Place) -> bool:
        """What is settled by the newest choice: the axle rule, and joints of new parts."""
        if self.counts(AXLE_RULE) and place[1] == HANDS[1]:
            numbers = [filling[(place[0], hand)] for hand in HANDS]
            if not self._axle_rule(*numbers):
                return False
        for joint, ends in self.joints_at.get(place, []):
            things = [filling.thing(end) for end in ends]
            one, other = things
            if one is None or other is None or (one.stays and other.stays):
                continue
            if not self._applies(joint, filling):
                continue
            if self.joint_result(joint, one, other).verdict.is_no:
                return False
        return True

    def _axle_rule(self, one: Choice | None, other: Choice | None) -> bool:
        if one is None or other is None:
            return one is other
        return self.same_or_mirror(one.thing.number, other.thing.number)

    def _whole(self, filling: Filling) -> bool:
        """What only a whole filling can show."""
        return (
            self._with_positions(filling)
            and self._sets_whole(filling)
            and self._kept_as_asked(filling)
            and not any(
                choice is not None and choice.thing.stays and self.cannot_stay(filling, place)
                for place, choice in filling.items()
            )
            and not any(result.verdict.is_no for result in self.results(filling))
        )

    def _with_positions(self, filling: Filling) -> bool:
        """A 'with' position is filled exactly when what it goes with is there."""
        for (name, side), choice in filling.items():
            position = self.world.position[name]
            if position.need != "with" or (choice is None and self._left_out(filling, position)):
                continue
            if self._wanted_with(filling, position, side) != (choice is not None):
                return False
        return True

    @staticmethod
    def _left_out(filling: Filling, position: Position) -> bool:
        return position.arrangement not in ("", filling.arrangement)

    def _wanted_with(self, filling: Filling, position: Position, side: str) -> bool:
        other = self.world.position[position.with_position]
        sides = [side if other.level == "corner" else ""]
        if other.level == "corner" and not side:
            sides = list(HANDS)
        things = [filling.thing((other.name, one)) for one in sides]
        return any(
            thing is not None
            and (not position.lacking_feature or known_to_lack(self.world, thing, position.lacking_feature))
            for thing in things
        )

    def _sets_whole(self, filling: Filling) -> bool:
        """A set fills all of its places at its corner (or axle), or none."""
        for one in self.world.sets:
            across = any(member.side for member in one.members)
            for hands in [HANDS] if across else [(hand,) for hand in HANDS]:
                wanted = [
                    place
                    for member in one.members
                    for place in places_of(self.world.position[member.position])
                    if place[1] in ((member.side,) if member.side else (*hands, ""))
                ]
                used = [choice is not None and choice.set_number == one.number for choice in map(filling.get, wanted)]
                if any(used) and not all(used):
                    return False
        return True

    def _kept_as_asked(self, filling: Filling) -> bool:
        return all(place in self.there and self.keeps(filling, place) for place in self.kept)

    # --------------------------------------------------------------------------------- its checks

    def joint_result(self, joint: Joint, one: Thing, other: Thing) -> Result:
        """The verdict of a joint, remembered."""
        key = (joint.name, one, other)
        if key not in self._joint_results:
            self._joint_results[key] = judge_joint(self.world, joint, one, other)
        return self._joint_results[key]

    def _applies(self, check: Joint | Stack, filling: Filling) -> bool:
        held = check.arrangement in ("", filling.arrangement)
        return held and self.counts(check.name)

    def results(self, filling: Filling) -> list[Result]:
        """Every check in force that the filling is judged by."""
        return [*self.joint_results(filling).values(), *self.stack_results(filling).values()]

    def joint_results(self, filling: Filling) -> dict[tuple[str, Ends], Result]:
        """Joints by name and ends, without those between two things left as they are."""
        found = {}
        for joint, ends in self.joints:
            one, other = (filling.thing(end) for end in ends)
            if one is None or other is None or not self._applies(joint, filling):
                continue
            if one.stays and other.stays and not self.undone(filling, joint, ends):
                continue
            found[(joint.name, ends)] = self.joint_result(joint, one, other)
        return found

    def stack_results(self, filling: Filling) -> dict[tuple[str, str], Result]:
        """Stacks by name and side, without those whose things are all left as they are."""
        found = {}
        for stack, side in self.stacks:
            if not self._applies(stack, filling):
                continue
            places = stack_places(self.world, stack, side)
            things = {place[0]: thing for place in places if (thing := filling.thing(place)) is not None}
            if not things or self._untouched(filling, places):
                continue
            stated = any(self._states(filling.get(place), stack) for place in places)
            key = (stack.name, tuple(sorted(things.items(), key=lambda kv: kv[0])), stated)
            if key not in self._stack_results:
                self._stack_results[key] = judge_stack(self.world, stack, things, stated)
            found[(stack.name, side)] = self._stack_results[key]
        return found

    def _states(self, choice: Choice | None, stack: Stack) -> bool:
        if choice is None or not choice.set_number:
            return False
        return stack.name in self.world.set_named[choice.set_number].states

    def _untouched(self, filling: Filling, places: list[Place]) -> bool:
        if any(self.goes(filling, place) for place in places):
            return False
        filled = [place for place in places if filling.get(place) is not None]
        if any(place not in self.there for place in filled):
            return False
        moving = [place for place in filled if self.moves(filling, place)]
        if not moving:
            return True
        return len(moving) == len(filled) and all(self.together(filling, a, b) for a, b in combinations(moving, 2))

    # ---------------------------------------------------------------------------------- preference

    def replaced(self, filling: Filling) -> int:
        """Positions that are new, or whose thing goes, and that cost something."""
        new = sum(place not in self.there and choice is not None for place, choice in filling.items())
        gone = [
            place
            for place in self.there
            if self.goes(filling, place)
            and not self.freed(filling, place)
            and not self.is_due(place)
            and not self.pressed_out(filling, place)
        ]
        one_use = [place for place in gone if self.one_use(place)]
        return new + len(gone) - len(one_use) + self._one_use_paid(filling, one_use)

    def freed(self, filling: Filling, place: Place) -> bool:
        """Emptied by the layout: by its arrangement, or because what it goes with is gone."""
        position = self.world.position[place[0]]
        by_layout = self._left_out(filling, position) or position.need == "with"
        return filling.get(place) is None and by_layout

    def _one_use_paid(self, filling: Filling, places: list[Place]) -> int:
        """The fewest one-use parts that must be counted so that each other one has a cause."""
        for size in range(len(places) + 1):
            for counted in combinations(places, size):
                if self._grounded(filling, set(counted)).issuperset(places):
                    return size
        raise AssertionError("counting every one of them is always enough")

    def _grounded(self, filling: Filling, counted: set[Place]) -> set[Place]:
        """What goes or moves at the end of a chain of causes.

        A chain ends in a part that is due, counted, freed by the layout, or not one-use.
        """
        found = {
            place
            for place in self.there
            if self.goes(filling, place)
            and (
                place in counted
                or self.is_due(place)
                or self.freed(filling, place)
                or not (self.one_use(place) or self.pressed_out(filling, place))
            )
        }
        growing = True
        while growing:
            more = {p for p in self.there if p not in found and self._why(filling, p) & found}
            found |= more
            growing = bool(more)
        return found

    def _why(self, filling: Filling, place: Place) -> set[Place]:
        """Other places because of which a thing moves, is pressed out or is disturbed."""
        if self.moves(filling, place):
            return self.lost_carriers(filling, place)
        found = self.causes(filling, place) if self.one_use(place) else set()
        carrier = self.carrier(place)
        if carrier is not None and self.pressed_out(filling, place):
            found = found | {carrier}
        return found

    def order(self, filling: Filling) -> dict[str, int]:
        """What is bought: part or set numbers with their quantities."""
        lines: dict[str, int] = {}
        whole_axle: set[str] = set()
        corners: set[tuple[str, str]] = set()
        for (name, side), choice in filling.items():
            if choice is None or choice.thing.stays:
                continue
            number = choice.thing.number
            if not choice.set_number:
                lines[number] = lines.get(number, 0) + self.world.position[name].quantity
                continue
            if any(member.side for member in self.world.set_named[number].members):
                whole_axle.add(number)
            else:
                corners.add((number, side))
        for number in [*whole_axle, *(number for number, _ in corners)]:
            lines[number] = lines.get(number, 0) + 1
        return lines

    def levels(self, filling: Filling) -> Levels:
        """How good a consistent filling is."""
        results = self.results(filling)
        unsupported = sum(result.unsupported for result in results)
        unproven = sum(result.verdict is not Verdict.FITS for result in results) - unsupported
        prices: dict[str, int] = {}
        for offer in self.world.offers:
            prices[offer.part] = min(offer.price, prices.get(offer.part, offer.price))
        lines = self.order(filling)
        return Levels(
            unsupported,
            self.replaced(filling),
            unproven,
            sum(number not in prices for number in lines),
            sum(prices.get(number, 0) * count for number, count in lines.items()),
        )

    def numbers(self, filling: Filling) -> tuple[tuple[bool, str], ...]:
        """The part numbers in the layout's order of positions; an empty one comes last."""
        return tuple(
            (True, "") if choice is None else (False, choice.thing.number)
            for choice in (filling[place] for place in self.world.places)
        )

    def answer(self) -> Answer:
        """The best plan, and what every plan changes."""
        answer = Answer()
        best_key: tuple[Levels, tuple[tuple[bool, str], ...]] | None = None
        seen: set[Levels] = set()
        for filling in self.fillings():
            answer.consistent += 1
            levels = self.levels(filling)
            seen.add(levels)
            key = (levels, self.numbers(filling))
            if best_key is None or key < best_key:
                best_key, answer.best = key, [filling]
            elif key == best_key:
                answer.best.append(filling)
            for place in self.there:
                if self.keeps(filling, place):
                    answer.keeping[place] = min(levels, answer.keeping.get(place, levels))
        if best_key is None:
            return answer
        answer.levels = best_key[0]
        answer.forced_by_fit = frozenset(place for place in self.there if place not in answer.keeping)
        answer.forced_by_known = frozenset(
            place for place, levels in answer.keeping.items() if levels.unsupported > best_key[0].unsupported
        )
        answer.frontier = frozenset(one for one in seen if not any(_no_worse(other, one) for other in seen - {one}))
        return answer


def _no_worse(one: Levels, other: Levels) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))


def stack_sides(world: World, stack: Stack) -> tuple[str, ...]:
    """The hands of a stack that has a corner position in it, else the vehicle's blank."""
    corner = any(world.position[term.position].level == "corner" for term in stack.terms)
    return HANDS if corner else ("",)


def stack_places(world: World, stack: Stack, side: str) -> list[Place]:
    """The places of a stack, each once, in its order."""
    return list(
        dict.fromkeys(
            (term.position, side if world.position[term.position].level == "corner" else "") for term in stack.terms
        )
    )
