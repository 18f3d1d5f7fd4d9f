"""Small worlds for single laws of the swap: what the answer must be, and that program and oracle both give it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.small import chain, change, part, position, teeth, vehicle
from tests.oracle.world import Mark, Vehicle, World, one_of

PAIR = chain("a b", {"a.1": (20,), "b.1": (20,), "b.2": (20,)})


def becomes(world: World, van: Vehicle, *wants: str) -> dict[str, str]:
    """What becomes of each place on the left, by an answer on which both agree."""
    request = Request(wants=tuple((number.split(".")[0], number) for number in wants))
    comparison = Comparison(Case(replace(world, vehicles=(van,)), van, request))
    assert not comparison.differences()
    changes = (c for c in comparison.theirs.changes if not c.place.startswith("right"))
    return {c.place.removeprefix("left "): c.status for c in changes}


def test_what_a_part_that_comes_calls_for_comes_too() -> None:
    world = replace(PAIR, parts=(*PAIR.parts, part("c.1")), joints=())
    world = replace(world, positions=(*world.positions, position("c", need="with", with_position="b")))
    assert becomes(change(world, "b", need="optional"), vehicle("a.1"), "b.1")["c"] == "new"


def test_what_a_part_calls_for_because_it_lacks_a_feature_comes_with_it() -> None:
    absent = replace(teeth("b.2", "valve", Mark.ABSENT), kind="hole")
    called = position("c", need="with", with_position="b", lacking_feature="valve")
    world = replace(
        PAIR,
        parts=(*PAIR.parts, part("c.1")),
        rows=(*PAIR.rows, absent),
        positions=(*PAIR.positions, called),
    )
    assert becomes(world, vehicle("a.1", "b.1"), "b.2")["c"] == "new"


@pytest.mark.parametrize("order", ["a b c", "c b a"])
def test_a_part_that_moves_over_must_fit_what_it_is_put_back_on(order: str) -> None:
    """b hangs on a, which goes; b and c were together, and by their teeth they are not to be used together again."""
    counts: dict[str, tuple[int | None, ...]] = {
        "a.1": (20,),
        "a.2": (20,),
        "b.1": (20, 21),
        "b.2": (20, 20),
        "c.1": (20,),
    }
    turned = counts if order == "a b c" else {number: count[::-1] for number, count in counts.items()}
    world = change(chain(order, turned), "b", carried_by="a")
    assert becomes(world, vehicle("a.1", "b.1", "c.1"), "a.2")["b"] == "forced by fit"


CHAIN = chain("a b c", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20,)})


@pytest.mark.parametrize("pressed", [False, True])
def test_a_one_use_part_is_renewed_where_what_it_meets_moves_over_or_is_pressed_out(pressed: bool) -> None:
    """b hangs on a, which goes; c, used once, meets b alone."""
    world = change(change(CHAIN, "b", carried_by="a", pressed_in=pressed), "c.1", one_use=True)
    becoming = becomes(world, vehicle("a.1", "b.1", "c.1"), "a.2")
    assert (becoming["b"], becoming["c"]) == ("renewed" if pressed else "moved over", "renewed")


def test_where_nothing_tells_the_arrangement_a_joint_of_any_of_them_may_be_undone() -> None:
    """a and b are joined in one arrangement, and that joint owns the one-use c."""
    two = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})
    world = replace(
        two,
        choices=one_of("east", "west"),
        joints=(replace(two.joints[0], owns=("c",), arrangement="east"),),
        parts=(*two.parts, part("c.1", one_use=True), part("e.1"), part("w.1")),
        positions=(*two.positions, position("c"), position("e", arrangement="east"), position("w", arrangement="west")),
    )
    van = replace(vehicle("a.1", "b.1", "c.1"), arrangements=())
    assert becomes(world, van, "a.2", "w.1")["c"] == "renewed"


@pytest.mark.parametrize("wants", [("w.1",), ("w.1", "k.2")])
def test_a_part_that_moves_over_must_fit_what_only_the_new_arrangement_joins_it_to(wants: tuple[str, ...]) -> None:
    """b hangs on k; b and a meet only in the west, and by their teeth b.1 is not to be used with a.1.

    Between two things neither of which goes or moves no check rules a filling out; once k goes, b moves.
    """
    counts: dict[str, tuple[int | None, ...]] = {
        "k.1": (20,),
        "k.2": (20,),
        "b.1": (20, 20),
        "b.2": (20, 21),
        "a.1": (21,),
    }
    three = change(chain("k b a", counts), "b", carried_by="k")
    world = replace(
        three,
        choices=one_of("east", "west"),
        joints=(three.joints[0], replace(three.joints[1], arrangement="west")),
        parts=(*three.parts, part("e.1"), part("w.1")),
        positions=(*three.positions, position("e", arrangement="east"), position("w", arrangement="west")),
    )
    van = replace(vehicle("k.1", "b.1", "a.1", "e.1"), arrangements=("east",))
    assert becomes(world, van, *wants)["b"] == ("kept" if len(wants) == 1 else "forced by fit")
