"""How often each rule decides a random world: its answer is compared with that of an oracle without the rule.

`python -m tests.oracle.matters FIRST LAST` prints the share of worlds that have each thing, and in which it matters.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from dataclasses import replace
from typing import Any
from unittest import mock

from tests.oracle import switches, verdict
from tests.oracle.generate import Case, case_from_seed
from tests.oracle.layouts import PIN
from tests.oracle.motion import Effects, Motion
from tests.oracle.plan import Answer, Swap
from tests.oracle.told import claimed_together
from tests.oracle.world import Thread, World, one_of

NOT_TOLD = "an arrangement of which nothing tells"

Patch = Callable[[], AbstractContextManager[Any]]


def said(case: Case) -> object:
    """All that an answer says, to be compared."""
    answer: Answer = Swap(*case).answer()
    best = {(one.arrangements, tuple(one.items())) for one in answer.best}
    return best, answer.levels, answer.forced_by_fit, answer.forced_by_known, answer.keeping, answer.others


def _worlds_without(case: Case) -> Iterator[tuple[str, World]]:
    """The world as it would be read by who overlooks a record."""
    world = case.world
    joints = {joint.name for joint in world.joints}
    if any(set(one.states) & joints for one in world.sets):
        bare = tuple(replace(one, states=tuple(s for s in one.states if s not in joints)) for one in world.sets)
        yield switches.SET_JOINTS, replace(world, sets=bare)
    if any(position.name == PIN for position in world.positions):
        loose = tuple(replace(j, owns=tuple(name for name in j.owns if name != PIN)) for j in world.joints)
        yield switches.PINS, replace(world, joints=loose)
    if any(offer.surcharge for offer in world.offers):
        yield switches.SURCHARGES, replace(world, offers=tuple(replace(o, surcharge=0) for o in world.offers))
    if world.in_the_way:
        yield switches.REACH, replace(world, in_the_way=())
    if len(world.choices) > 1:
        yield switches.CHOICES, replace(world, choices=one_of(*(one for c in world.choices for one in c.arrangements)))
    placed = {item.name for item in world.items if item.read_at and item.read_at[0] == case.vehicle.name}
    if placed:
        yield switches.READ_IN_PLACE, replace(world, rows=tuple(row for row in world.rows if row.owner not in placed))
    if any(one.name == "other" for one in world.vehicles):
        number = {item.name: item.part for item in world.items if item.name.startswith("theirs")}
        leaked = tuple(replace(r, owner=number[r.owner]) for r in world.rows if number.get(r.owner))
        yield switches.SAME_NUMBER, replace(world, rows=(*world.rows, *leaked))


def _rules_without(case: Case) -> Iterator[tuple[str, Patch]]:
    """The oracle as it would be without a rule, where the world has what the rule is about."""
    world, swap = case.world, Swap(*case)
    if any(item.part.split("/")[0] in world.set_named for item in world.items):
        yield switches.SET_ITEMS, _without_member_sizes
    if not all(swap.is_recorded(place) for place in swap.there):
        yield switches.NOT_RECORDED, lambda: mock.patch.object(Motion, "nothing_recorded", lambda self: None)
    if swap.perhaps:
        yield NOT_TOLD, lambda: mock.patch.object(Motion, "_own_arrangements", lambda self: self.world.ways[0])
    if not all(swap.any_accepted(position) for position in world.positions):
        yield switches.TO_BE_FOUND, lambda: mock.patch.object(Swap, "any_accepted", lambda self, position: True)
    if any(position.pressed_in for position in world.positions):
        yield switches.PRESSED, RULES[switches.PRESSED]
    if any(part.one_use for part in world.parts) and any(position.carried_by for position in world.positions):
        yield switches.CHAINS, RULES[switches.CHAINS]
    if any(isinstance(cell, Thread) for row in world.rows for _, cell in row.cells):
        yield switches.THREADS, lambda: mock.patch.object(verdict, "same_hand", lambda one, other: one == other)
    if _claims_beside_straddling(swap):
        yield switches.STRADDLING, lambda: mock.patch.object(verdict, "_open", _claims_lift_all)
    if "price" in case.request.prefer:
        yield switches.PRICE_FIRST, lambda: mock.patch.object(Swap, "order", _price_before_offers)


def _without_member_sizes() -> AbstractContextManager[Any]:
    whole = Motion.item

    def bare(self: Motion, name: str, place: tuple[str, str]) -> Any:
        thing = whole(self, name, place)
        return replace(thing, records=thing.records[:1]) if thing.number in self.world.set_named else thing

    return mock.patch.object(Motion, "item", bare)


def _only_from_what_stays(self: Effects, end: Any, opposite: Any) -> Any:
    shared = self.lost[end] & self.lost[opposite]
    return set() if shared or opposite in self.gone else self.lost[end]


RULES: dict[str, Patch] = {
    switches.PRESSED: lambda: mock.patch.object(Swap, "pressed_into_what_is_bought_again", lambda self, filling: set()),
    switches.CHAINS: lambda: mock.patch.object(Effects, "taken_along", _only_from_what_stays),
}
"""The oracle as it would be without one of these rules."""


def _claims_lift_all(check: verdict.Check, test: verdict.Test, known: Any, lacks: bool) -> verdict.Verdict:
    return verdict.Verdict.ON_PAPER if check.claimed else verdict.Verdict.NOT_KNOWN


def _price_before_offers(self: Swap, levels: Any) -> list[int]:
    names = {"changes": 1, "unproven": 2, "unoffered": 3, "price": 4}
    asked = [names[name] for name in self.request.prefer]
    return [levels[i] for i in (0, *asked, *(i for i in names.values() if i not in asked))]


def _claims_beside_straddling(swap: Swap) -> bool:
    """Whether some claim is about two parts at whose joint a condition straddles."""
    for joint in swap.world.joints:
        ends = [swap.world.position[name] for name in (joint.position, joint.other_position)]
        for one in swap.candidates(ends[0], "left" if ends[0].level == "corner" else ""):
            for other in swap.candidates(ends[1], "left" if ends[1].level == "corner" else ""):
                if claimed_together(swap.world, one.thing, other.thing):
                    result = swap.joint_result(joint, one.thing, other.thing)
                    if result.verdict is verdict.Verdict.NOT_KNOWN and not result.only_kept_sizes:
                        return True
    return False


def decided_by(case: Case) -> Iterator[tuple[str, bool]]:
    """What the world has, and whether its answer would be another without the rule."""
    answer = said(case)
    for name, world in _worlds_without(case):
        yield name, said(case._replace(world=world)) != answer
    for name, patch in _rules_without(case):
        with patch():
            yield name, said(case) != answer


def shares(first: int, last: int, features: frozenset[str]) -> tuple[Counter[str], Counter[str]]:
    """In how many worlds each thing is, and in how many of them it matters."""
    there: Counter[str] = Counter()
    matters: Counter[str] = Counter()
    for seed in range(first, last):
        for name, decides in decided_by(case_from_seed(seed, features)):
            there[name] += 1
            matters[name] += decides
    return there, matters


def main() -> None:
    """Print the shares, of a hundred worlds."""
    first, last = (int(text) for text in sys.argv[1:3])
    there, matters = shares(first, last, frozenset(switches.ALL))
    for name in sorted(there):
        print(f"{100 * there[name] / (last - first):5.1f} {100 * matters[name] / (last - first):5.1f}  {name}")


if __name__ == "__main__":
    main()
