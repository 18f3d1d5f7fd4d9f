"""``part``, ``partners``, ``combinations`` and ``check``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from knockon.queries.plan.counting.count import Number
from tests.commands.running import demo, run
from tests.commands.tiny import write_tiny


def test_part_shows_features_in_mm_and_inch_with_sources() -> None:
    ran = demo("part", "rowan 201", "--full")
    assert ran.status == 0
    rows = [" ".join(line.split()) for line in ran.lines]
    assert "ROWAN-201 outer joint, disc" in rows
    assert "diameter 28.575 mm (1 1/8 in) quillmere-drawings, 1970-80 (drawing)" in rows
    assert "thread 3/4-16 UNF (19.05 mm (0.750 in)) quillmere-drawings, 1970-80 (drawing)" in rows
    assert "flange on stub stub spline drive flange" in rows
    assert any(r.startswith("As written: stub: 25T 24/48") for r in rows)


def test_part_tells_known_absent_from_not_recorded() -> None:
    assert (
        "caliper lugs (bolt pair): known absent, by quillmere-drawings."
        in demo("part", "ALDER-101L", "--evidence").flowing
    )
    assert "caliper lugs: known absent." in demo("part", "ALDER-101L").flowing
    assert "Not recorded:" in demo("part", "ROWAN-902").flowing


def test_a_claim_without_a_direction_is_told_with_both_parts_and_by_whom() -> None:
    said = ("(runs on the dust lip of ALDER-121), by quillmere-drawings", "1970-80 (drawing).")
    for part, other in (("ALDER-123", "ALDER-121"), ("ALDER-121", "ALDER-123")):
        flowing = demo("part", part).flowing
        assert f"Goes with {other} {said[0]}, {said[1]}" in flowing


def test_partners_by_joint_and_verdict() -> None:
    ran = demo("partners", "ROWAN-241", "--others")
    assert ran.status == 0
    section = ran.section("FLANGE ON STUB, WITH THE OUTER JOINT")
    assert section[0] == "-  Fits: ROWAN-201 outer joint, disc."
    assert "!  GOES TOGETHER, DO NOT USE: ROWAN-301 outer joint, disc." in section
    assert "-  Does not fit: ROWAN-101 outer joint, drum." in section
    page = demo("partners", "ROWAN-241")
    start = page.lines.index("flange on stub, with the outer joint (1 part does not fit):")
    assert "!  GOES TOGETHER, DO NOT USE: ROWAN-301 outer joint, disc." in page.lines[start:]
    assert "ROWAN-101" not in page.out


def test_combinations_show_what_may_stand_where_and_the_first_fillings(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    ran = run("combinations", "bench", "--with", "stub=STUB-B", "--first", "2", "--records", folder, "--full")
    assert ran.status == 0
    assert "ring      RING-B, RING-X ?" in ran.section("PARTS AT EACH POSITION")
    assert "ring      RING-B  big ring" in ran.section("THE BEST COMBINATION")
    second = " ".join(" ".join(ran.section("NEXT BEST")).split())
    assert "2. Left and right ring: RING-X instead of RING-B. Compared with the best: 2 more checks not known" in second
    assert "cheaper" not in second  # nobody offers it: no price of nought
    none = run("combinations", "bench", "--with", "stub=STUB-C", "--avoid", "RING-X", "--records", folder)
    assert none.status == 1
    assert "the ring RING-B has bearing bore 28.565 to 28.575 mm" in none.flowing  # the nearest there is


def test_combinations_say_how_many_there_are(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = ("combinations", "tansy front axle", "--first", "1")
    document = json.loads(demo(*asked, "--json").out)["result"]["counted"]
    assert document["exact"] and int(document["number"]) == 7_676_603_424
    said = "There are 7,676,603,424 combinations in all. Those that depend on unknown sizes are counted too."
    assert all(said in demo(*asked, *more).flowing for more in ((), ("--others",), ("--full",)))
    none = demo(*asked, "--with", "rotor=LARCH-201", "--with", "outer joint=ROWAN-101", "--json")
    assert none.status == 1 and json.loads(none.out)["result"]["counted"] == {"number": "0", "exact": True}

    for number, told, in_full in (
        (Number(1), "This is the only combination.", "This is the only combination."),
        (Number(28612930576398583), "There are about 2.86 × 10^16 combinations", "28,612,930,576,398,583 combinations"),
        (Number(9, exact=False), "There are at least 9 combinations. There were too many", "at least 9 combinations"),
        (None, "The combinations were not counted. That would take too long.", "were not counted"),
    ):
        monkeypatch.setattr("knockon.queries.plan.combinations.count_combinations", lambda *_, n=number: n)
        assert told in run(*asked).flowing and in_full in run(*asked, "--full").flowing


def test_combinations_on_the_demo_world() -> None:
    ran = demo("combinations", "tansy-front-axle", "--with", "rotor=LARCH-201", "--first", "1", "--others")
    assert ran.status == 0
    rows = [" ".join(line.split()) for line in ran.section("PARTS AT EACH POSITION")]
    assert "outer seal ALDER-222" in rows
    assert "bearing spacer ALDER-212, ALDER-213, ALDER-912" in rows


def test_check_of_a_sound_and_of_a_faulty_folder(tmp_path: Path) -> None:
    assert run("check", "--records", str(write_tiny(tmp_path / "sound"))).status == 0
    faulty = write_tiny(
        tmp_path / "faulty", journal="STUB-Q,journal,27 mm,drawings\nSTUB-A,journal,about so,drawings\n"
    )
    ran = run("check", "--records", str(faulty))
    assert ran.status == 1
    section = "\n".join(ran.section("FEATURES/JOURNAL.CSV"))
    assert "Row 5, column 'part': read 'STUB-Q'" in section
    assert "Row 6, column 'diameter': read 'about so'" in section
    assert "Skipped." in section


def test_what_was_set_aside_is_never_passed_over_in_silence(tmp_path: Path) -> None:
    faulty = str(write_tiny(tmp_path, journal="STUB-Q,journal,27 mm,drawings\n"))
    ran = run("part", "STUB-A", "--records", faulty)
    assert ran.status == 0
    assert ran.err == f"1 row or cell of the records skipped. See: knockon check --records {faulty}\n"


def test_partners_name_both_hands() -> None:
    assert "ALDER-201L/R knuckle, disc" in demo("partners", "ALDER-213").flowing


def test_a_filling_that_rests_on_unknowns_is_not_said_to_go_together() -> None:
    ran = demo("combinations", "tansy front axle", "--with", "outer joint=ROWAN-902", "--first", "1")
    assert "these parts go together" not in ran.out
    assert "NOT KNOWN YET: the best combination depends on" in ran.flowing


def test_why_a_set_is_no_partner_is_said() -> None:
    assert "ALDER-922 seal set, 2 pieces, unmarked (claimed to belong to it) (inner seal: no dust lip)" in (
        demo("partners", "ROWAN-201").flowing
    )
