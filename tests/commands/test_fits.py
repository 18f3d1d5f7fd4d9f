"""``knockon fits``: the verdict first and loud enough, then everything that it rests on."""

from __future__ import annotations

import json

import pytest

from tests.commands.running import demo, full

NEAR_MISS = ("fits", "ROWAN-301", "ROWAN-241")
CAUTION = "Geometry only. Says nothing about strength, material, wear or approval."


def test_the_dangerous_near_miss_is_boxed_and_louder_than_does_not_fit() -> None:
    ran = demo(*NEAR_MISS)
    assert ran.status == 1
    assert ran.lines[1] == "ROWAN-301 outer joint, disc and ROWAN-241 drive flange, disc:"
    top, verdict, danger, *_ = ran.lines[2:]
    assert set(top) <= set("┏━┓")
    assert verdict.strip("┃ ") == "GOES TOGETHER, DO NOT USE"
    assert danger.strip("┃ ").isupper()
    assert "flange on stub: goes together, do not use" in ran.lines


@pytest.mark.parametrize("parts", [NEAR_MISS[1:], ("ROWAN-201", "ROWAN-241"), ("ROWAN-902", "ROWAN-241")])
def test_caution_stands_beside_the_verdict(parts: tuple[str, ...]) -> None:
    lines = demo("fits", *parts).lines
    verdict = next(
        i for i, line in enumerate(lines) if line.strip("┃ ").startswith(("FITS", "NOT KNOWN", "GOES TOGETHER"))
    )
    assert CAUTION in lines[verdict : verdict + 6]


def test_conditions_stand_side_by_side_with_margins() -> None:
    rows = [" ".join(line.split()) for line in demo(*NEAR_MISS).lines]
    assert "condition ROWAN-301 ROWAN-241 margin" in rows
    assert any(
        r.startswith("teeth overlap 26 mm (1.024 in) 25.4 mm (1.000 in) agrees 0.59 mm (0.023 in)") for r in rows
    )
    assert any(r.startswith("tooth count 25 25 agrees equal") for r in rows)
    assert any(r.startswith("spline pitch module 1.0 24/48 (module") and " NO " in r for r in rows)


def test_numbers_of_the_near_miss() -> None:
    flowing = demo(*NEAR_MISS).flowing
    assert "tooth overlap 0.3 mm (0.012 in)" in flowing
    assert "tooth depth of the female 1.245 mm (0.049 in)" in flowing
    assert "flat caliper jaws show across the male 25.897 mm" in flowing  # an odd count reads low


def test_of_a_pair_that_does_not_enter_no_number_is_told_that_holds_only_if_it_did() -> None:
    pair = ("fits", "ROWAN-201", "ROWAN-141", "--at", "flange on stub")
    text = demo(*pair).flowing
    assert "tooth overlap" not in text
    assert "flat caliper jaws show across the male 27.411 mm" in text, "it is about one part alone"
    (joint,) = full(demo(*pair, "--json").out)["result"]["joints"]
    told = {line["label"]: (line["low"], line["holds"]) for line in joint["lines"] if line["need"] == "told"}
    assert told["tooth overlap"] == (3.175, False)
    assert told["flat caliper jaws show across the male"][1] and told["tooth depth of the female"][1]
    (near,) = full(demo(*NEAR_MISS, "--at", "flange on stub", "--json").out)["result"]["joints"]
    assert all(line["holds"] for line in near["lines"]), "those do go together"


def test_the_other_way_round_does_not_enter() -> None:
    ran = demo("fits", "ROWAN-201", "ROWAN-341")
    assert ran.status == 1
    assert "DOES NOT FIT." in ran.out
    assert "The male spline's tips are bigger than the bottom of the female's spaces: it does not enter." in ran.flowing


def test_a_note_that_agrees_is_shown_as_agreeing() -> None:
    section = " ".join(" ".join(demo(*NEAR_MISS, "--notes").section("WHAT MEMBERS FOUND")).split())
    assert "Agrees with the sizes (flange on stub). N19 (2020-07-19, m055, C joint, B flange), failed:" in section


