"""A kit held against the best plan given the kit, tried out over every consistent filling."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from typing import TYPE_CHECKING

from knockon.graph.model.catalogue import UnknownNameError
from knockon.queries.plan.kit import KitAnswer, check_kit
from tests.oracle.candidates import TO_BE_FOUND
from tests.oracle.fillings import stack_places
from tests.oracle.generate import Case
from tests.oracle.known import Thing, believed, known_to_lack, sized
from tests.oracle.motion import Filling
from tests.oracle.plan import Swap
from tests.oracle.world import Joint, Thread

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

USED = ("usable", "unproven")


def kit_of(case: Case, seed: int) -> dict[str, int]:
    """Some part and set numbers of the world, with how many of each; the same for the same seed."""
    random = Random(seed)
    numbers = [part.number for part in case.world.parts] + [one.number for one in case.world.sets]
    return {n: random.randint(1, 4) for n in random.sample(numbers, min(len(numbers), random.randint(1, 6)))}


class KitSwap(Swap):
    """A swap for somebody who has a kit."""

    held: dict[str, int]

    def _usable(self, number: str) -> bool:
        """What is in the kit is taken as asked for, unless it is to be avoided."""
        in_kit = number in self.held and number not in self.request.avoid
        return in_kit or super()._usable(number)

    def has_use_for(self, thing: Thing) -> bool:
        """What is in the kit is there to be used, also where nobody recorded what stands in its place."""
        return thing.stays or thing.number in self.held

    def given_the_kit(self, filling: Filling) -> tuple[int, int, int]:
        """Checks open for want of sizes of parts from elsewhere; kit parts not used; lines short. Less is better."""
        lines = self.bought(filling)
        used = sum(min(count, self.held.get(number, 0)) for number, count in lines.items())
        short = sum(count > self.held.get(number, 0) for number, count in lines.items())
        return self._from_elsewhere(filling), -used, short

    def _from_elsewhere(self, filling: Filling) -> int:
        joints = {joint.name: joint for joint in self.world.joints}
        found = 0
        for (name, ends), result in self.joint_results(filling).items():
            things = [thing for end in ends if (thing := filling.thing(end)) is not None]
            found += result.unsupported and any(self._lacks_at(joints[name], things, i) for i in (0, 1))
        for stack, side in self.stacks:
            if (stack.name, side) not in self.stack_results(filling):
                continue
            at = {place[0]: filling.thing(place) for place in stack_places(self.world, stack, side)}
            found += any(
                thing is not None and self._is_from_elsewhere(thing) and self._unsized(thing, t.feature, t.dimension)
                for t in stack.terms
                for thing in (at[t.position],)
            )
        return found

    def _is_from_elsewhere(self, thing: Thing) -> bool:
        return not thing.stays and thing.number not in self.held

    def _lacks_at(self, joint: Joint, things: list[Thing], role: int) -> bool:
        """Whether a required size of a part from elsewhere is not recorded."""
        feature = (joint.feature, joint.other_feature)[role]
        terms = [t for c in self.world.rule[joint.rule].conditions if c.need == "required" for t in c.terms]
        other = (joint.other_feature, joint.feature)[role]
        return self._is_from_elsewhere(things[role]) and any(
            self._unsized(things[role], feature, term.dimension)
            or (
                believed(self.world, things[role], feature, term.dimension).usual
                and Thread("LH") in sized(self.world, things[1 - role], other, term.dimension).statements
            )
            for term in terms
            if term.role == role
        )

    def _unsized(self, thing: Thing, feature: str, dimension: str) -> bool:
        """Not known to be absent, and of no recorded size."""
        known = believed(self.world, thing, feature, dimension).statements
        return not known and not known_to_lack(self.world, thing, feature)


def kit_differences(case: Case, catalogue: Catalogue, seed: int, kit: dict[str, int] | None = None) -> Iterator[str]:
    """Where the order given a kit (else one by the seed) differs, or what becomes of the kit's parts."""
    world, vehicle, request = case
    request = replace(request, prefer=(), arrangements=())
    swap = KitSwap(world, vehicle, request)
    swap.held = kit_of(case, seed) if kit is None else kit
    found = list(swap.fillings())
    fillings = swap.plans(found)
    try:
        theirs = _asked(case, catalogue, swap.held)
    except UnknownNameError as error:  # a wish for a size that is recorded of nothing there
        if fillings or not request.properties:
            yield f"kit {swap.held}: ours {len(fillings)} fillings, theirs {error}"
        return
    if not fillings or theirs.none is not None:
        if fillings or theirs.none is None:
            yield f"kit {swap.held}: ours {len(fillings)} fillings, theirs {theirs.none}"
        return
    best = min((*swap.given_the_kit(one), *swap.levels(one)) for one in fillings)
    orders = [Counter(swap.bought(one)) for one in fillings if (*swap.given_the_kit(one), *swap.levels(one)) == best]
    ordered: Counter[str] = Counter()
    for group in theirs.groups:
        for line, _ in group.lines:
            ordered[line.number or line.name + TO_BE_FOUND] += line.quantity
    if +ordered not in orders:
        yield f"kit {swap.held}: ours {best} {orders}, theirs {ordered}"
        return
    possible = {c.thing.number for one in found for c in one.values() if c is not None}
    for told in _parts_differ(theirs, ordered, possible):
        yield f"kit {swap.held}: {told}"


def _parts_differ(theirs: KitAnswer, ordered: Counter[str], possible: set[str]) -> Iterator[str]:
    """What is said of the kit's parts, against the order and the numbers that stand in any consistent filling."""
    for part in theirs.parts:
        if (part.status in USED) != (part.number in +ordered):
            yield f"{part.number} is {part.status}, ordered {ordered}"
        if part.status == "surplus" and part.number not in possible:
            yield f"{part.number} is in no filling, theirs {part.status}"
        if part.over != max(0, part.quantity - ordered[part.number]):
            yield f"{part.number} over {part.over}, ordered {ordered}"


def _asked(case: Case, catalogue: Catalogue, held: dict[str, int]) -> KitAnswer:
    request = case.request
    wants = [f"{position}={part}" for position, part in request.wants]
    wants += [f"{one.position}.{one.dimension}>={one.window.low} mm" for one in request.properties]
    return check_kit(
        catalogue,
        ", ".join(f"{number} x{count}" for number, count in held.items()) + ",",
        case.vehicle.name,
        want=wants,
        keep=request.keep,
        avoid=request.avoid,
        renew=request.renew,
    )
