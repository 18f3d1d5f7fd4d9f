"""Small worlds in which the program and the oracle once gave different answers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.small import SOURCES, chain, vehicle
from tests.oracle.verdict import Verdict
from tests.oracle.world import Member as SetMember
from tests.oracle.world import PartSet, Row, Size, Source, Stack, StackTerm, Window, World

BOOKS = (*SOURCES, Source("book two", "drawing"))
PAIR = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})
VAN = vehicle("a.1", "b.1")


def width(owner: str, low: int, high: int, source: str = "book") -> Row:
    """What a source says of the width of the owner's one feature."""
    return Row(owner, "a-b", "peg" if owner.startswith("a") else "hole", (("width", Size(low, high)),), source)


def summed(window: Window, *rows: Row, **more: object) -> World:
    """Twice a's width and b's must lie in a window."""
    terms = (StackTerm("a", "a-b", "width", 2), StackTerm("b", "a-b", "width", 1))
    stack = Stack("sum", "service", terms, window)
    made = replace(PAIR, sources=BOOKS, rows=(*PAIR.rows, *rows), stacks=(stack,))
    return replace(made, **more)  # type: ignore[arg-type]


def swapped(world: World, number: str = "a.2") -> Comparison:
    """The swap to a part (or set) at position a, answered twice."""
    return Comparison(Case(replace(world, vehicles=(VAN,)), VAN, Request(wants=(("a", number),))))


def verdicts(comparison: Comparison) -> set[Verdict]:
    """What the oracle says of the stack in its best plan, on both hands."""
    swap, best = comparison.swap, comparison.ours.best[0]
    return {result.verdict for result in swap.stack_results(best).values()}


B_WIDTH = width("b.1", 10, 11)
LOW, HIGH = width("a.2", 10, 11), width("a.2", 12, 13, "book two")


def test_two_beliefs_that_both_straddle_are_no_dispute() -> None:
    """30..33 by one source, 34..37 by the other: whoever is right, the sum is not known to lie in 32..35."""
    comparison = swapped(summed(Window(32, 35), LOW, HIGH, B_WIDTH))
    assert verdicts(comparison) == {Verdict.NOT_KNOWN}
    assert not comparison.differences()


def test_beliefs_that_are_a_no_on_either_side_of_a_window_rule_a_filling_out() -> None:
    """30..33 is too little, 40..43 too much: no source leaves the sum in 34..39."""
    far = width("a.2", 15, 16, "book two")
    comparison = swapped(summed(Window(34, 39), LOW, far, B_WIDTH))
    assert comparison.ours.levels is None
    assert not comparison.differences()


@pytest.mark.parametrize(
    ("window", "expected"),
    [
        (Window(34, 37), Verdict.DISPUTED),  # a no, or a fit
        (Window(33, 36), Verdict.NOT_KNOWN),  # both straddle
        (Window(30, 36), Verdict.DISPUTED),  # a fit, or straddles
        (Window(30, 37), Verdict.FITS),  # b's reading is on paper only where it stays: here both are new
    ],
)
def test_a_contested_size_in_a_sum_is_believed_each_way(window: Window, expected: Verdict) -> None:
    both = SetMember("a", as_part="a.2"), SetMember("b", as_part="b.1")
    world = summed(window, LOW, HIGH, B_WIDTH, sets=(PartSet("a.s", both),))
    comparison = swapped(world, "a.s")
    assert verdicts(comparison) == {expected}
    assert not comparison.differences()


@pytest.mark.parametrize(("window", "expected"), [(Window(34, 37), Verdict.DISPUTED), (Window(30, 36), Verdict.FITS)])
def test_a_set_that_states_a_sum_is_disputed_only_where_some_belief_is_a_no(window: Window, expected: Verdict) -> None:
    both = SetMember("a", as_part="a.2"), SetMember("b", as_part="b.1")
    world = summed(window, LOW, HIGH, B_WIDTH, sets=(PartSet("a.s", both, ("sum",)),))
    comparison = swapped(world, "a.s")
    assert verdicts(comparison) == {expected}
    assert not comparison.differences()
