"""Telling two parts apart: every difference, and what each of them does."""

from __future__ import annotations

import pytest

from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.findings import RecordsError
from knockon.queries.find.tell_apart import (
    BOTH_UNKNOWN,
    DIFFERS,
    MAY_DIFFER,
    ONE_UNKNOWN,
    Difference,
    TellApartAnswer,
    tell_apart,
)
from tests.unit.small import TABLES, with_rows, world

FOUR = {
    "parts.csv": TABLES["parts.csv"]
    + "HUB-B,hub b,drive flange,either,no,,,book\nHUB-C,hub c,drive flange,either,no,,,book\n"
    + "PAIR-20,two hubs and one cap,set,either,no,,,book\n",
    "set_members.csv": TABLES["set_members.csv"]
    + "PAIR-20,hub,left,HUB-20L,1\nPAIR-20,hub,right,HUB-25R,1\nPAIR-20,cap,left,CAP-1,1\n",
    "features/register_bore.csv": TABLES["features/register_bore.csv"]
    + "HUB-B,bore,20..25 mm,book\nHUB-C,bore,absent,book\n",
}


def told(answer: TellApartAnswer, what: str) -> list[tuple[str, str, str, str, str]]:
    return [(d.member, d.feature, d.dimension, d.word, f"{d.first} | {d.second}")
            for d in answer.differences if d.what == what]  # fmt: skip


def one(answer: TellApartAnswer, feature: str, dimension: str = "") -> Difference:
    (found,) = [d for d in answer.differences if (d.feature, d.dimension) == (feature, dimension)]
    return found


@pytest.fixture(scope="module")
def four() -> Catalogue:
    return world(FOUR)


def test_look_alikes_of_two_hands_differ_in_their_hand() -> None:
    answer = tell_apart(world(), "HUB-20L", "HUB-20R")
    assert told(answer, "hand") == [("", "", "", DIFFERS, "left | right")]
    assert answer.told_apart and answer.mirrors and answer.one_drawing
    assert not told(answer, "size")


def test_a_size_that_differs_names_its_rule_and_the_parts_with_another_verdict() -> None:
    difference = one(tell_apart(world(), "HUB-20L", "HUB-25L"), "bore", "diameter")
    assert (difference.word, difference.first, difference.second) == (DIFFERS, "20 mm", "25 mm")
    (rule,) = difference.rules
    assert (rule.rule, rule.joint, rule.other_position) == ("register", "hub on axle", "axle")
    assert rule.conditions and [t.parts for t in rule.turns] in (
        [("AXLE-25",), ("AXLE-20",)],
        [("AXLE-20",), ("AXLE-25",)],
    )


def test_a_size_names_the_conditions_that_read_it_on_its_own_side_and_not_those_of_the_other() -> None:
    """A lip is compared by its inside with the outside of a boss: the seal's own outside is read at its seat alone."""
    sealed = {
        **with_rows("parts.csv", "CAP-2,cap,hub washer or collar,either,yes,,,book"),
        **with_rows("joints.csv", "cart axle,cap on axle,cap,lip,axle,boss,seal on boss,,,"),
        "features/lip_seal.csv": "part,feature,inside diameter,outside diameter,source\n"
        "CAP-1,lip,30 mm,47 mm,book\nCAP-2,lip,32 mm,52 mm,book\n",
        "features/flange_boss.csv": "part,feature,outside diameter,source\n"
        "AXLE-20,boss,30 mm,book\nAXLE-25,boss,32 mm,book\n",
    }
    seals, axles = (tell_apart(world(sealed), *two) for two in (("CAP-1", "CAP-2"), ("AXLE-20", "AXLE-25")))
    for difference in (one(seals, "lip", "inside diameter"), one(axles, "boss", "outside diameter")):
        assert [(r.joint, set(r.conditions)) for r in difference.rules] == [
            ("cap on axle", {"lip reaches the boss", "lip bears on the boss"})
        ]
    assert one(seals, "lip", "outside diameter").rules == ()


