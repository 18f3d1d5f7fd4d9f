"""When a sum through several places is judged: worlds worked by hand on which the program and the oracle agree.

A sum between things that nobody touches is left as it is, also where it is a no.
"""

from __future__ import annotations

from dataclasses import replace

from tests.oracle.engine import agreed
from tests.oracle.plan import Answer
from tests.oracle.small import chain, change, numbers, part, position, vehicle
from tests.oracle.world import Row, Size, Stack, StackTerm, Window, World, one_of

PAIR = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})


def width(owner: str, size: int) -> Row:
    """The width of the owner's one feature."""
    return Row(owner, "a-b", "peg" if owner.startswith("a") else "hole", (("width", Size(size, size)),), "book")


def summed(world: World, window: Window, **widths: int) -> World:
    """a's width and b's must lie in a window; ``a2=30`` is the width of a.2."""
    terms = (StackTerm("a", "a-b", "width", 1), StackTerm("b", "a-b", "width", 1))
    rows = tuple(width(f"{name[0]}.{name[1]}", size) for name, size in widths.items())
    return replace(world, rows=(*world.rows, *rows), stacks=(Stack("sum", "service", terms, window),))


def best(answer: Answer) -> list[str]:
    """The best fillings."""
    return [numbers(one) for one in answer.best]


def test_a_sum_is_judged_where_one_of_its_places_is_emptied() -> None:
    """b goes with the arrangement east; a.1 alone is too little, a.2 alone is enough."""
    ways = replace(
        change(PAIR, "b", arrangement="east"),
        choices=one_of("east", "west"),
        positions=(*change(PAIR, "b", arrangement="east").positions, position("w", arrangement="west")),
        parts=(*PAIR.parts, part("w.1")),
    )
    van = replace(vehicle("a.1", "b.1"), arrangements=("east",))
    assert best(agreed(summed(ways, Window(40, 40), a1=20, a2=40, b1=20), van, "w.1")) == ["a.2* - w.1*"]


def carried(*names: str) -> World:
    """Some of the places hang on k, which has two numbers."""
    made = replace(PAIR, positions=(*PAIR.positions, position("k")), parts=(*PAIR.parts, part("k.1"), part("k.2")))
    for name in names:
        made = change(made, name, carried_by="k")
    return summed(made, Window(50, 60), a1=20, a2=30, b1=20)


def test_a_sum_is_judged_where_a_part_of_it_moves_over_and_another_stays() -> None:
    """40 is too little, and stood so; a is put on another k, so it has to come right."""
    assert best(agreed(carried("a"), vehicle("a.1", "b.1", "k.1"), "k.2")) == ["a.2* b.1 k.2*"]


def test_a_sum_of_parts_that_move_over_together_is_left_as_it_is() -> None:
    assert best(agreed(carried("a", "b"), vehicle("a.1", "b.1", "k.1"), "k.2")) == ["a.1 b.1 k.2*"]


def test_a_sum_that_lacks_the_size_of_a_kept_part_rules_nothing_out() -> None:
    """a.2 alone would be too little: what is missing is not nothing."""
    assert best(agreed(summed(PAIR, Window(40, 60), a1=20, a2=20), vehicle("a.1", "b.1"), "a.2")) == ["a.2* b.1"]
