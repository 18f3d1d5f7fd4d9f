"""Every consistent filling of a small layout, tried one after another, and the checks on each."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import combinations

from tests.oracle.candidates import Candidates, is_to_be_found
from tests.oracle.known import Thing, known_to_lack
from tests.oracle.motion import Choice, Ends, Filling, Motion, Request
from tests.oracle.verdict import Result, judge_joint, judge_stack, lowest_sum
from tests.oracle.world import HANDS, Joint, PartSet, Place, Position, Stack, Vehicle, Window, World, places_of

ARRANGEMENT = "arrangement"
AXLE_RULE = "axle rule"
UNKNOWN = "unknown not allowed"


class Consistent(Candidates):
    """The consistent fillings of one vehicle's layout that meet one request.

    `active`: the sorts of check and rules that count (see `reasons`); None: all of them.
    `also_kept`: places whose thing must be kept although the request does not say so.  `most_unsupported`: fillings
    with more checks that are not known without even a claim may be passed over.
    """

    def __init__(
        self,
        world: World,
        vehicle: Vehicle,
        request: Request,
        active: frozenset[str] | None = None,
        also_kept: Iterable[Place] = (),
        most_unsupported: int | None = None,
    ) -> None:
        super().__init__(world, vehicle, request)
        self.active = active
        self.most_unsupported = most_unsupported
        self.others_empty = self.counts(ARRANGEMENT)
        asked = (place for name in request.keep for place in places_of(world.position[name]))
        self.kept = frozenset((*asked, *also_kept))
        self._options: dict[tuple[Place, frozenset[str]], list[Choice | None]] = {}
        self.stacks = [(stack, side) for stack in world.stacks for side in stack_sides(world, stack)]
        self._joint_results: dict[tuple[str, Thing, Thing, bool], Result] = {}
        self._stack_results: dict[object, Result] = {}
        self._stacks_at: dict[Place, list[tuple[Stack, str, list[Place]]]] = {}
        for stack, side in self.stacks:
            places = stack_places(world, stack, side)
            for place in places:
                self._stacks_at.setdefault(place, []).append((stack, side, places))
        self._renewing: dict[Place, set[Place]] = {}
        for thing, cause in self._causes_of_renewal():
            self._renewing.setdefault(thing, set()).add(cause)
        self._set_places = [(one.number, places) for one in world.sets for places in set_places(world, one)]

    def counts(self, unit: str) -> bool:
        """Whether a sort of check, or a rule, is in force."""
        return self.active is None or unit in self.active

    # ------------------------------------------------------------------------ consistent fillings

    def fillings(self) -> Iterator[Filling]:
        """Every consistent filling that meets the request."""
        for way in self.world.ways:
            if not any(self.world.beside(only) & way for only in self.request.arrangements):
                yield from self._extend(Filling(way, {}), list(self.world.places), 0)

    def _extend(self, filling: Filling, rest: list[Place], unsupported: int) -> Iterator[Filling]:
        if not rest:
            whole = Filling(filling.arrangements, filling)
            if self._whole(whole):
                yield whole
            return
        place, *others = rest
        for choice in self._options_at(place, filling.arrangements):
            filling[place] = choice
            if self._so_far(filling, place):
                new = (*self._newly_judged(filling, place), *self._newly_summed(filling, place))
                more = unsupported + sum(result.unsupported for result in new)
                if self.most_unsupported is None or more <= self.most_unsupported:
                    yield from self._extend(filling, others, more)
            del filling[place]

    def _options_at(self, place: Place, arrangements: frozenset[str]) -> list[Choice | None]:
        key = (place, arrangements)
        if key not in self._options:
            self._options[key] = self.options(self.world.position[place[0]], place[1], arrangements)
        return self._options[key]

    def _so_far(self, filling: Filling, place: Place) -> bool:
        """What is settled by the newest choice: the axle rule, and joints of new parts."""
        if self.counts(AXLE_RULE) and place[1] == HANDS[1]:
            numbers = [self._number_on_axle(filling, (place[0], hand)) for hand in HANDS]
            if not self._axle_rule(*numbers):
                return False
        if not self._sets_agree(filling, place) or not self._with_agrees(filling, place):
            return False
        if self._outstays(filling, place):
            return False
        judged = (*self._newly_judged(filling, place), *self._newly_summed(filling, place))
        return not any(result.verdict.is_no for result in judged)

    def _newly_judged(self, filling: Filling, place: Place) -> Iterator[Result]:
        """The joints of the newest choice with earlier ones, but for those between things that may stay untouched."""
        for joint, ends in self.joints_at.get(place, []):
            one, other = (filling.thing(end) for end in ends)
            if one is None or other is None or (one.stays and other.stays):
                continue
            if self._applies(joint, filling):
                yield self._on_joint(filling, joint, ends)

    def _causes_of_renewal(self) -> Iterator[tuple[Place, Place]]:
        """Things of the vehicle, each with another by whose going alone it must be renewed."""
        for place in self.there:
            carrier = self.carrier(place)
            if self.world.position[place[0]].pressed_in and carrier is not None:
                yield place, carrier
            for joint, ends in self.joints if self.one_use(place) else ():
                owned = place[0] in joint.owns and place[1] in (ends[0][1], ends[1][1])
                there = self.may_be_made(joint) and all(end in self.there for end in ends)
                if there and (owned or (place in ends and joint.disturbs)):
                    yield from ((place, end) for end in ends if end != place)

    def _outstays(self, filling: Filling, place: Place) -> bool:
        """Whether the newest choice lets a thing stay, or another go, so that it stays though it must be renewed."""
        thing = filling.thing(place)
        if thing is not None and thing.stays:
            return any(one in filling and self._goes(filling, one) for one in self._renewing.get(place, ()))
        return self._goes(filling, place) and any(
            place in causes and one in filling and not self._goes(filling, one)
            for one, causes in self._renewing.items()
        )

    def _goes(self, filling: Filling, place: Place) -> bool:
        thing = filling.thing(place)
        return place in self.there and not (thing is not None and thing.stays)

    def _newly_summed(self, filling: Filling, place: Place) -> Iterator[Result]:
        """The stacks that the newest choice settles, where something in them is sure to be new or to go."""
        for stack, side, places in self._stacks_at.get(place, []):
            settled = all(one in filling for one in places) and self._applies(stack, filling)
            if settled and any(self._is_changed(filling, one) for one in places):
                result = self._on_stack(filling, stack, side)
                if result is not None:
                    yield result

    def _is_changed(self, filling: Filling, place: Place) -> bool:
        thing = filling.thing(place)
        return not thing.stays if thing is not None else place in self.there

    def _number_on_axle(self, filling: Filling, place: Place) -> str | None:
        """The number for the axle rule; something not recorded counts as what the vehicle has on the other hand."""
        thing = filling.thing(place)
        if thing is None or thing.number:
            return None if thing is None else thing.number
        other = (place[0], HANDS[1 - HANDS.index(place[1])])
        return self.there[other].number if other in self.there else ""

    def _axle_rule(self, one: str | None, other: str | None) -> bool:
        if one is None or other is None:
            return one is other
        return self.same_or_mirror(one, other)

    def _whole(self, filling: Filling) -> bool:
        """What only a whole filling can show."""
        return (
            all(self._with_agrees(filling, place) for place in filling)
            and self._kept_as_asked(filling)
            and self.after(filling).renewed <= self.after(filling).gone
            and not any(result.verdict.is_no for result in self.results(filling))
        )

    def _with_agrees(self, filling: Filling, place: Place) -> bool:
        """A 'with' position is filled exactly when what it goes with is there (if that is settled)."""
        position, choice = self.world.position[place[0]], filling[place]
        if position.need != "with" or (choice is None and self._left_out(filling, position)):
            return True
        others = self.goes_with(position, place[1])
        return not all(other in filling for other in others) or (
            any(self._is_wanted_with(filling, position, other) for other in others) == (choice is not None)
        )

    @staticmethod
    def _left_out(filling: Filling, position: Position) -> bool:
        return position.arrangement not in ("", *filling.arrangements)

    def _is_wanted_with(self, filling: Filling, position: Position, other: Place) -> bool:
        thing = filling.thing(other)
        lacking = position.lacking_feature
        return thing is not None and (not lacking or known_to_lack(self.world, thing, lacking))

    def _sets_agree(self, filling: Filling, place: Place) -> bool:
        """A set fills all of its places at its corner (or axle), or none, as far as these are settled."""
        for number, places in self._set_places:
            if place in places:
                settled = [filling[one] for one in places if one in filling]
                used = {choice is not None and choice.set_number == number for choice in settled}
                if len(used) > 1:
                    return False
        return True

    def _kept_as_asked(self, filling: Filling) -> bool:
        return all(self.keeps(filling, place) for place in self.kept)

    # --------------------------------------------------------------------------------- its checks

    def joint_result(self, joint: Joint, one: Thing, other: Thing, stated: bool = False) -> Result:
        """The verdict of a joint, remembered."""
        key = (joint.name, one, other, stated)
        if key not in self._joint_results:
            self._joint_results[key] = judge_joint(self.world, joint, one, other, stated)
        return self._joint_results[key]

    def _applies(self, check: Joint | Stack, filling: Filling) -> bool:
        held = check.arrangement in ("", *filling.arrangements)
        return held and self.counts(check.name)

    def results(self, filling: Filling) -> list[Result]:
        """Every check in force that the filling is judged by."""
        return [*self.joint_results(filling).values(), *self.stack_results(filling).values()]

    def joint_results(self, filling: Filling) -> dict[tuple[str, Ends], Result]:
        """Joints by name and ends, without those between two things left as they are."""
        found = {}
        effects = self.after(filling)
        for joint, ends in self.joints:
            one, other = (filling.thing(end) for end in ends)
            if one is None or other is None or not self._applies(joint, filling):
                continue
            if one.stays and other.stays and not effects.apart(ends):
                continue
            found[(joint.name, ends)] = self._on_joint(filling, joint, ends)
        return found

    def _on_joint(self, filling: Filling, joint: Joint, ends: Ends) -> Result:
        """The verdict of a joint in a filling.

        Beside something not recorded it counts in level (1) only where it would with every part that may be put there:
        to leave what nobody recorded must cost nothing extra.
        """
        pair = [filling[end] for end in ends]
        assert pair[0] is not None
        assert pair[1] is not None
        result = self._between(joint, pair[0], pair[1])
        for place, choice in zip(ends, pair, strict=True):
            if result.unsupported and choice is not None and not choice.thing.number:
                rest = [c for c in self.candidates(self.world.position[place[0]], place[1]) if c.thing.number]
                pairs = ((pair[0], c) if choice is pair[1] else (c, pair[1]) for c in rest)
                if not all(one.verdict.is_no or one.unsupported for one in (self._between(joint, *p) for p in pairs)):
                    return Result(result.verdict, only_kept_sizes=True)
        return result

    def _between(self, joint: Joint, one: Choice, other: Choice) -> Result:
        stated = one.set_number == other.set_number and self._states(one, joint)
        return self.joint_result(joint, one.thing, other.thing, stated)

    def stack_results(self, filling: Filling) -> dict[tuple[str, str], Result]:
        """Stacks by name and side, without those whose things are all left as they are."""
        found = {}
        for stack, side in self.stacks:
            if not self._applies(stack, filling):
                continue
            if self._untouched(filling, stack_places(self.world, stack, side)):
                continue
            result = self._on_stack(filling, stack, side)
            if result is not None:
                found[(stack.name, side)] = result
        return found

    def _on_stack(self, filling: Filling, stack: Stack, side: str) -> Result | None:
        """The verdict of a stack on what stands in its places; None where nothing does."""
        places = stack_places(self.world, stack, side)
        things = {place[0]: thing for place in places if (thing := filling.thing(place)) is not None}
        if not things:
            return None
        stated = any(self._states(filling.get(place), stack) for place in places)
        stated = stated and not any(is_to_be_found(thing) for thing in things.values())
        key = (stack.name, side, tuple(sorted(things.items(), key=lambda kv: kv[0])), stated)
        if key not in self._stack_results:
            self._stack_results[key] = judge_stack(self.world, self._limited(stack, side), things, stated)
        return self._stack_results[key]

    def _limited(self, stack: Stack, side: str) -> Stack:
        """The stack with its lower limit, where that is what the vehicle as made has; `unlimited` if nobody knows."""
        if not stack.as_made:
            return stack
        model = self.vehicle if self.vehicle.as_made else self.world.vehicle.get(self.vehicle.made_as)
        made = Motion(self.world, model, Request()).there if model is not None else None
        things = {} if made is None else {p[0]: made[p] for p in stack_places(self.world, stack, side) if p in made}
        low = None if made is None else lowest_sum(self.world, stack, things)
        return replace(stack, window=Window(low, stack.window.high), unlimited=low is None)

    def _states(self, choice: Choice | None, check: Stack | Joint) -> bool:
        if choice is None or not choice.set_number:
            return False
        return check.name in self.world.set_named[choice.set_number].states

    def _untouched(self, filling: Filling, places: list[Place]) -> bool:
        effects = self.after(filling)
        filled = {place for place in places if filling.get(place) is not None}
        if effects.gone & set(places) or not filled <= effects.here:
            return False
        moving = filled & effects.moving
        return not moving or (moving == filled and all(effects.together(a, b) for a, b in combinations(moving, 2)))


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


def set_places(world: World, one: PartSet) -> list[tuple[Place, ...]]:
    """The places that one set fills together: a group for each corner, or one for the axle."""
    across = any(member.side for member in one.members)
    return [
        tuple(
            place
            for member in one.members
            for place in places_of(world.position[member.position])
            if place[1] in ((member.side,) if member.side else (*hands, ""))
        )
        for hands in ([HANDS] if across else [(hand,) for hand in HANDS])
    ]
