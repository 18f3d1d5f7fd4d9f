"""The generator of random worlds really makes what the comparison is meant to cover."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import cache

import pytest
from hypothesis import given, settings

from tests.oracle import switches
from tests.oracle.generate import Case, case_from_seed, cases
from tests.oracle.known import Thing, contested, sized
from tests.oracle.matters import shares
from tests.oracle.plan import Answer, Swap
from tests.oracle.verdict import Verdict
from tests.oracle.world import Mark, Size, World

WORLDS = 500


def _cells(world: World) -> Iterator[object]:
    for row in world.rows:
        for _, cell in row.cells:
            yield cell


def _in_world(world: World) -> Iterator[str]:
    """Features of the records."""
    positions = world.positions
    for name in ("optional", "with"):
        if any(position.need == name for position in positions):
            yield f"{name} position"
    yield from ("two arrangements",) if len(world.ways) > 1 else ()
    yield from ("in the way",) if world.in_the_way else ()
    yield from ("slackened",) if any(way.slackened for way in world.in_the_way) else ()
    yield from ("left made",) if any(way.leaves for way in world.in_the_way) else ()
    yield from ("in the way in one arrangement",) if any(way.arrangement for way in world.in_the_way) else ()
    yield from ("two choices",) if len(world.choices) > 1 else ()
    choice = {arrangement: c.name for c in world.choices for arrangement in c.arrangements}
    for joint in world.joints:
        ends = [world.position[name].arrangement for name in (joint.position, joint.other_position)]
        yield from ("joint of two choices",) if len({choice[a] for a in ends if a}) > 1 else ()
    yield from ("vehicle level",) if any(p.level == "vehicle" for p in positions) else ()
    yield from ("carried",) if any(p.carried_by for p in positions) else ()
    yield from ("pressed in",) if any(p.pressed_in for p in positions) else ()
    yield from ("lacking feature",) if any(p.lacking_feature for p in positions) else ()
    yield from ("quantity",) if any(p.quantity > 1 for p in positions) else ()
    yield from ("stack",) if world.stacks else ()
    yield from ("joint of one arrangement",) if any(joint.arrangement for joint in world.joints) else ()
    yield from ("gentle joint",) if not all(joint.disturbs for joint in world.joints) else ()
    yield from ("compared with the vehicle as made",) if any(stack.as_made for stack in world.stacks) else ()
    yield from ("made to fit",) if world.notes else ()
    yield from ("not accepted",) if not all(part.accepted for part in world.parts) else ()
    yield from ("after work",) if any(item.work_on for item in world.items) else ()
    yield from ("item without number",) if not all(item.part for item in world.items) else ()
    yield from ("owned",) if any(joint.owns for joint in world.joints) else ()
    yield from ("one use",) if any(part.one_use for part in world.parts) else ()
    yield from ("mirrored pair",) if any(part.mirror_of for part in world.parts) else ()
    for claim in world.claims:
        yield claim.claim


def _in_records(world: World) -> Iterator[str]:
    """Features of cells and sets."""
    for cell in _cells(world):
        if isinstance(cell, Size):
            yield "nominal" if cell.nominal else "with limits"
        elif isinstance(cell, Mark):
            yield cell.value
        else:
            yield "code"
    for one in world.sets:
        yield "axle set" if one.members[0].side else "corner set"
        yield "set states a check" if one.states else "set states nothing"
        yield from ("member as part",) if any(member.as_part for member in one.members) else ()
        yield from ("member of its own",) if any(not m.as_part for m in one.members) else ()
    for owner, feature in world.rows_of:
        thing = _thing(owner)
        for dimension in ("width", "teeth", "reach", "form"):
            if contested(sized(world, thing, feature, dimension).statements):
                yield "contested size"


def _thing(owner: str) -> Thing:
    return Thing(owner, (owner,))


def _in_question(case: Case) -> Iterator[str]:
    """Features of the vehicle and the request."""
    for fitting in case.vehicle.fittings:
        yield fitting.condition
        yield from ("item",) if fitting.item else ()
    yield from ("like another",) if case.vehicle.like else ()
    if any(f.part in case.world.set_named for f in case.vehicle.fittings):
        yield "set on the vehicle"
    swap = Swap(*case)
    yield from ("arrangement only shown",) if swap.own - set(case.vehicle.arrangements) else ()
    yield from ("perhaps there",) if swap.perhaps else ()
    hands = {f.position for f in case.vehicle.fittings if f.side == "left"}
    for fitting in case.vehicle.fittings:
        other = [f.part for f in case.vehicle.fittings if f.position == fitting.position]
        if fitting.position in hands and len(set(other)) > 1:
            yield "unlike hands"
    for name in ("wants", "properties", "keep", "avoid", "renew", "prefer", "arrangements"):
        if getattr(case.request, name):
            yield name


def _in_answer(case: Case, swap: Swap, answer: Answer) -> Iterator[str]:
    """Features of the oracle's answer."""
    if answer.levels is None:
        yield "no plan"
        return
    yield "plan"
    for name, value in zip(answer.levels._fields, answer.levels, strict=True):
        yield from (f"some {name}",) if value else ()
    yield from ("forced by fit",) if answer.forced_by_fit else ()
    yield from ("forced by what is known",) if answer.forced_by_known else ()
    best = answer.best[0]
    for result in swap.results(best):
        yield result.verdict.name
        if result.only_kept_sizes and result.verdict is Verdict.NOT_KNOWN:
            yield "only kept sizes lacking"
    for place in swap.there:
        yield from ("taken off",) if place in swap.after(best).off - swap.after(best).gone else ()
        yield from ("moves",) if place in swap.after(best).moving else ()
        yield from ("pressed out",) if place in swap.after(best).pressed_out else ()
        gone = place in swap.after(best).gone
        yield from ("renewed",) if gone and swap.keeps(best, place) else ()
        yield from ("chosen",) if gone and place not in answer.forced_by_fit else ()
    chosen = [choice for choice in best.values() if choice is not None]
    yield from ("set chosen",) if any(choice.set_number for choice in chosen) else ()
    yield from ("freed",) if any(best[place] is None for place in swap.there) else ()
    if swap.own - best.arrangements:
        yield "other arrangement"


