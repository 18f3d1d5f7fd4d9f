"""The levels of preference, word by word: what counts as replaced, prices, and work done; cases worked by hand."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison, agreed
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.plan import Swap
from tests.oracle.prices import price
from tests.oracle.small import chain, change, joint, numbers, part, position, teeth, vehicle
from tests.oracle.world import Fitting, Item, Member, Offer, PartSet, Vehicle, World

# ------------------------------------------------------------------------------- chains of causes


def goes(world: World, van: Vehicle, names: str, request: Request | None = None) -> int:
    """Level (2) of the filling in which exactly these positions go, each by its own number."""
    swap = Swap(world, van, request or Request())
    gone = {(name, side) for name in names.split() for side in ("left", "right")}
    filling = next(one for one in swap.fillings() if swap.after(one).gone == gone)
    return swap.replaced(filling)


HUNG = chain("b0 b1", {"b0.1": (20,), "b1.1": (20,)})
HUNG = replace(
    HUNG,
    positions=(position("b0"), position("b1", carried_by="b0"), position("b3")),
    parts=(part("b0.1"), part("b1.1", one_use=True), part("b3.1", one_use=True)),
    joints=(joint("b1", "b3"),),
    rows=(teeth("b1.1", "b1-b3", 20), teeth("b3.1", "b1-b3", 20)),
)
FITTED = vehicle("b0.1", "b1.1", "b3.1", b0="due")


def test_a_chain_of_one_use_parts_that_ends_in_a_due_one_costs_nothing() -> None:
    """b0 is due and goes; b1 hangs on it and is taken from b3; so b1 is disturbed by b0, and b3 by b1: none counts."""
    assert goes(HUNG, FITTED, "b0 b1 b3") == 0


def test_where_the_carrier_stays_one_of_two_one_use_neighbours_counts() -> None:
    """Only b1 and b3 go: each would be the other's excuse, so on each hand one of them is counted."""
    sound = replace(FITTED, fittings=tuple(replace(f, condition="sound") for f in FITTED.fittings))
    assert goes(HUNG, sound, "b1 b3") == 2


def test_where_both_hang_on_the_due_carrier_neither_is_taken_from_the_other() -> None:
    """They move together, so the joint is not undone by b0's going: one of the two counts on each hand."""
    together = change(HUNG, "b3", carried_by="b0")
    assert goes(together, FITTED, "b0 b1 b3") == 2


def test_a_part_that_is_not_one_use_ends_a_chain_and_counts_itself() -> None:
    """b0 is sound and goes: it counts, on each hand; b1 and b3 follow from it."""
    sound = replace(FITTED, fittings=tuple(replace(f, condition="sound") for f in FITTED.fittings))
    assert goes(HUNG, sound, "b0 b1 b3") == 2


PINNED = replace(
    chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)}),
    positions=(position("a"), position("b"), position("pin")),
)
PINNED = replace(
    PINNED,
    parts=(*PINNED.parts, part("pin.1", one_use=True)),
    joints=(replace(PINNED.joints[0], owns=("pin",)),),
)


def test_a_pin_that_only_a_joint_owns_is_renewed_with_the_joint_and_not_without_it() -> None:
    van = vehicle("a.1", "b.1", "pin.1")
    renewed, still = agreed(PINNED, van, "a.2"), agreed(PINNED, van, "a.1")
    assert [numbers(one) for one in renewed.best] == ["a.2* b.1 pin.1*"]
    assert renewed.levels is not None and renewed.levels.replaced == 2, "the pin costs nothing"
    assert [numbers(one) for one in still.best] == ["a.1 b.1 pin.1"]


# -------------------------------------------------------------------- carriers that are bought again

KNUCKLE = chain("k x y", {"k.1": (20,), "k.2": (20,), "x.1": (20, 20), "x.2": (20, 20), "y.1": (20,), "y.2": (20,)})
KNUCKLE = change(change(KNUCKLE, "x", carried_by="k", pressed_in=True), "y", carried_by="k", pressed_in=True)
WHOLE = vehicle("k.1", "x.1", "y.1")