def test_a_note_that_found_otherwise_is_shown_first_and_its_condition_with_it() -> None:
    section = "\n".join(demo("fits", "MAPLE-101", "LARCH-203L", "--notes").section("WHAT MEMBERS FOUND"))
    assert section.index("Found otherwise") < section.index("N05 (") < section.index("Agrees") < section.index("N04 (")
    assert "weights" in section


def test_wheel_clears_by_the_number_that_the_note_confirms() -> None:
    ran = demo("fits", "MAPLE-101", "LARCH-203L")
    assert ran.status == 0
    assert "4.7 mm (0.185 in), at least 3 mm (0.118 in) needed, margin 1.7 mm (0.067 in)." in ran.flowing
    assert "FITS. All required sizes agree" in ran.out
    assert "safe" not in ran.out.casefold()


def test_unknown_sizes_are_named_with_what_to_measure() -> None:
    ran = demo("fits", "ROWAN-902", "ROWAN-241")
    assert ran.status == 1
    assert "NOT KNOWN." in ran.out
    section = " ".join(ran.section("MEASURE THIS"))
    assert "ROWAN-902, stub spline: major diameter, pitch" in section


def test_what_needs_more_parts_is_named_and_judged_when_they_are_given() -> None:
    alone = demo("fits", "ROWAN-901", "ROWAN-241", "--others")
    assert "nut fully on" in "\n".join(alone.section("NOT JUDGED, NEEDS MORE PARTS"))
    placed = demo("fits", "ROWAN-901", "--on", "tansy-mk-b")
    assert placed.status == 1
    assert "nut fully on: goes together, do not use" in placed.lines


def test_checks_not_judged_are_named_or_counted_beside_the_verdict() -> None:
    pair = ("fits", "ALDER-101L", "ALDER-111")
    open_checks = [c["figure"] for c in full(demo(*pair, "--json").out)["result"]["not_judged"]]
    head = demo(*pair).flowing.partition("Not judged without more parts: ")[2].partition(". ")[0]
    named = [c for c in open_checks if c in head]
    assert len(named) == 2 and head.endswith(f" and {len(open_checks) - len(named)} more")


def test_parts_that_never_meet() -> None:
    ran = demo("fits", "LARCH-203L", "LARCH-203R")
    assert ran.status == 1
    assert "They do not meet: one is for the left and one for the right." in ran.flowing


def test_one_joint_can_be_asked_alone() -> None:
    ran = demo("fits", "ROWAN-201", "ROWAN-241", "--at", "Flange on stub")
    assert ran.status == 0
    assert "spline engagement" not in ran.out.partition("WHAT MEMBERS")[0].partition("NOT JUDGED")[0]


def test_every_fit_states_its_weakest_evidence_and_sources() -> None:
    ran = demo("fits", "ROWAN-201", "ROWAN-241", "--full")
    assert "Sizes from quillmere-drawings, 1970-80 (drawing). Weakest evidence: drawing." in ran.flowing
    assert "Limits: ANSI B92.1, ISO 4156" in ran.flowing


def test_evidence_that_does_not_compute_is_shown() -> None:
    assert (
        "Also stated, not used: ALDER-152, taper bore: ratio 1:8 (N07"
        in demo("fits", "ALDER-152", "ALDER-139", "--evidence").flowing
    )


def test_no_tightening_value_of_a_note_is_repeated() -> None:
    for arguments in (
        ("fits", "ROWAN-352", "ROWAN-201", "--notes"),
        ("part", "ROWAN-252"),
        ("part", "ROWAN-252", "--json"),
    ):
        out = demo(*arguments).out
        assert "tightening value left out: no source" in " ".join(out.split())
        assert "150 lb" not in out and "80 lb" not in out


@pytest.mark.parametrize("parts", [("ROWAN-201", "HAZEL-150"), ("ROWAN-201", "ROWAN-201"), ("HAZEL-112", "LARCH-203L")])
def test_of_parts_that_do_not_meet_nothing_is_said_to_fit(parts: tuple[str, str]) -> None:
    ran = demo("fits", *parts)
    assert ran.status == 1
    assert "fits" not in ran.out.partition("Records:")[2].casefold()
    assert ran.out.count(CAUTION) == 1


