"""``knockon swap`` on the demo world and on a tiny one: what stands where, the numbers, the sentences that matter."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from knockon.queries.plan.swap import swap
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.plan.swap.whole import swap_text
from tests.commands.running import FULL, demo, full, run
from tests.commands.tiny import write_tiny
from tests.unit.small import with_rows, world

DEMO = Path(__file__).parents[2] / "data_demo"
# The order groups of the demo swap for both sides, reasoned by hand: group with hand, quantity.
GROUPS = (
    ("knuckle left", 1), ("knuckle right", 1), ("bearings with spacer", 2), ("inner seals", 2), ("outer seals", 2),
    ("slinger rings", 2), ("outer joints", 2), ("drive flanges", 2), ("wheel studs", 8), ("collars", 2),
    ("hub nuts", 2), ("hub split pins", 2),
    ("spring clips", 2), ("joint boots", 2), ("large clamps", 2), ("small clamps", 2),
    ("joint grease", 2), ("rotors", 2), ("rotor screws", 8), ("caliper left", 1), ("caliper right", 1), ("pads", 1),
    ("pad pin kits", 2), ("caliper bolts", 4), ("caliper lock tabs", 2), ("splash shield left", 1),
    ("splash shield right", 1), ("shield screws", 6), ("hoses", 2), ("copper washers", 2), ("shakeproof washers", 2),
    ("swivels upper", 2), ("swivels lower", 2), ("ball pin nuts", 4), ("arm lock plates", 2), ("track rod end nuts", 2),
    ("master cylinder", 1), ("rear wheel cylinders", 2), ("fluid", 1),
)  # fmt: skip

ORDER, CONSUMABLES = "ORDER LIST, BOTH SIDES", "WORKSHOP CONSUMABLES"
SECTIONS = (
    ORDER, CONSUMABLES, "THE OTHER PARTS", "WHY", "WHERE IT STOPS",
    "MEASURE BEFORE YOU ORDER",
    "REMAINING RISKS", "UNPROVEN CHECKS", "WHAT MEMBERS FOUND", "FOUND ON THE VEHICLE",
    "OTHER PLANS, WITH TRADE-OFFS", "CAUTIONS",
)  # fmt: skip


def test_records_then_what_was_asked_then_the_order_list() -> None:
    ran = demo(*FULL)
    assert ran.status == 0
    assert ran.lines[0] == "Records: the demo world (invented)"
    assert ran.lines[1] == 'm080\'s Mk A, as found (tansy-m080). You asked: "rotor=LARCH-201".'
    changed = "It can be done by changing from the drum to the disc arrangement. Measure first, then order 39"
    verdict = ran.lines.index(changed)
    danger = " ".join(" ".join(ran.lines[2:verdict]).split())
    assert danger.startswith("! DO NOT DRIVE this vehicle as it stands. Lower pin in arm, right lower ball pin, ")
    assert "ALDER-339" in danger and danger.endswith("before you fit anything there.")
    assert ran.lines[verdict + 1] == "groups for both sides."
    assert ran.lines[verdict + 2] == "Geometry only. Says nothing about strength, material, wear or approval."
    assert ran.lines[verdict + 3] == "Not known until you measure the vehicle: wheel stud engagement."
    assert tuple(line for line in ran.lines if line in SECTIONS) == SECTIONS


def test_order_list_has_the_groups_and_quantities_that_were_reasoned_by_hand() -> None:
    found = []
    for line in demo(*FULL).section(ORDER):
        match = re.match(r"\s*(\d+)\s{2}(\S.*?)\s{2,}(\d+)\s{2}", line)
        if match:
            found.append((int(match[1]), match[2], int(match[3])))
    assert found == [(i, name, quantity) for i, (name, quantity) in enumerate(GROUPS, 1)]


def test_consumables_stand_apart_from_the_order_list() -> None:
    ran = demo(*FULL)
    beside = "\n".join(ran.section(CONSUMABLES))
    assert "bearing grease" in beside and "brake cleaner" in beside
    assert "bearing grease" not in "\n".join(ran.section(ORDER))


def test_a_consumable_that_is_not_recorded_is_told_as_needed(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    (folder / "consumables.csv").write_text("layout,part type,with position,quantity\nbench,bearing grease,ring,2\n")
    asked = ("swap", "--full", "bench-1", "--want", "stub=STUB-B", "--records", str(folder))
    ran = run(*asked)
    (line,) = ran.section(CONSUMABLES)
    assert re.sub(r"\s+", " ", line).strip() == "bearing grease 2 - needed, no part recorded"
    (found,) = full(run(*asked, "--json").out)["result"]["consumables"]
    assert (found["number"], found["name"], found["quantity"], found["recorded"]) == ("", "bearing grease", 2, False)


def test_surcharge_is_told_with_the_price_that_holds_it() -> None:
    assert "187.00 * Dunmallow Spares" in demo(*FULL).out
    assert "exchange surcharge of 75.00 each. This vehicle has no old part of that kind" in demo(*FULL).flowing


@pytest.mark.parametrize(
    "sentence",
    [
        # lugs, knuckle, bearings, spacer, journal, joint, spline, flange, collar, nut: each link with its sizes
        "The caliper LARCH-203L comes with the disc arrangement. Caliper on lugs: ALDER-101L has no caliper lugs",
        "the knuckle ALDER-201L has bearing bores diameter 57.15 mm (2.250 in), "
        "the inner bearing ALDER-111 has bearing outside diameter 50.8 mm (2.000 in)",
        "Because of the knuckle, bearing float: the spacer is not for these bearings: they are crushed or they rattle. "
        "Short by 2.362 mm (0.093 in).",
        # a set's members never stand beside others: the loose bearing of the same drawing
        "Also, spacer by outer bearing: the bearing spacer ALDER-112 has pair pattern ALDER-111, "
        "the outer bearing ALDER-211 has pair pattern ALDER-211",
        "inner bearing on stub: the inner bearing ALDER-213 has bearing bore 28.575 mm (1 1/8 in), "
        "the outer joint ROWAN-101 has journal diameter 25.4 mm (1.000 in). "
        "The diameters of bore and journal do not match.",
        "the outer joint ROWAN-201 has stub spline major diameter 27.52 mm (1.083 in) and teeth 25, "
        "the drive flange ROWAN-141 has flange spline major diameter 23.65 mm (0.931 in) and teeth 21",
        "collar on flange: the drive flange ROWAN-241 has collar seat form taper, "
        "the hub collar ROWAN-151 has collar form flat",
        "hub nut on stub: the outer joint ROWAN-201 has stub end thread 3/4-16 UNF, "
        "the hub nut ROWAN-152 has nut thread 5/8-18",
        # what shows only on the bench
        "Also, nut fully on: the stub is too short: the nut is not fully on. Short by 11.227 mm (0.442 in).",
        # figures
        "more of the braking goes to the rear than as made: the back axle may lock first. Short by 6.3 %. "
        "It is 62.8 %, at least 69.1 % needed. This holds for a friction of pad on rotor of 0.5 and less "
        "(0.38 is assumed, from memory) and a brake factor C* of the front drum of 2.27 and more",
        # where it stops
        "shaft in joint, ROWAN-110L/R with ROWAN-201: teeth 19 and pitch 24/48 (module 1.058) on both",
        "arm on knuckle, ALDER-141L/R with ALDER-201L/R: bolt pitch 57.15 mm (2.250 in) on both",
        # kept after work
        "Stay after work, left and right wheel MAPLE-101: move the balance weights to the rim's edge.",
        # what was found
        "DO NOT DRIVE this vehicle as it stands. Lower pin in arm, right lower ball pin, right lower arm: "
        "the lower ball pin ALDER-339 has taper ratio 1:10, the lower arm ALDER-152 has taper bore ratio 1:8",
        "Inspect the taper of the right lower ball pin and the taper bore of the right lower arm before you fit "
        "anything there.",
        # what stays hidden
        "Hidden until corner apart: left and right drive shaft, outer spline",
        "Hidden until corner apart: left and right lower arm, taper bore",
    ],
)  # fmt: skip
def test_links_of_the_chain(sentence: str) -> None:
    assert sentence in demo(*FULL).flowing


@pytest.mark.parametrize(
    "wanted",
    [
        "steering arm, bolts: bolt pitch. Expect 57.15 mm (2.250 in). Decides: knuckle left and right.",
        "left and right upper ball pin, pin thread. Expect 1/2-20 UNF.",
        "wheel, bolt holes: count and pitch circle diameter. "
        "Expect count 4 and pitch circle diameter 101.6 mm (4.000 in).",
        "left and right front pipe, flare: form. Expect inverted flare.",
        "rear wheel cylinder, cylinder: bore. Expect 19.05 mm (3/4 in).",
        "left and right knuckle, look for caliper lugs and caliper lug threads. Expect none there (known absent). "
        "Decides: knuckle left and right. Type: knockon measured tansy-m080 'knuckle, caliper lugs: bolt pitch'",
        "Check that the old parts are as recorded: 14.",
    ],
)
def test_measure_first_says_where_what_and_what_is_expected(wanted: str) -> None:
    assert wanted in demo(*FULL).flowing


@pytest.mark.parametrize(
    "unwanted", ["left knuckle, bearing bores", "outer joint, journal", "drive flange, flange spline"]
)
def test_what_leaves_is_not_measured(unwanted: str) -> None:
    section = " ".join(demo(*FULL).section("MEASURE BEFORE YOU ORDER"))
    assert unwanted not in section


def test_each_link_is_told_once_and_for_both_hands() -> None:
    why = " ".join(" ".join(demo(*FULL).section("WHY")).split())
    assert why.count("Caliper on lugs: ALDER-101L has no caliper lugs") == 1
    assert "ALDER-201R has" not in why
    assert why.count("inner bearing on stub:") == 1


def test_notes_on_what_was_found_are_told_failures_first() -> None:
    """The pin was noted under the number of its set, by two members who say opposite things."""
    found = " ".join(demo(*FULL).section("FOUND ON THE VEHICLE"))
    assert found.index("Agrees with the sizes (lower pin in arm). N07") < found.index(
        "Found otherwise (lower pin in arm). N06"
    )


def test_raw_internals_are_not_printed() -> None:
    out = demo(*FULL).out
    assert not re.search(r"Verdict\.|Evidence\(|None\b|\[\]|\{\}|ALDER-213/|m080-pin-nut", out)


def test_plans_none_of_which_is_better_in_all() -> None:
    flowing = demo(*FULL).flowing
    assert "2 more unproven checks, 20.00 cheaper." in flowing
    assert "ALDER-211 instead of ALDER-213" in flowing
    assert "aster cylinder: HAZEL-104 instead of HAZEL-201; in-line residual valve: add HAZEL-105" in flowing


def test_how_many_plans_are_shown_can_be_asked() -> None:
    assert "OTHER PLANS" not in demo(*FULL, "--plans", "1").out


def test_as_made_the_swivels_stay() -> None:
    ran = demo("swap", "--full", "tansy-mk-a", "--want", "rotor=LARCH-201")
    assert ran.status == 0
    order = "\n".join(ran.section(ORDER))
    assert "ALDER-131" not in order and "ALDER-139" not in order
    assert "ALDER-135 swivel tab washer" in order  # one use, and disturbed
    assert "upper ball pin" in ran.flowing.partition("Move to the new parts:")[2].partition(".")[0]


def test_asked_for_is_told_before_what_it_forces(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    ran = run("--records", folder, "swap", "--full", "bench-1", "--want", "stub.diameter>=28 mm")
    assert (ran.status, ran.lines[0]) == (0, f"Records: {folder}")
    why = " ".join(ran.section("WHY"))
    assert why.index("STUB-B for STUB-A") < why.index("Asked for.") < why.index("RING-B for RING-A")
    assert "journal diameter 28.575 to 28.585 mm (1.1250 to 1.1254 in)" in ran.flowing


def test_nothing_fits_says_why_and_what_would_open_it(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    ran = run("swap", "--full", "bench-1", "--want", "stub=STUB-C", "--avoid", "RING-X", "--records", folder)
    assert ran.status == 1
    assert "NO PLAN" in ran.out
    assert "The diameters of bore and journal do not match." in ran.flowing
    opened = " ".join(ran.section("WHAT WOULD HELP"))
    ring = "Find a ring that agrees with the stub STUB-C (journal diameter 30 to 30.01 mm (1.1811 to 1.1815 in))."
    assert ring in " ".join(opened.split())
    assert 'Drop --avoid "RING-X": then there is a plan, with 2 checks not known.' in " ".join(opened.split())
    assert "ORDER LIST" not in ran.out


def test_a_part_of_unknown_size_is_named_as_not_known(tmp_path: Path) -> None:
    ran = run("swap", "--full", "bench-1", "--want", "stub=STUB-C", "--records", str(write_tiny(tmp_path)))
    assert ran.status == 1  # the plan rests on a part of unknown size: no order
    assert "depends on 2 checks that are not known" in ran.lines[2]
    assert "NOT KNOWN: ring on stub (RING-X, STUB-C). Measure RING-X, bearing: bore." in ran.flowing
    assert "cheapest offers" not in ran.out, "nobody offers anything of it"


def test_the_hybrid_flange_is_blocked_at_the_bearing() -> None:
    """The first interface fits; the chain ends at a bearing that nobody makes: 1.000 in the bore, 2.250 outside."""
    keep = ("--want", "drive flange=ROWAN-942", "--keep", "outer joint")
    ran = demo(*FULL, *keep)
    assert ran.status == 1
    assert ran.flowing.startswith("Records: the demo world (invented) m080's Mk A, as found (tansy-m080). You asked:")
    assert '"keep left and right outer joint". ! DO NOT DRIVE' in ran.flowing
    assert "fit anything there. NO PLAN" in ran.flowing
    why = " ".join(" ".join(ran.section("WHY")).split())
    for sentence in (
        "Caliper on lugs: ALDER-101L has no caliper lugs",
        "the knuckle ALDER-201L has bearing bores diameter 57.15 mm (2.250 in), "
        "the inner bearing ALDER-111 has bearing outside diameter 50.8 mm (2.000 in)",
        "has bearing bore 28.575 mm (1 1/8 in), the outer joint ROWAN-101 has journal diameter 25.4 mm (1.000 in)",
    ):
        assert sentence in why
    assert demo("fits", "ROWAN-101", "ROWAN-942").lines[2].startswith("FITS ON PAPER")


def test_a_due_thing_without_a_number_is_renewed_not_forced() -> None:
    ran = demo(*FULL)
    renewed = next(line for line in ran.flowing.split(" - ") if line.startswith("Renewed (needs replacing)"))
    assert "lower ball pin nut THORN-131" in renewed
    assert "ball pin nuts: THORN-131 for" not in ran.flowing


def test_a_sum_of_one_old_and_one_new_bearing_is_not_told() -> None:
    """The old spacer between two new bearings: .402 - (.440 + 2 x (.6875 - .660)) in = -.093 in."""
    said = "bearing float: the spacer is not for these bearings: they are crushed or they rattle. Short by 2.362 mm"
    assert said in demo(*FULL).flowing


def test_each_forced_change_says_why_once() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "rotor=LARCH-301", "--plans", "1")
    why = ran.out[ran.out.index("\nWHY\n") : ran.out.index("\nWHERE IT STOPS\n")]
    told = why[why.index("In full") :].splitlines()
    heads = [i for i, line in enumerate(told) if "(forced by" in line]
    assert all(told[i + 1].startswith("    -  ") for i in heads), "every forced change says why, or where it is told"
    entry = ""
    for line in told:
        if "(forced by" in line:
            entry = ""
        assert not ("the other ways" in line and "the other ways" in entry)
        entry += line
    assert "fits on paper: it comes to" not in why, "what fits is no reason"
    assert "comes with the disc arrangement. Upper pin" not in why


def test_what_is_so_already_needs_no_order() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "pressure limiter=HAZEL-243")
    assert ran.status == 0
    assert ran.lines[3] == "Nothing to order: the vehicle has this already."
    assert ORDER not in ran.lines and "WHY" not in ran.lines and "CAUTIONS" in ran.lines


def test_an_arrangement_given_up_unasked_is_said_first_and_why() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "wheel=MAPLE-901")
    head = ran.flowing[: ran.flowing.index(ORDER)]
    assert "It can be done, but only by changing from the disc to the drum arrangement" in head
    assert "The plan leaves the disc arrangement, though you did not ask for that." in head
    # 111.2 - 109.6 mm
    assert "It is 1.6 mm (0.063 in), at least 3 mm (0.118 in) needed" in head
    assert "The plan leaves" not in demo(*FULL).out
    master = demo("swap", "--full", "tansy-mk-a", "--want", "master cylinder=HAZEL-201").flowing
    assert "No plan keeps it, because: - Residual pressure at the front drums: the master cylinder HAZEL-201" in master


def test_numbers_that_nobody_offers_are_counted_once() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "brake drum=LARCH-101")
    assert "Nobody offers 28 other numbers." in ran.flowing  # ALDER-137 stands in two groups
    assert "ALDER-137 and ALDER-137" not in ran.flowing


def test_a_sound_part_bought_again_is_pointed_out_at_the_top() -> None:
    others = ("CAP-2,cap,hub washer or collar,either,yes,,,book", "STUD-2,stud,wheel stud,either,yes,,,book")
    catalogue = world(with_rows("parts.csv", *others))
    answer = swap(catalogue, "cart", want=["cap=CAP-2", "stud=STUD-2"], avoid=["HUB-25L", "HUB-25R"])
    text = " ".join(render(swap_text(catalogue, answer)).split())
    head = text[: text.index(ORDER)]
    assert 'of the same number: axle AXLE-20. To ask for a plan that keeps them, add --keep "axle".' in head
    assert "replaces sound parts" not in demo(*FULL).out


def test_a_good_knuckle_is_not_bought_again_to_get_its_bearings_free() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "bearing spacer=ALDER-912", "--plans", "1")
    assert "replaces sound parts" not in ran.out
    assert "Stay: knuckle ALDER-201L/R;" in ran.flowing


def test_members_failures_with_what_leaves_stand_beside_the_reasons() -> None:
    found = " ".join(demo(*FULL).section("WHAT MEMBERS FOUND"))
    for told in ("(hose reaches caliper). N12", "(residual pressure at the front brakes). N15",
                 "(front share of braking). N16"):  # fmt: skip
        assert f"Agrees with the sizes {told}" in found
    assert "Agrees with the sizes (wheel to caliper, radial); found otherwise" not in found
    assert "N07" not in found, "told with what was found on the vehicle"


def test_a_figure_that_is_wrong_as_the_vehicle_stands_says_by_how_much(tmp_path: Path) -> None:
    folder = shutil.copytree(DEMO, tmp_path / "records", ignore=shutil.ignore_patterns("*.py", "__pycache__"))
    read = ("rear drum, drum: diameter", "7.004 in")
    assert run("--records", str(folder), "measured", "tansy-m080", *read).status == 0
    ran = run("--records", str(folder), "swap", "tansy-m080", "--want", "rotor=LARCH-201")
    head = " ".join(" ".join(ran.lines[:12]).split())
    assert "as the vehicle stands: front share of braking (left caliper, left front wheel cylinder" in head
    assert "More of the braking goes to the rear than as made: the back axle may lock first. Short by 0.01 %." in head
