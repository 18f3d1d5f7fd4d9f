"""``knockon identify`` as a restorer meets it: a joint without a number, on the demo world."""

from __future__ import annotations

import json

from tests.commands.running import demo, run

JOINT = ("external spline: teeth=25, across=27.41 mm ±0.03 mm", "end thread: 3/4 UNF")


def test_the_page_begins_with_what_it_is_and_what_to_measure() -> None:
    ran = demo("identify", "--type", "outer-joint", *JOINT)
    assert ran.status == 0
    head = ran.lines[1:4] if ran.lines[0].startswith("Records:") else ran.lines[:3]
    assert head[0].startswith("Most likely ROWAN-201") and "3 numbers" in head[0]
    assert head[1].startswith("Measure next: stub end, length, with the depth gauge")
    assert "ROWAN-301" not in ran.out.partition("THE FIRST TWO")[0]  # module 1: a smaller diameter and M20
    assert 'Then add to the command: "stub end: length = ..."' in ran.out
    assert "Geometry only" in ran.out and "next: knockon" in ran.out


def test_the_further_reading_decides() -> None:
    ran = demo("identify", "--type", "outer-joint", *JOINT, "stub end: length = 3.64 in")
    assert "ROWAN-901" not in ran.out.partition("THE FIRST TWO")[0]
    assert ran.lines[1].startswith("Most likely ROWAN-201")


def test_json_has_the_names_that_are_promised() -> None:
    result = json.loads(demo("identify", "--type", "outer-joint", *JOINT, "--json").out)["result"]
    assert [c["part"] for c in result["candidates"]] == ["ROWAN-201", "ROWAN-901", "ROWAN-902"]
    assert [round(c["odds"], 6) for c in result["candidates"]] == [1, 3, 3]  # of three recorded, the mean is a third
    assert all(c["deviations"] <= 3 for c in result["candidates"])
    assert result["none"] is None
    assert (result["measure"]["feature"], result["measure"]["dimension"]) == ("stub end", "length")
    assert 0 < result["measure"]["bits"] < 1.6
    assert result["apart"]["parts"] == ["ROWAN-201", "ROWAN-901"]


def test_none_of_these_exits_with_1_and_says_where_it_misses() -> None:
    ran = demo("identify", "--type", "outer-joint", "external spline: teeth=25", "stub end: M24x2")
    assert ran.status == 1
    assert "NONE OF THESE" in ran.out and "It misses here:" in ran.out and "stub end, thread diameter" in ran.flowing
    assert json.loads(demo("identify", "thread: M6", "--json").out)["result"]["none"]["part"]


def test_mistakes_name_what_to_type() -> None:
    ran = run("identify", "external splin: teeth=25")
    assert ran.status == 2 and "external spline" in ran.err
    ran = run("identify", "external spline: teth=25")
    assert ran.status == 2 and "teeth" in ran.err
    ran = run("identify", "25 teeth")
    assert ran.status == 2 and "FEATURE: DIMENSION = VALUE" in ran.err
    ran = run("identify", "--type", "CV joint", "external spline: teeth=25")
    assert ran.status == 2 and "outer joint or inner joint" in ran.err
    ran = run("identify")
    assert ran.status == 2


def test_the_evidence_stands_beside_each_reading() -> None:
    ran = demo("identify", "--type", "outer-joint", *JOINT, "--evidence")
    assert "27.52 mm" in ran.out and "over 25 teeth" in ran.out and "agrees" in ran.out
    assert len(demo("identify", "--type", "outer-joint", *JOINT, "--full").lines) > len(ran.lines)
