"""What disturbs a one-use part, cause by cause: small worlds on which the program and the oracle agree."""

from __future__ import annotations

from dataclasses import replace

from tests.oracle.engine import agreed
from tests.oracle.plan import Answer
from tests.oracle.small import chain, change, numbers, part, position, teeth, vehicle
from tests.oracle.world import one_of

ROW = chain("a b c", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20,)})
ROW = change(change(ROW, "b.1", one_use=True), "c.1", one_use=True)
FOUND = vehicle("a.1", "b.1", "c.1")


def plan(answer: Answer) -> tuple[str, int]:
    """The best filling, and how many of its changes count, on both hands together."""
    (best,) = answer.best
    assert answer.levels is not None
    return numbers(best), answer.levels.replaced


def test_a_one_use_part_that_is_asked_for_disturbs_the_one_use_part_beside_it() -> None:
    """b counts, because it was asked for, so it is a cause of c's going."""
    pair = chain("b c", {"b.1": (20,), "b.2": (20,), "c.1": (20,)})
    pair = replace(pair, parts=tuple(replace(p, one_use=True) for p in pair.parts))
    assert plan(agreed(pair, vehicle("b.1", "c.1"), "b.2")) == ("b.2* c.1*", 2)


def test_a_disturbed_one_use_part_disturbs_the_next() -> None:
    """a goes, so b is disturbed, so c is; b and c cost nothing."""
    assert plan(agreed(ROW, FOUND, "a.2", "b.1")) == ("a.2* b.1* c.1*", 2)


# e stands in the arrangement east only, or with q, which does; it meets c.
SIDE = chain("e c", {"e.1": (20,), "c.1": (20,)})
SIDE = replace(
    SIDE,
    choices=one_of("east", "west"),
    positions=(*SIDE.positions, position("q", arrangement="east"), position("w", arrangement="west")),
    parts=(part("e.1", one_use=True), part("c.1", one_use=True), part("q.1"), part("w.1")),
    rows=(teeth("e.1", "e-c", 20), teeth("c.1", "e-c", 20)),
)
EAST = replace(vehicle("e.1", "c.1", "q.1"), arrangements=("east",))


def test_a_one_use_part_of_the_arrangement_that_is_left_disturbs_the_one_use_part_that_stays() -> None:
    """e and q are freed and cost nothing; w is new."""
    assert plan(agreed(change(SIDE, "e", arrangement="east"), EAST, "w.1")) == ("- c.1* - w.1*", 2)


def test_a_one_use_part_that_nothing_calls_for_any_more_disturbs_the_one_use_part_beside_it() -> None:
    """e is called for by q, which is freed with the arrangement, so e is freed too and costs nothing."""
    assert plan(agreed(change(SIDE, "e", need="with", with_position="q"), EAST, "w.1")) == ("- c.1* - w.1*", 2)


def test_a_part_that_nothing_calls_for_any_more_costs_nothing() -> None:
    lasting = change(change(SIDE, "e", need="with", with_position="q"), "e.1", one_use=False)
    assert plan(agreed(lasting, EAST, "w.1")) == ("- c.1* - w.1*", 2)


def test_it_is_the_same_whichever_end_of_a_joint_is_named_first() -> None:
    """c and b are named before what disturbs them."""
    turned = chain("c b a", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20,)})
    turned = change(change(turned, "b.1", one_use=True), "c.1", one_use=True)
    assert plan(agreed(turned, FOUND, "a.2", "b.1")) == ("c.1* b.1* a.2*", 2)


def test_a_pin_is_renewed_whichever_end_of_its_joint_goes() -> None:
    pair = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,), "b.2": (20,)})
    pinned = replace(
        pair,
        positions=(*pair.positions, position("pin")),
        parts=(*pair.parts, part("pin.1", one_use=True)),
        joints=(replace(pair.joints[0], owns=("pin",)),),
    )
    van = vehicle("a.1", "b.1", "pin.1")
    assert plan(agreed(pinned, van, "a.2", "b.1")) == ("a.2* b.1 pin.1*", 2)
    assert plan(agreed(pinned, van, "b.2", "a.1")) == ("a.1 b.2* pin.1*", 2)