def test_a_joint_between_other_parts_says_between_which() -> None:
    ran = demo("fits", "ROWAN-201", "ALDER-211", "--at", "flange on stub")
    assert "They do not meet: flange on stub is between the outer joint and the drive flange." in ran.flowing


def test_a_part_that_no_plan_would_use_says_so_beside_the_verdict() -> None:
    lines = demo("fits", "ALDER-905", "ALDER-211").lines
    verdict = next(i for i, line in enumerate(lines) if line.startswith("FITS ON PAPER"))
    said = " ".join(lines[verdict : verdict + 5])
    assert "! ALDER-905: sleeved and lugs welded on, no drawing, no report" in " ".join(said.split())


def test_a_size_that_does_not_compute_is_told_once() -> None:
    ran = demo("fits", "ALDER-212", "ALDER-211", "ALDER-201L", "--full")
    assert ran.flowing.count("N03, m033, 2012-11-02 (worn)") == 1
    assert "not used  " not in ran.out


def test_pressures_stand_in_both_units() -> None:
    assert "over by 55.2 kPa (8 psi)" in demo("fits", "HAZEL-101", "LARCH-203L").flowing


def test_a_needed_part_between_them_that_is_left_out_is_named_in_the_head() -> None:
    ran = demo("fits", "ROWAN-201", "ROWAN-241", "ROWAN-252")
    assert ran.status == 1
    assert ran.lines[2].startswith("NOT KNOWN. Name the missing part too.")
    assert "Left out: the inner bearing, the bearing spacer, the outer bearing and the hub collar." in ran.flowing
    assert "use --empty to judge without one of them" in ran.flowing


def test_one_that_is_left_out_is_spoken_of_as_one() -> None:
    given = ("ROWAN-201", "ROWAN-241", "ROWAN-252", "ALDER-211", "ALDER-212")
    assert "Left out: the knuckle and the hub collar. They are needed here." in demo("fits", *given).flowing
    one = demo("fits", *given, "--empty", "knuckle").flowing
    assert "Left out: the hub collar. It is needed here. Name its part too, or use --empty to judge without it." in one


def test_of_many_checks_those_that_decide_stand_in_full_and_the_others_in_a_line_each() -> None:
    question = ("fits", "ROWAN-201", "--on", "tansy-mk-b")
    result = full(demo(*question, "--json").out)["result"]
    better = [c["check"] for c in (*result["joints"], *result["figures"]) if c["verdict"] != result["verdict"]]
    assert better == ["spline engagement, stub length"]
    ran = demo(*question, "--full")
    brief = ran.lines.index("OTHER CHECKS, IN BRIEF")
    assert ran.lines[brief + 1].startswith("-  spline engagement, stub length: fits. 2.962 mm (0.117 in)")
    assert "spline engagement, stub length: fits" not in ran.lines


def test_of_two_checks_the_one_that_decides_is_named() -> None:
    ran = demo("fits", "ALDER-221", "ROWAN-101")
    assert ran.section("DECIDING CHECK")[0] == "inner seal on joint: not known"
    assert len(ran.section("OTHER CHECKS")) == 1