def test_a_size_that_is_recorded_of_one_only_is_never_the_same() -> None:
    answer = tell_apart(world(), "HUB-20L", "HUB-?")
    assert one(answer, "bore", "diameter").word == ONE_UNKNOWN
    assert one(answer, "bore").first == "recorded" and one(answer, "bore").second == "not recorded"


def test_what_is_recorded_of_neither_is_told_where_a_rule_reads_it() -> None:
    difference = one(tell_apart(world(), "HUB-20L", "HUB-25L"), "holes")
    assert difference.word == BOTH_UNKNOWN
    assert [(r.joint, r.turns) for r in difference.rules] == [("stud in hub", ())]


def test_nothing_recorded_tells_nothing_apart_and_says_so() -> None:
    changed = with_rows("parts.csv", "HUB-??,another from a stall,drive flange,either,no,,,stall")
    answer = tell_apart(world(changed), "HUB-?", "HUB-??")
    assert not answer.told_apart
    assert {d.word for d in answer.differences} == {BOTH_UNKNOWN}


def test_intervals_that_overlap_may_differ(four: Catalogue) -> None:
    difference = one(tell_apart(four, "HUB-20L", "HUB-B"), "bore", "diameter")
    assert difference.word == MAY_DIFFER
    assert [(t.first, t.second) for r in difference.rules for t in r.turns]


def test_a_feature_that_is_known_absent_differs(four: Catalogue) -> None:
    answer = tell_apart(four, "HUB-20L", "HUB-C")
    assert one(answer, "bore").word == DIFFERS
    assert one(answer, "bore").second == "known absent"
    assert [t.parts for t in one(answer, "bore").rules[0].turns] == [("AXLE-20",)]
    assert one(tell_apart(four, "HUB-?", "HUB-C"), "bore").word == ONE_UNKNOWN


def test_sets_differ_member_by_member(four: Catalogue) -> None:
    answer = tell_apart(four, "PAIR-25", "PAIR-20")
    assert told(answer, "member") == [("right cap", "", "", DIFFERS, "1 of it | none")]
    assert told(answer, "size") == [("left hub", "bore", "diameter", DIFFERS, "25 mm | 20 mm")]


def test_a_part_is_compared_with_the_member_whose_place_it_takes(four: Catalogue) -> None:
    answer = tell_apart(four, "HUB-20L", "PAIR-25")
    assert ("left hub", "bore", "diameter", DIFFERS, "20 mm | 25 mm") in told(answer, "size")
    assert told(answer, "part type") == [("", "", "", DIFFERS, "drive flange | set")]
    turned = tell_apart(four, "PAIR-25", "HUB-20L")
    assert ("left hub", "bore", "diameter", DIFFERS, "25 mm | 20 mm") in told(turned, "size")


def test_better_evidence_is_told_and_is_no_difference_of_the_parts() -> None:
    changed = {
        "parts.csv": TABLES["parts.csv"] + "AXLE-S,axle from a stall,outer joint,either,no,,,stall\n",
        "features/spigot.csv": TABLES["features/spigot.csv"] + "AXLE-S,seat,20 mm,stall\n",
    }
    answer = tell_apart(world(changed), "AXLE-20", "AXLE-S")
    assert not answer.told_apart
    (evidence,) = [d for d in answer.differences if d.what == "evidence"]
    assert (evidence.first, evidence.second) == ("drawing", "seller")
    assert [(t.first, t.second) for t in evidence.rules[0].turns] == [("fits", "fits on paper")]


def test_two_names_of_one_part_and_unknown_names_are_refused() -> None:
    with pytest.raises(RecordsError, match="Name two part numbers"):
        tell_apart(world(), "HUB-20L", "hub 20l")
    with pytest.raises(UnknownNameError, match="Nearest: HUB-"):
        tell_apart(world(), "HUB-20L", "HUB-20X")
