"""What must come off so that something else can be reached, and which one-use parts that takes along."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, NamedTuple

from tests.oracle.world import Place, World, places_of

if TYPE_CHECKING:
    from tests.oracle.motion import Motion


class Off(NamedTuple):
    """A place that must come off to reach another, and the joints of it that stay made meanwhile."""

    place: Place
    reached: Place
    leaves: tuple[str, ...]


def ways_of(world: World, own: frozenset[str]) -> list[Off]:
    """All that the layout says of a vehicle with these arrangements, hand by hand.

    Where nothing tells which arrangement of a choice it has, what is so in either is taken to be so, as with joints.
    What is slackened stays where it is.
    """
    return [
        Off(off, reached, row.leaves)
        for row in world.in_the_way
        if not row.slackened and not world.beside(row.arrangement) & own
        for reached in places_of(world.position[row.in_the_way_of])
        for off in places_of(world.position[row.position])
        if off[1] == reached[1] or "" in (off[1], reached[1])
    ]


def off_to_reach(ways: Iterable[Off], here: Collection[Place], goal: Place) -> set[Off]:
    """What comes off to reach a place, and to reach what comes off for it; of what stands there only."""
    ways = [way for way in ways if way.place in here]
    found: set[Off] = set()
    goals = {goal}
    while goals:
        more = {way for way in ways if way.reached in goals} - found
        found |= more
        goals = {way.place for way in more}
    return found


def takes_along(motion: Motion, here: Collection[Place], off: Off, place: Place) -> bool:
    """Whether a one-use part in a place is spent by what comes off: it is that, or at a joint of it that is undone."""
    return place == off.place or any(
        (place[0] in joint.owns and place[1] in (ends[0][1], ends[1][1])) or (place in ends and joint.disturbs)
        for joint, ends in motion.joints_at.get(off.place, [])
        if joint.name not in off.leaves and motion.may_be_made(joint) and set(ends) <= set(here)
    )
