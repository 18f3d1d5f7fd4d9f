"""Which positions are left out where some parts are given, and what that leaves of a verdict."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from tests.oracle.known import Thing, known_to_lack
from tests.oracle.verdict import Verdict
from tests.oracle.world import Position, World


def left_out(world: World, things: Mapping[str, Thing], empty: Collection[str] = ()) -> list[str]:
    """Of three or more given things: each needed position not given that stands between at least two of them.

    It does where it has joints with two of them, or is a term of a stack with two of them, or has a joint with one and
    a stack with another.  Positions of an arrangement that the things rule out are not needed.
    """
    if len(things) < 3:
        return []
    held = {world.position[name].arrangement for name in things} - {""}
    return [
        position.name
        for position in world.positions
        if position.name not in things and position.name not in empty
        if called_for(world, position, things, held) and len(_meets(world, position.name, set(things), held)) > 1
    ]


def called_for(world: World, position: Position, things: Mapping[str, Thing], held: set[str]) -> bool:
    """Whether something else must stand, or may have to, in a position beside the things given."""
    if not may_hold(world, position.arrangement, held):
        return False
    if position.need != "with":
        return position.need == "needed"
    partner, other = things.get(position.with_position), world.position[position.with_position]
    lacking = position.lacking_feature
    if partner is not None and (not lacking or known_to_lack(world, partner, lacking)):
        return True
    on_another = partner is None or (position.level == "vehicle" and world.part[partner.number].hand != "either")
    held_too = may_hold(world, other.arrangement, held)
    return on_another and other.need == "needed" and held_too  # what stands there, or on the other hand, may call


def _meets(world: World, name: str, given: set[str], held: set[str]) -> set[str]:
    """The given positions that a position has a joint or a stack with."""
    found: set[str] = set()
    for joint in world.joints:
        ends = {joint.position, joint.other_position}
        if name in ends and may_hold(world, joint.arrangement, held):
            found |= ends & given
    for stack in world.stacks:
        terms = {term.position for term in stack.terms}
        if name in terms and may_hold(world, stack.arrangement, held):
            found |= terms & given
    return found


def may_hold(world: World, arrangement: str, held: set[str]) -> bool:
    """Whether the things given, of positions in the arrangements `held`, leave an arrangement open, or all."""
    return arrangement in held or not world.beside(arrangement) & held


def capped(verdicts: Collection[Verdict], somewhat_left_out: bool, somewhat_empty: bool) -> Verdict:
    """The worst of the verdicts; at best not known where something is left out, a no where a needed place is empty."""
    more = [Verdict.NOT_KNOWN] * somewhat_left_out + [Verdict.DO_NOT_USE] * somewhat_empty
    return min([*verdicts, *more])