@cache
def _census() -> Counter[str]:
    found: Counter[str] = Counter()
    for seed in range(WORLDS):
        case = case_from_seed(seed)
        swap = Swap(*case)
        found.update({*_in_world(case.world), *_in_records(case.world)})
        found.update({*_in_question(case), *_in_answer(case, swap, swap.answer())})
    return found


@pytest.mark.parametrize(
    ("feature", "at_least"),
    [
        *((name, 40) for name in ("two arrangements", "vehicle level", "carried", "pressed in")),
        *((name, 20) for name in ("two choices", "joint of two choices", "perhaps there")),
        ("arrangement only shown", 5),
        *((name, 40) for name in ("in the way", "taken off", "left made")),
        *((name, 12) for name in ("slackened", "in the way in one arrangement")),
        *((name, 40) for name in ("optional position", "with position", "stack", "one use")),
        *((name, 25) for name in ("lacking feature", "quantity", "owned", "mirrored pair")),
        *((name, 40) for name in ("listed for", "goes with", "same as", "?", "absent", "code")),
        *((name, 100) for name in ("nominal", "with limits", "contested size")),
        *((name, 25) for name in ("axle set", "corner set", "set states a check")),
        *((name, 25) for name in ("member as part", "member of its own", "unlike hands", "item")),
        *((name, 40) for name in ("due", "unknown", "sound")),
        *((name, 12) for name in ("wants", "properties", "keep", "avoid", "renew", "prefer", "arrangements")),
        *((name, 25) for name in ("joint of one arrangement", "gentle joint", "compared with the vehicle as made")),
        *((name, 25) for name in ("made to fit", "not accepted", "after work", "item without number")),
        *((name, 40) for name in ("no plan", "plan", "some replaced", "some price")),
        *((name, 25) for name in ("some unsupported", "some unproven", "some not_offered")),
        *((name, 25) for name in ("forced by fit", "forced by what is known", "chosen")),
        *((name, 12) for name in ("moves", "pressed out", "renewed", "set chosen", "freed")),
        *((name, 12) for name in ("other arrangement", "only kept sizes lacking")),
        *((name, 40) for name in ("FITS", "ON_PAPER", "NOT_KNOWN")),
        ("DISPUTED", 10),
        ("like another", 40),
        ("set on the vehicle", 8),
    ],
)
def test_worlds_have_it_often_enough(feature: str, at_least: int) -> None:
    assert _census()[feature] >= at_least


DECIDES = {
    switches.SET_JOINTS: (8, 3),
    switches.SET_ITEMS: (8, 3),
    switches.PINS: (11, 4),
    switches.STRADDLING: (16, 4),
    switches.PRESSED: (30, 4),
    switches.NOT_RECORDED: (38, 30),
    switches.TO_BE_FOUND: (20, 4),
    switches.SURCHARGES: (71, 9),
    switches.THREADS: (75, 12),
    switches.SAME_NUMBER: (27, 11),
    switches.READ_IN_PLACE: (33, 1),
    switches.CHAINS: (52, 5),
    switches.PRICE_FIRST: (13, 2),
    switches.CHOICES: (12, 8),
    switches.REACH: (39, 4),
}
"""Of the first 150 worlds, how many must have each thing, and in how many the answer must be another without its rule.

Half of what `python -m tests.oracle.matters 0 150` printed on 2026-11-29: chance moves these numbers when the generator
is changed, by less than that; a generator that makes a thing no more, or only where nothing hangs on it, goes below.
"""


@cache
def _shares() -> tuple[Counter[str], Counter[str]]:
    return shares(0, 150, frozenset(switches.ALL))


@pytest.mark.parametrize("thing", switches.ALL)
def test_worlds_have_what_can_be_left_out_and_it_decides_often_enough(thing: str) -> None:
    there, decides = (found[thing] for found in _shares())
    assert (there >= DECIDES[thing][0], decides >= DECIDES[thing][1]) == (True, True), (there, decides)


@settings(max_examples=30, deadline=None)
@given(cases())
def test_hypothesis_makes_worlds_that_the_oracle_can_answer(case: Case) -> None:
    answer = Swap(*case).answer()
    assert (answer.levels is None) == (answer.consistent == 0)