def test_a_sound_knuckle_is_not_bought_again_to_get_its_bearings_for_nothing() -> None:
    """x.2 is asked for: x alone costs 2 (both hands).  With k.1 anew x and y are pressed out; all three count."""
    answer = agreed(KNUCKLE, WHOLE, "x.2", avoid=("k.2",))
    assert [numbers(one) for one in answer.best] == ["k.1 x.2* y.1"]
    assert answer.levels is not None and answer.levels.replaced == 2
    assert goes(KNUCKLE, WHOLE, "k x y") == 6


def test_with_another_knuckle_what_was_pressed_into_the_old_one_costs_nothing() -> None:
    answer = agreed(KNUCKLE, WHOLE, "k.2")
    assert [numbers(one) for one in answer.best] == ["k.2* x.1* y.1*"]
    assert answer.levels is not None and answer.levels.replaced == 2


def test_with_a_due_knuckle_renewed_by_its_own_number_they_cost_nothing() -> None:
    answer = agreed(KNUCKLE, vehicle("k.1", "x.1", "y.1", k="due"), "k.1")
    assert [numbers(one) for one in answer.best] == ["k.1* x.1* y.1*"]
    assert answer.levels is not None and answer.levels.replaced == 0


def test_a_due_bearing_costs_nothing_also_in_a_knuckle_that_is_bought_again() -> None:
    """Due parts cost nothing, whatever they are pressed into: k on both hands, and y."""
    assert goes(KNUCKLE, vehicle("k.1", "x.1", "y.1", x="due"), "k x y") == 4


def test_a_one_use_bearing_counts_too_where_its_sound_knuckle_is_bought_again() -> None:
    """ "What was pressed into it counts": that the knuckle's going undoes its joint is no excuse."""
    assert goes(change(KNUCKLE, "x.1", one_use=True), WHOLE, "k x y") == 6


def test_a_sound_knuckle_is_not_bought_again_for_one_use_bearings_either() -> None:
    """x.1 and y.1 are one-use: were they free, k, x and y anew would cost no more than x, and prove more joints.

    y.1 is disturbed by x's going and is renewed for nothing; k stays.
    """
    bearings = change(change(KNUCKLE, "x.1", one_use=True), "y.1", one_use=True)
    case = Case(replace(bearings, vehicles=(WHOLE,)), WHOLE, Request(wants=(("x", "x.2"),), avoid=("k.2",)))
    assert [numbers(one) for one in Swap(*case).answer().best] == ["k.1 x.2* y.1*"]
    assert not Comparison(case).differences()


# --------------------------------------------------------------------------- offers before prices

CHOICE = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (21,), "b.3": (21,)})
CHEAP = replace(CHOICE, offers=(Offer("n", "b.3", 99), Offer("n", "a.2", 1)))


@pytest.mark.parametrize("prefer", [(), ("price",), ("price", "unoffered"), ("unproven", "price")])
def test_prices_are_compared_only_among_plans_with_equally_many_lines_unoffered(prefer: tuple[str, ...]) -> None:
    """b.2 is offered by nobody, which is never a price of zero, however dear b.3 is."""
    answer = agreed(CHEAP, vehicle("a.1", "b.1"), "a.2", prefer=prefer)
    assert [numbers(one) for one in answer.best] == ["a.2* b.3*"]


def test_who_prefers_the_price_gets_offers_and_price_before_the_other_levels() -> None:
    """Unoffered, price, changes, unproven: of two offered ways the cheaper one, though it changes more."""
    world = chain("a b", {"a.1": (20,), "a.2": (21,), "a.3": (20,), "b.1": (20,), "b.2": (21,)})
    world = replace(world, offers=(Offer("n", "a.2", 1), Offer("n", "b.2", 1), Offer("n", "a.3", 9)))
    van = vehicle("a.1", "b.1", a="due")
    few, cheap = (agreed(world, van, avoid=("a.1",), prefer=p) for p in ((), ("price",)))
    assert [numbers(one) for one in few.best] == ["a.3* b.1"]
    assert [numbers(one) for one in cheap.best] == ["a.2* b.2*"]


# -------------------------------------------------------------------------------------- surcharges


def offer(number: str, cost: int, surcharge: int = 0, supplier: str = "n") -> Offer:
    return Offer(supplier, number, cost, surcharge)


