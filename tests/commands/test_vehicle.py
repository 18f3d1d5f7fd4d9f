"""``knockon vehicle``: the best match and where to look come first, on one screen; the rest on demand, or as JSON."""

from __future__ import annotations

import json

from tests.commands.running import demo, real, run

SCREEN = 50
"""Lines of a screen with the terminal at full height."""


def test_the_best_match_and_where_to_look_come_first() -> None:
    ran = demo("vehicle", "tansy-m080")
    assert ran.status == 1
    assert "A mixture. It is closest to Tansy Mk A 1970-73, drum front brakes, as made (tansy-mk-a)" in ran.flowing
    assert "(tansy-mk-a), but right lower ball pin agrees with tansy-mk-c." in ran.flowing
    assert "Nobody looked at 52 of 76 places here. They only repeat tansy-mk-a, so they do not count." in ran.flowing
    headings = [line for line in ran.lines if line.isupper()]
    assert headings == ["LOOK HERE NEXT", "SIGNS FOR EACH VEHICLE", "HOW MANY PLACES", "PLACE BY PLACE"]
    look = " ".join(ran.section("LOOK HERE NEXT"))
    assert "Knuckle, backplate face: tansy-mk-a has it (ALDER-101L/R); tansy-mk-b has none" in look
    assert "Outer joint, stub end, pin hole diameter: tansy-mk-a 3.175 mm (1/8 in) (ROWAN-101)" in look
    assert len(ran.lines) <= SCREEN


def test_what_speaks_for_which_is_grouped_by_what_belongs_together() -> None:
    said = " ".join(demo("vehicle", "tansy-m080").section("SIGNS FOR EACH VEHICLE"))
    assert "- tansy-mk-a: brake arrangement." in " ".join(said.split())
    assert "left lower ball pin, lower ball seat, lower swivel spring" in " ".join(said.split())


def test_place_by_place_says_one_word_for_each() -> None:
    rows = [" ".join(line.split()) for line in demo("vehicle", "tansy-m080").section("PLACE BY PLACE")]
    assert "place here tansy-mk-a tansy-mk-b tansy-mk-c" in rows
    assert "right lower ball pin ALDER-339 other: ALDER-139 other: ALDER-139 same number" in rows
    assert "wheel MAPLE-101 same number, sizes differ other: MAPLE-201 other: MAPLE-301" in rows
    assert "73 more places with --full" in rows


def test_all_shows_every_place_and_what_was_not_looked_at() -> None:
    ran = demo("vehicle", "tansy-m080", "--full")
    rows = [" ".join(line.split()) for line in ran.lines]
    assert "knuckle not looked at ALDER-101L/R ALDER-201L/R ALDER-301L/R" in rows
    assert "--full" not in ran.out and run("vehicle", "tansy-m080", "--all").out == ran.out
    assert "Slinger ring: tansy-mk-a ALDER-123; tansy-mk-b ALDER-223. Corner apart. Read the number" in ran.flowing


def test_as_json_every_place_is_there() -> None:
    document = json.loads(demo("vehicle", "tansy-m080", "--json").out)
    result = document["result"]
    assert (document["answer"], document["status"]) == ("vehicle", 1)
    assert [m["vehicle"] for m in result["matches"]] == ["tansy-mk-a", "tansy-mk-b", "tansy-mk-c"]
    assert len(result["rows"]) == 76
    words = {c["word"] for row in result["rows"] for c in row["cells"]}
    assert {"same number", "other sizes", "not recorded here", "same number, other sizes"} <= words


def test_a_vehicle_as_made_is_compared_with_the_others() -> None:
    ran = demo("vehicle", "tansy-mk-b")
    assert ran.status == 1
    assert "Compared with 2 vehicles as made" in ran.flowing and "Nobody looked" not in ran.out


def test_a_wrong_name_gets_the_nearest() -> None:
    ran = run("vehicle", "tansy-m08")
    assert (ran.status, ran.out) == (2, "")
    assert "no vehicle 'tansy-m08'" in ran.err and "tansy-m080" in ran.err


def test_the_real_command_answers_the_same() -> None:
    assert real("vehicle", "tansy-m080").out == demo("vehicle", "tansy-m080").out