def test_a_position_that_is_left_empty_on_purpose_is_refused() -> None:
    placed = demo("fits", "ROWAN-201", "--on", "tansy-mk-b", "--empty", "hub collar")
    assert placed.status == 1
    assert "GOES TOGETHER, DO NOT USE" in placed.out
    assert (
        "The hub collar is judged as empty, but ROWAN-201 needs it. It counts as 0 in these checks:" in placed.flowing
    )
    assert "nut seat beyond thread start: goes together, do not use" in placed.lines
    alone = demo("fits", "ROWAN-201", "ROWAN-241", "ROWAN-252", "--empty", "hub_collar")
    assert alone.status == 1 and "GOES TOGETHER, DO NOT USE" in alone.out
    result = json.loads(demo("fits", "ROWAN-201", "ROWAN-241", "ROWAN-252", "--empty", "hub_collar", "--json").out)
    assert [v["position"] for v in result["result"]["empty"]] == ["hub collar"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--empty", "hub colar"), "no position 'hub colar'"),
        (("ROWAN-251", "--empty", "hub collar"), "Leave out ROWAN-251, or --empty"),
        (("--at", "flange on stub", "--empty", "hub collar"), "Leave out --empty"),
    ],
)
def test_what_cannot_be_left_empty_is_told(arguments: tuple[str, ...], said: str) -> None:
    ran = demo("fits", "ROWAN-201", "ROWAN-241", *arguments)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())


def test_what_is_wrong_on_the_vehicle_stands_before_the_verdict() -> None:
    """Whatever is asked of it: a wrong pin is not fit to drive with, also where the parts that were named agree."""
    ran = demo("fits", "LARCH-201", "--on", "tansy-m080")
    swapped = demo("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201")
    dangers = [x for x in swapped.flowing.split(" ! ") if "DO NOT DRIVE this vehicle as it stands" in x]
    assert dangers
    assert "DO NOT DRIVE this vehicle as it stands" in ran.flowing
    verdict = min(i for i in (ran.flowing.find(v.upper()) for v in ("fits", "does not fit", "not known")) if i >= 0)
    assert ran.flowing.index("DO NOT DRIVE") < verdict
    assert "vehicle as it stands" not in demo("fits", "LARCH-201", "LARCH-221").flowing


@pytest.mark.parametrize(
    "question",
    [
        ("fits", "ROWAN-201", "--on", "tansy-mk-b"),
        ("fits", "ROWAN-901", "--on", "tansy-mk-b"),
        ("fits", "ROWAN-902", "--on", "tansy-m080"),
        ("fits", "LARCH-201", "--on", "tansy-m080"),
        ("fits", "ALDER-201L", "--on", "tansy-mk-a"),
        ("fits", "ALDER-905", "ALDER-211"),
        ("part", "ROWAN-201"),
        ("part", "ALDER-201L"),
        ("part", "ALDER-922"),
        ("partners", "ROWAN-201"),
        ("partners", "ALDER-201L"),
    ],
    ids=" ".join,
)
def test_the_first_page_holds_the_verdict_and_stands_on_one_screen(question: tuple[str, ...]) -> None:
    ran = demo(*question)
    assert len(ran.lines) <= 60 and max(map(len, ran.lines)) <= 100
    assert CAUTION in ran.lines
    assert ran.lines[-1].strip().removeprefix("next: ").startswith("knockon ")


def test_each_part_of_the_long_answer_is_shown_on_demand() -> None:
    question = ("fits", "ROWAN-201", "--on", "tansy-mk-b")
    full = demo(*question, "--full").flowing
    for option in ("--why", "--measure", "--evidence", "--notes"):
        part = demo(*question, option)
        assert part.status == 1 and "FITS ON PAPER" in part.out and CAUTION in part.lines
    assert "Limits: ANSI B92.1" in demo(*question, "--evidence").flowing
    assert "N22 (" in demo(*question, "--notes").out and "N22 (" in full
    one = demo(*question, "--why", "boot on joint")
    assert "boot on joint: fits on paper" in one.lines and "shaft in joint: fits on paper" not in one.lines
    wrong = demo(*question, "--why", "boot on jont")
    assert wrong.status == 2 and "Nearest: boot on joint" in wrong.err


def test_sizes_of_the_vehicles_own_parts_are_named_to_measure_where_they_keep_a_fit_on_paper() -> None:
    """What is not measured on the vehicle is a claim of its number: the answer stays "on paper" until it is."""
    section = " ".join(demo("fits", "ROWAN-201", "--on", "tansy-mk-b").section("MEASURE THIS"))
    assert "Measure these on tansy-mk-b too" in section and "ROWAN-241" in section and "ROWAN-201 " not in section
