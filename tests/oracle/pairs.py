"""Do some parts go together: two parts, or three and more with what is left out between them, asked twice."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product
from random import Random
from typing import TYPE_CHECKING

from knockon.queries.fits.fits import FitsAnswer, judge_parts
from tests.oracle.engine import WORDS
from tests.oracle.known import Thing
from tests.oracle.left_out import called_for, capped, left_out, may_hold
from tests.oracle.verdict import Verdict, judge_joint, judge_stack
from tests.oracle.world import HANDS, Part, Position, World

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

VERDICTS = {word: verdict for verdict, word in WORDS.items()}


def pairs(world: World) -> Iterator[tuple[Position, Part, Position, Part]]:
    """Every two parts of positions that some joint joins and that can be on the same hand."""
    joined = dict.fromkeys((joint.position, joint.other_position) for joint in world.joints)
    for names in joined:
        first, second = (world.position[name] for name in names)
        of_first = [part for part in world.parts if part.part_type == first.part_type]
        of_second = [part for part in world.parts if part.part_type == second.part_type]
        for one, other in product(of_first, of_second):
            if {one.hand, other.hand} != {"left", "right"} and _at_home(first, one) and _at_home(second, other):
                yield first, one, second, other


def _at_home(position: Position, part: Part) -> bool:
    return position.level == "corner" or part.hand == "either"


def pair_differences(world: World, catalogue: Catalogue, most: int | None = None) -> Iterator[str]:
    """Where the verdicts on two new parts differ: each joint, and each stack of these two positions.

    `most`: how many pairs, taken from the whole list at even steps; all of them if None.
    """
    found = list(pairs(world))
    step = 1 if most is None else max(1, len(found) // most)
    for first, one, second, other in found[::step]:
        theirs = judge_parts(catalogue, [one.number, other.number])
        things = {first.name: _new(one), second.name: _new(other)}
        yield from _joints_differ(world, things, theirs)
        yield from _stacks_differ(world, things, theirs)


# ---------------------------------------------------------------------------- three parts and more


def some_differences(world: World, catalogue: Catalogue, seed: int, most: int = 6) -> Iterator[str]:
    """Where the verdict on three parts or four differs, or what is left out, now and then with an empty position."""
    random = Random(seed)
    for _ in range(most):
        things = _given(world, random)
        if len(things) < 3:
            continue
        between = left_out(world, things)
        empty = tuple(name for name in between if random.random() < 0.4)
        theirs = judge_parts(catalogue, [thing.number for thing in things.values()], empty=empty)
        ours = {name for name in between if name not in empty}
        if ours != {one.position for one in theirs.left_out}:
            yield f"{theirs.parts} empty {empty}: left out: ours {ours}, theirs {theirs.left_out}"
        if set(empty) != {one.position for one in theirs.empty}:
            yield f"{theirs.parts} empty {empty}: theirs {theirs.empty}"
        yield from _joints_differ(world, things, theirs)
        yield from _stacks_differ(world, things, theirs, empty)
        said = [Verdict(VERDICTS[str(one.verdict)]) for one in (*theirs.joints, *theirs.figures)]
        if not (theirs.joints or any(one.is_no for one in said) or _sums_of_several(world, things, theirs)):
            said = []  # what one part says of itself is no answer about several
        worst = WORDS[capped(said, bool(ours), bool(empty))] if said or between else None
        if worst != (None if theirs.verdict is None else str(theirs.verdict)):
            yield f"{theirs.parts} empty {empty}: ours {worst}, theirs {theirs.verdict}"


def _sums_of_several(world: World, things: dict[str, Thing], theirs: FitsAnswer) -> bool:
    """Whether some sum that was judged has terms of two of the parts."""
    judged = {one.check for one in theirs.figures}
    return any(
        stack.name in judged and len({term.position for term in stack.terms} & set(things)) > 1
        for stack in world.stacks
    )


def _given(world: World, random: Random) -> dict[str, Thing]:
    """Parts for three or four positions that can stand on one hand and under one arrangement."""
    hand, held = random.choice(HANDS), [random.choice(choice.arrangements) for choice in world.choices]
    places = [p for p in world.positions if p.arrangement in ("", *held)]
    found = {}
    for position in random.sample(places, min(len(places), random.choice((3, 3, 4)))):
        fitting = [
            part
            for part in world.parts
            if part.part_type == position.part_type and part.hand in ("either", hand) and _at_home(position, part)
        ]
        if fitting:
            found[position.name] = _new(random.choice(fitting))
    return found


# ----------------------------------------------------------------------------- their joints and stacks


def _new(part: Part) -> Thing:
    return Thing(part.number, (part.drawn_as or part.number,))


def _joints_differ(world: World, things: dict[str, Thing], theirs: FitsAnswer) -> Iterator[str]:
    held = {world.position[name].arrangement for name in things} - {""}
    ours = {
        joint.name: WORDS[judge_joint(world, joint, things[joint.position], things[joint.other_position]).verdict]
        for joint in world.joints
        if joint.position in things and joint.other_position in things
        if may_hold(world, joint.arrangement, held)
    }
    said = {evidence.check: str(evidence.verdict) for evidence in theirs.joints}
    if ours != said:
        yield f"{theirs.parts}: ours {ours}, theirs {said}"


def _stacks_differ(
    world: World, things: dict[str, Thing], theirs: FitsAnswer, empty: tuple[str, ...] = ()
) -> Iterator[str]:
    said = {evidence.check: str(evidence.verdict) for evidence in theirs.figures}
    not_judged = {one.figure for one in theirs.not_judged}
    held = {world.position[name].arrangement for name in things} - {""}
    for stack in world.stacks:
        names = {term.position for term in stack.terms}
        if stack.as_made and names & set(things) and stack.name in said:
            yield f"{theirs.parts}, {stack.name} needs a vehicle, theirs {said[stack.name]}"
        if stack.as_made:
            continue
        if world.beside(stack.arrangement) & held:
            continue
        if not names & set(things):
            continue
        if any(called_for(world, world.position[name], things, held) for name in names - set(things) - set(empty)):
            if stack.name not in not_judged:
                yield f"{theirs.parts}, {stack.name} needs more parts, theirs {said.get(stack.name)}"
            continue
        filled = {name: things[name] for name in things if name in names}
        ours = WORDS[judge_stack(world, stack, filled).verdict]
        if said.get(stack.name) != ours:
            yield f"{theirs.parts}, {stack.name}: ours {ours}, theirs {said.get(stack.name)}"
