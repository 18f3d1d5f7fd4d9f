"""The oracle on sets that state a joint, items that are members of sets, and the hand of threads: worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.known import Thing
from tests.oracle.motion import Request
from tests.oracle.plan import Swap
from tests.oracle.small import chain, teeth, vehicle
from tests.oracle.verdict import Result, Verdict, judge_joint, same_hand
from tests.oracle.world import (
    Claim,
    Condition,
    Dimension,
    Fitting,
    Item,
    Joint,
    Kind,
    Mark,
    Member,
    PartSet,
    Row,
    Rule,
    Size,
    Source,
    Term,
    Thread,
    Vehicle,
    World,
)

TRIO = chain(
    "a b c", {"a.1": (20,), "a.2": (None,), "b.1": (20, 20), "b.2": (None, 20), "c.1": (20,)}
)  # of a.2 and b.2 nobody knows the teeth where they meet
VAN = vehicle("a.1", "b.1", "c.1")
BOTH = (Member("a", as_part="a.2"), Member("b", as_part="b.2"))


def verdicts(world: World, number: str, van: Vehicle = VAN) -> dict[str, Verdict]:
    """The verdicts on the left hand of the best plan with that number in a, by joint."""
    swap = Swap(world, van, Request(wants=(("a", number),)))
    found = swap.joint_results(swap.answer().best[0])
    return {name: result.verdict for (name, ends), result in found.items() if ends[0][1] == "left"}


# ------------------------------------------------------------------------------ joints stated as made


@pytest.mark.parametrize(("states", "expected"), [((), Verdict.ON_PAPER), (("a-b",), Verdict.FITS)])
def test_a_joint_that_a_new_set_states_as_made_holds(states: tuple[str, ...], expected: Verdict) -> None:
    """Members of one set are claimed to belong together: on paper.  Where the set states the joint, it holds."""
    sold = replace(TRIO, sets=(PartSet("a.s", BOTH, states),))
    assert verdicts(sold, "a.s")["a-b"] is expected


def test_a_set_states_no_joint_with_what_it_does_not_bring() -> None:
    """b-c is named by the set too, but c is none of its members: kept c makes it on paper at best."""
    sold = replace(TRIO, sets=(PartSet("a.s", BOTH, ("a-b", "b-c")),))
    assert verdicts(sold, "a.s")["b-c"] is Verdict.ON_PAPER


def test_a_no_between_members_is_a_no_whatever_the_set_states() -> None:
    """Sizes decide: 20 teeth in 21 are a service no; "a claim, nothing more" never overrules a size."""
    rows = (*TRIO.rows, teeth("a.2", "a-b", 20), teeth("b.2", "a-b", 21))
    sold = replace(TRIO, rows=rows, sets=(PartSet("a.s", BOTH, ("a-b",)),))
    assert Swap(sold, VAN, Request(wants=(("a", "a.s"),))).answer().levels is None


def test_once_used_the_sets_joint_is_unproven() -> None:
    """The set is on the vehicle and c is renewed: b-c is undone.  a stays and b, one use, is renewed by the set?

    No: a set comes whole.  With another b the joint a-b is between one used member and a new part: not stated.
    """
    world = replace(TRIO, sets=(PartSet("a.s", BOTH, ("a-b",)),), rows=(*TRIO.rows, teeth("b.1", "a-b", 20)))
    van = Vehicle("found", ("only",), (Fitting("a", "", "a.s"), Fitting("b", "", "a.s"), Fitting("c", "", "c.1")))
    swap = Swap(world, van, Request(wants=(("b", "b.1"),), keep=("a",)))
    left = {name: r.verdict for (name, ends), r in swap.joint_results(swap.answer().best[0]).items()}
    assert left["a-b"] is Verdict.NOT_KNOWN


# --------------------------------------------------------------------------------- items of sets

MEMBERS = replace(
    TRIO,
    sets=(PartSet("a.s", (Member("a"), Member("b", as_part="b.1"))),),
    rows=(*TRIO.rows, teeth("a.s/a", "a-b", 20)),
)


@pytest.mark.parametrize("number", ["a.s", "a.s/a"])
def test_a_named_thing_that_is_a_member_of_a_set_keeps_the_members_sizes(number: str) -> None:
    """Its number is the set's, or it names the member itself; either way its teeth are those of the set's a."""
    world = replace(MEMBERS, items=(Item("our a", number),))
    van = Vehicle(
        "found", ("only",), (Fitting("a", "", "a.s", "our a"), Fitting("b", "", "a.s"), Fitting("c", "", "c.1"))
    )
    there = Swap(world, van, Request()).there[("a", "left")]
    assert (there.number, there.records) == ("a.s", ("our a", "a.s/a"))
    joint = judge_joint(world, world.joints[0], there, Thing("b.1", ("b.1",)))
    assert joint == Result(Verdict.ON_PAPER), "a kept part's catalogue sizes compute, and are a claim until measured"


@pytest.mark.parametrize("number", ["a.s", "a.s/b"])
def test_a_no_of_a_named_members_sizes_is_a_no(number: str) -> None:
    """The set's b is drawn as b.1 with 20 teeth; an a with 21 cannot meet it."""
    world = replace(MEMBERS, items=(Item("our b", number),), rows=(*MEMBERS.rows, teeth("a.2", "a-b", 21)))
    van = Vehicle("found", ("only",), (Fitting("a", "", "a.1"), Fitting("b", "", "a.s", "our b")))
    there = Swap(world, van, Request()).there[("b", "left")]
    assert judge_joint(world, world.joints[0], Thing("a.2", ("a.2",)), there).verdict is Verdict.DO_NOT_USE


