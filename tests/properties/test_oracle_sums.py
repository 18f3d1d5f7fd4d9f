"""Every sort of size in every sort of sum: small worlds, all of them, on which the program and the oracle agree."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from tests.oracle.engine import agreed
from tests.oracle.small import SOURCES, chain, change, part, position, vehicle
from tests.oracle.world import Mark, Member, PartSet, Row, Size, Source, Stack, StackTerm, Window, World, one_of

BASE = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,), "b.2": (20,)})
BASE = replace(
    BASE,
    sources=(*SOURCES, Source("book two", "drawing"), Source("old", "worn")),
    positions=(*BASE.positions, position("k")),
    parts=(*BASE.parts, part("k.1"), part("k.2")),
)
WINDOW = Window(20, 22)

Said = tuple[tuple[str, Size | Mark], ...]
"""What sources say of the width of a."""


def exactly(low: int, high: int | None = None) -> Size:
    return Size(low, low if high is None else high)


SAID: dict[str, Said] = {
    "inside": (("book", exactly(10, 11)),),
    "too little": (("book", exactly(5)),),
    "too much": (("book", exactly(15)),),
    "perhaps too little": (("book", exactly(9, 11)),),
    "perhaps too much": (("book", exactly(11, 14)),),
    "too little for one source": (("book", exactly(10)), ("book two", exactly(5))),
    "too much for one source": (("book", exactly(10)), ("book two", exactly(15))),
    "perhaps too much for one source": (("book", exactly(10)), ("book two", exactly(11, 14))),
    "absent for one source": (("book", exactly(10)), ("book two", Mark.ABSENT)),
    "absent": (("book", Mark.ABSENT),),
    "weak": (("old", exactly(10)),),
    "nobody says": (),
}  # fmt: skip


def width(owner: str, said: Size | Mark, source: str = "book") -> Row:
    return Row(owner, "a-b", "peg" if owner.startswith("a") else "hole", (("width", said),), source)


def summed(subject: str, said: Said, *, as_made: bool, by_method: bool = False, stated: bool = False) -> World:
    """The widths of a and b in one sum; of the other numbers all are 10."""
    terms = (StackTerm("a", "a-b", "width", 1), StackTerm("b", "a-b", "width", 1))
    stack = Stack("sum", "service", terms, Window() if as_made else WINDOW, method=by_method, as_made=as_made)
    others = [number for number in ("a.1", "a.2", "b.1", "b.2") if number != subject]
    rows = (*(width(number, exactly(10)) for number in others), *(width(subject, size, who) for who, size in said))
    both = PartSet("a.s", (Member("a", as_part="a.2"), Member("b", as_part="b.2")), ("sum",))
    return replace(BASE, rows=(*BASE.rows, *rows), stacks=(stack,), sets=(both,) if stated else ())


def swapped(world: World, *wants: str, parts: str = "a.1 b.1 k.1", says: str = "only") -> None:
    """A swap on a vehicle of these parts, whose model as made has a.1, b.1 and k.1: both agree."""
    model = replace(vehicle("a.1", "b.1", "k.1"), name="model", as_made=True, arrangements=(MADE_IN.get(says, says),))
    van = replace(vehicle(*parts.split()), made_as="model", arrangements=(says,))
    agreed(replace(world, vehicles=(model, van)), van, *wants)


MADE_IN = {"west": "east"}
ALL = [*product(SAID, [False, True])]


@pytest.mark.parametrize(("said", "as_made"), ALL)
def test_a_sum_with_a_new_part(said: str, as_made: bool) -> None:
    for by_method in (False, True):
        world = summed("a.2", SAID[said], as_made=as_made, by_method=by_method)
        swapped(world, "a.2")
        swapped(world, "a.2", "b.2")


@pytest.mark.parametrize(("said", "as_made"), ALL)
def test_a_sum_that_a_set_states_as_made(said: str, as_made: bool) -> None:
    swapped(summed("a.2", SAID[said], as_made=as_made, stated=True), "a.s")


@pytest.mark.parametrize(("said", "as_made"), ALL)
def test_a_sum_with_a_part_that_moves_over(said: str, as_made: bool) -> None:
    """a alone hangs on k, or both do: then they move together, and nothing is judged anew."""
    for carried in ("a", "ab"):
        world = summed("a.1", SAID[said], as_made=as_made)
        for name in carried:
            world = change(world, name, carried_by="k")
        swapped(world, "k.2")


@pytest.mark.parametrize(("said", "as_made"), ALL)
def test_a_sum_with_a_place_that_is_emptied_or_filled(said: str, as_made: bool) -> None:
    """b is there in the east alone: from there to the west, and the other way round."""
    east = change(summed("a.1", SAID[said], as_made=as_made), "b", arrangement="east")
    places = (*east.positions, position("w", arrangement="west"))
    both = replace(east, choices=one_of("east", "west"), positions=places, parts=(*east.parts, part("w.1")))
    swapped(both, "w.1", says="east")
    swapped(both, "b.1", says="west", parts="a.1 w.1 k.1")
