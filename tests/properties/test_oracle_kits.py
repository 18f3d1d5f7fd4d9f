"""Which plan a kit is held against: most of its parts used, then fewest lines short; small worlds with one answer."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import loaded
from tests.oracle.generate import Case
from tests.oracle.kits import KitSwap, kit_differences
from tests.oracle.motion import Request
from tests.oracle.small import chain, part, position, teeth, vehicle
from tests.oracle.world import Member, Offer, PartSet, Stack, StackTerm, Vehicle, Window, World


def ordered(world: World, van: Vehicle, kit: dict[str, int], request: Request | None = None) -> dict[str, int]:
    """What is bought or taken from the kit in the one best plan given the kit, on which both agree."""
    case = Case(replace(world, vehicles=(*world.vehicles, van)), van, request or Request())
    assert not list(kit_differences(case, loaded(case.world), 0, kit))
    swap = KitSwap(*case)
    swap.held = kit
    plans = swap.plans(list(swap.fillings()))
    keys = [(*swap.given_the_kit(one), *swap.levels(one)) for one in plans]
    (best,) = (one for one, key in zip(plans, keys, strict=True) if key == min(keys))
    return dict(swap.bought(best))


def test_one_dear_line_from_outside_is_better_than_two_cheap_ones() -> None:
    """a is due: a.2 asks for another e, or a set brings a.3 with another b."""
    world = chain(
        "b a e",
        {
            "b.1": (20,), "b.2": (20,), "a.1": (20, 20), "a.2": (20, 21), "a.3": (20, 20), "e.1": (20,), "e.2": (21,),
        },
    )  # fmt: skip
    prices = {"a.2": 1, "e.2": 1, "a.s": 100, "f.1": 1}
    world = replace(
        world,
        parts=(*world.parts, part("f.1")),
        positions=(*world.positions, position("f")),
        sets=(PartSet("a.s", (Member("a", as_part="a.3"), Member("b", as_part="b.2"))),),
        offers=tuple(Offer("shop", number, price) for number, price in prices.items()),
    )
    van = vehicle("b.1", "a.1", "e.1", "f.1", a="due", f="due")
    request = Request(avoid=("a.1", "a.3", "b.2"))
    assert ordered(world, van, {"f.1": 2}, request) == {"a.s": 2, "f.1": 2}


def test_what_the_kit_holds_whole_is_better_than_what_it_holds_in_part() -> None:
    """f takes two of f.1, of which the kit holds one, or what the set brings."""
    world = chain("a b", {"a.1": (20,), "b.1": (20,)})
    world = replace(
        world,
        parts=(*world.parts, part("f.1"), part("f.2")),
        positions=(*world.positions, position("f", level="vehicle", quantity=2)),
        sets=(PartSet("f.s", (Member("f", as_part="f.2"),)),),
        offers=(Offer("shop", "f.1", 1), Offer("shop", "f.s", 100)),
    )
    request = Request(avoid=("f.2",))
    assert ordered(world, vehicle("a.1", "b.1", "f.1", f="due"), {"f.1": 1, "f.s": 1}, request) == {"f.s": 1}


def test_a_kit_s_part_is_rather_left_than_used_with_a_part_from_outside_whose_size_nobody_knows() -> None:
    """The kit's a.2 does not go with b.1; whether it goes with b.2 nobody has recorded."""
    world = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (None,)})
    assert ordered(world, vehicle("a.1", "b.1", a="due"), {"a.2": 2}) == {"a.1": 2}
    assert ordered(world, vehicle("a.1", "b.1", a="due"), {"a.2": 2, "b.2": 2}) == {"a.2": 2, "b.2": 2}


@pytest.mark.parametrize("as_made", [False, True])
def test_nor_with_one_whose_size_in_a_sum_nobody_knows(as_made: bool) -> None:
    """As above, but what nobody recorded is a size of b.2 that a sum takes in: limits, or the vehicle as made."""
    world = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (21,)})
    long = {"a.1": 5, "a.2": 5, "b.1": 5}
    terms = tuple(StackTerm(name, "length", "teeth", 1) for name in "ab")
    window = Window() if as_made else Window(0, 99)
    model = replace(vehicle("a.1", "b.1"), name="model", as_made=True)
    van = replace(vehicle("a.1", "b.1", a="due"), made_as="model")
    world = replace(
        world,
        rows=(*world.rows, *(teeth(number, "length", count) for number, count in long.items())),
        stacks=(Stack("sum", "service", terms, window, as_made=as_made),),
        vehicles=(model,),
    )
    assert ordered(world, van, {"a.2": 2}) == {"a.1": 2}
