"""``knockon partners PART --along JOINT``: which parts may follow, counted joint by joint."""

from __future__ import annotations

import json

from tests.commands.running import demo

ALONG = ("partners", "ALDER-201L", "--along", "inner bearing in knuckle", "--along", "Inner bearing on stub")


def test_it_counts_joint_by_joint_and_names_the_first() -> None:
    ran = demo(*ALONG)
    assert ran.status == 0
    assert "inner bearing in knuckle, with the inner bearing:" in ran.lines
    assert "3 of 5: ALDER-211" in ran.flowing and "3 of 5: ROWAN-201 outer joint, disc;" in ran.flowing
    assert "Geometry only." in ran.flowing and "combinations" in ran.flowing


def test_it_ends_with_what_to_ask_next() -> None:
    """Of the first that follows, what it meets itself; where nothing follows, what stands at the place instead."""
    ran = demo(*ALONG)
    assert ran.lines[-1] == "next: knockon partners ROWAN-201"
    assert demo(*ran.lines[-1].split()[2:]).status == 0
    none = demo("partners", "ALDER-101L", "--along", "caliper on lugs")
    assert none.lines[-1] == "next: knockon partners ALDER-101L --others"
    assert demo(*none.lines[-1].split()[2:]).status == 0


def test_all_cautions_stand_under_the_full_answer() -> None:
    cautions = json.loads(demo(*ALONG, "--json").out)["result"]["cautions"]
    flowing = demo(*ALONG, "--full").flowing
    assert all(" ".join(c.split()) in flowing for c in cautions)


def test_where_nothing_follows_the_status_says_so() -> None:
    ran = demo("partners", "ALDER-101L", "--along", "caliper on lugs")
    assert ran.status == 1 and "None of 3." in ran.flowing


def test_joints_that_do_not_follow_one_another_are_refused() -> None:
    ran = demo("partners", "ALDER-201L", "--along", "inner bearing in knuckle", "--along", "flange on stub")
    assert ran.status == 2 and "Each joint begins in the position" in " ".join(ran.err.split())
    assert "Nearest: flange on stub" in demo("partners", "ROWAN-201", "--along", "flange on stab").err
    assert demo(*ALONG, "--others").status == 2