def cost(offers: tuple[Offer, ...], lines: dict[str, int], old: dict[str, int]) -> int:
    """The price of these lines, where so many old parts of each type leave."""
    by_part: dict[str, list[Offer]] = {}
    for one in offers:
        by_part.setdefault(one.part, []).append(one)
    return price(PRICED, by_part, lines, Counter({f"type {name}": count for name, count in old.items()}))


PRICED = World(
    parts=(part("a.1"), part("a.2"), part("b.1")),
    positions=(position("a"), position("b")),
    sets=(PartSet("set", (Member("b"), Member("a"))),),
)


@pytest.mark.parametrize(("old", "expected"), [(0, 45), (1, 40), (2, 35), (3, 30), (4, 30)])
def test_a_surcharge_is_paid_for_each_unit_for_which_no_old_part_serves(old: int, expected: int) -> None:
    """Three at 10 and a surcharge of 5; one old one leaves: two surcharges are paid."""
    assert cost((offer("a.1", 10, 5),), {"a.1": 3}, {"a": old}) == expected


def test_an_old_part_serves_where_the_surcharge_is_greatest_and_only_its_own_type() -> None:
    """One old a, for a.1 (surcharge 3) or a.2 (surcharge 8): 10 + 3 + 10; the old b serves none of them."""
    two = (offer("a.1", 10, 3), offer("a.2", 10, 8))
    assert cost(two, {"a.1": 1, "a.2": 1}, {"a": 1}) == 23
    assert cost(two, {"a.1": 1, "a.2": 1}, {"b": 2}) == 31


def test_each_unit_is_bought_where_it_is_cheapest() -> None:
    """10 with an old part handed in, else 15 there or 12 elsewhere: one old part and two units cost 10 + 12."""
    assert cost((offer("a.1", 10, 5), offer("a.1", 12, 0, "s")), {"a.1": 2}, {"a": 1}) == 22


def test_a_set_is_one_unit_of_the_type_of_its_first_position_in_the_layout() -> None:
    assert cost((offer("set", 20, 7),), {"set": 1}, {"a": 1}) == 20
    assert cost((offer("set", 20, 7),), {"set": 1}, {"b": 1}) == 27


def test_something_not_recorded_is_no_old_part() -> None:
    """Both a are replaced, and of the right one nobody knows what it is: one old part leaves, one surcharge is paid."""
    world = replace(CHOICE, offers=(offer("a.2", 10, 5),))
    half = Vehicle("found", ("only",), (Fitting("a", "left", "a.1"), Fitting("b", "", "b.2")))
    assert agreed(world, half, "a.2").levels == (0, 2, 2, 0, 25)
    assert agreed(world, vehicle("a.1", "b.2"), "a.2").levels == (0, 2, 2, 0, 20)


def test_of_two_ways_to_machine_what_stays_the_one_with_less_work_is_best() -> None:
    """x.1 goes in once q and r are machined, x.2 once p is."""
    joints = tuple(joint("x", name) for name in "pqr")
    teeth_of = {"x.0": (30, 30, 30), "x.1": (20, 21, 21), "x.2": (21, 20, 20)}
    rows = [teeth(x, j.name, count) for x, counts in teeth_of.items() for j, count in zip(joints, counts, strict=True)]
    items = []
    for name, j in zip("pqr", joints, strict=True):
        items += [Item(f"my {name}", f"{name}.1"), Item(f"my {name} machined", f"{name}.1", f"my {name}")]
        rows += [teeth(f"my {name}", j.name, 20, "bench"), teeth(f"my {name} machined", j.name, 21, "bench")]
    world = replace(
        chain("x", dict.fromkeys(teeth_of, ())),
        parts=tuple(map(part, (*teeth_of, "p.1", "q.1", "r.1"))),
        positions=tuple(position(name, level="vehicle") for name in "xpqr"),
        joints=joints,
        rows=tuple(rows),
        items=tuple(items),
    )
    fittings = (Fitting("x", "", "x.0", condition="due"), *(Fitting(name, "", item=f"my {name}") for name in "pqr"))
    van = Vehicle("found", ("only",), fittings)
    case = Case(replace(world, vehicles=(van,)), van, Request())
    comparison = Comparison(case)
    assert not comparison.differences()
    (best,) = comparison.ours.best
    assert {place[0]: choice.thing.number for place, choice in best.items() if choice and choice.worked} == {"p": "p.1"}