def test_what_was_read_on_the_named_member_stands_before_the_members_sizes() -> None:
    world = replace(MEMBERS, items=(Item("our a", "a.s/a"),), rows=(*MEMBERS.rows, teeth("our a", "a-b", 22, "bench")))
    van = Vehicle("found", ("only",), (Fitting("a", "", "a.s", "our a"), Fitting("b", "", "b.1")))
    there = Swap(world, van, Request()).there[("a", "left")]
    assert judge_joint(world, world.joints[0], there, Thing("b.1", ("b.1",))).verdict is Verdict.DO_NOT_USE


# ------------------------------------------------------------------- claims beside sizes that straddle


@pytest.mark.parametrize("claims", [(), (Claim("a.2", "goes with", "b.1"),)])
def test_a_condition_that_straddles_stays_not_known_claim_or_none(claims: tuple[Claim, ...]) -> None:
    """Both teeth are recorded, as 20 or 21: the condition is open for no want of a size.  It counts in (1)."""
    loose = Row("a.2", "a-b", "peg", (("teeth", Size(20, 21)),), "book")
    world = replace(TRIO, rows=(*TRIO.rows, loose), claims=claims)
    swap = Swap(world, VAN, Request(wants=(("a", "a.2"),)))
    answer = swap.answer()
    assert answer.levels is not None and answer.levels.unsupported == 2


def test_a_claim_lifts_a_check_that_lacks_sizes_out_of_the_first_level() -> None:
    world = replace(TRIO, claims=(Claim("a.2", "goes with", "b.1"),))
    answer = Swap(world, VAN, Request(wants=(("a", "a.2"),))).answer()
    assert answer.levels is not None and (answer.levels.unsupported, answer.levels.unproven) == (0, 2)


# ------------------------------------------------------------------------------------------ threads


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("RH", "RH", True),
        ("RH", "", True),
        ("", "", True),
        ("", "RH", True),
        ("LH", "LH", True),
        ("LH", "", None),
        ("", "LH", None),
        ("LH", "RH", False),
        ("RH", "LH", False),
    ],
)
def test_a_hand_that_nobody_wrote_is_usual_right(one: str, other: str, expected: bool | None) -> None:
    """ "RH on it is yes, LH on it is open, LH on RH is no"; that both are usual right is a yes."""
    assert same_hand(Thread(one), Thread(other)) is expected  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [("LH", "", Verdict.NOT_KNOWN), ("LH", "RH", Verdict.DOES_NOT_FIT), ("RH", "", Verdict.FITS)],
)
def test_the_hand_is_a_required_assembly_condition(one: str, other: str, expected: Verdict) -> None:
    kinds = (Kind("peg", (Dimension("thread", "thread"),)), Kind("hole", (Dimension("thread", "thread"),)))
    hand = Condition("hand", "assembly", "required", (Term(1, 0, "thread"), Term(1, 1, "thread")), same_code=True)
    world = World(
        kinds=kinds,
        rules=(Rule("rule", ("peg", "hole"), (hand,)),),
        sources=(Source("book", "drawing"),),
        rows=(
            Row("S", "end", "peg", (("thread", Thread(one)),), "book"),  # type: ignore[arg-type]
            Row("H", "bore", "hole", (("thread", Thread(other)),), "book"),  # type: ignore[arg-type]
        ),
        joints=(Joint("joint", "shaft", "end", "hub", "bore", "rule"),),
    )
    made = judge_joint(world, world.joints[0], Thing("S", ("S",)), Thing("H", ("H",)))
    assert made.verdict is expected


@pytest.mark.parametrize(
    ("new", "kept", "unsupported"),
    [
        (Thread(), None, 0),
        (Thread("RH"), None, 0),
        (None, Thread(), 2),
        (Thread("LH"), Thread(), 0),
        (Thread(), Thread("LH"), 2),
    ],
)
def test_a_hand_that_nobody_wrote_is_lacking_only_beside_a_left_one(
    new: Thread | None, kept: Thread | None, unsupported: int
) -> None:
    """The new a.2 beside b.1, which stays: (1) counts the joint, on both sides, only where a.2 lacks its hand.

    Where the other's hand is not known ('?'), usual right is as good as written.
    """
    hand = Condition("hand", "assembly", "required", (Term(1, 0, "thread"), Term(1, 1, "thread")), same_code=True)
    kinds = tuple(Kind(name, (Dimension("thread", "thread"),)) for name in ("peg", "hole"))
    world = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})
    rows = [Row("a.2", "a-b", "peg", (("thread", new or Mark.UNSURE),), "book")]
    rows.append(Row("b.1", "a-b", "hole", (("thread", kept or Mark.UNSURE),), "book"))
    van = vehicle("a.1", "b.1")
    world = replace(
        world,
        kinds=kinds,
        rules=(replace(world.rules[0], conditions=(hand,)),),
        rows=tuple(rows),
        vehicles=(van,),
    )
    case = Case(world, van, Request(wants=(("a", "a.2"),)))
    levels = Swap(*case).answer().levels
    assert levels is not None and (levels.unsupported, levels.unproven) == (unsupported, 2 - unsupported)
    assert not Comparison(case).differences()
