"""``knockon kit``: missing, short, perhaps inside, unproven, wrong, surplus; for the axle; with a letter."""

from __future__ import annotations

from pathlib import Path

from tests.commands.running import demo, run
from tests.commands.tiny import write_tiny

WANT = ("--for", "tansy-m080", "--want", "rotor=LARCH-201")


def test_what_the_complete_kit_lacks() -> None:
    ran = demo("kit", "K1", *WANT, "--full")
    assert ran.status == 1
    assert ran.lines[1].startswith("K1 Complete front disc conversion 7.7 in, all fittings (Dunmallow Spares, 1190.00)")
    assert "NOT COMPLETE: the kit has 15 of 39 order groups for both sides. 12 are missing, 1 is short" in ran.flowing
    assert "9 are short or perhaps inside and 2 are there but unproven." in ran.flowing
    missing = "\n".join(ran.section("MISSING, 12 GROUPS"))
    for number in ("ALDER-212", "ROWAN-221", "ROWAN-112", "ROWAN-122", "ROWAN-123", "ROWAN-130", "LARCH-206L",
                   "LARCH-206R", "LARCH-205", "HAZEL-231", "HAZEL-150"):  # fmt: skip
        assert number in missing
    perhaps = "\n".join(ran.section("ASK, 9 GROUPS"))
    assert "LARCH-202 rotor screw" in perhaps and "8           4" in perhaps
    assert "ALDER-212" not in perhaps  # never a spacer
    assert "ALDER-931" in "\n".join(ran.section("UNPROVEN, 2 GROUPS"))


def test_letter_to_the_seller_names_each_lacking_line() -> None:
    section = "\n".join(demo("kit", "K1", *WANT, "--full").section("MESSAGE TO THE SELLER"))
    assert "ALDER-212 bearing spacer, 2 needed, 0 listed: is it included?" in section
    assert "ROWAN-251 hub collar, split taper, 2 needed, 1 listed: is it included?" in section
    assert "LARCH-202 rotor screw, 8 needed, 4 listed: is it inside 'all fittings'?" in section


def test_wrong_lines_say_why() -> None:
    ran = demo("kit", "K2", *WANT, "--full")
    assert ran.status == 1
    assert "LARCH-902 rotor screw set of 8, pattern x1" in ran.out
    assert "ROWAN-901" in ran.flowing.partition("WRONG, 6 LINES")[2]


def test_a_complete_kit_and_a_list_of_parts(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    asked = ("--for", "bench-1", "--want", "stub=STUB-B", "--records", folder)
    assert run("kit", "big", *asked).status == 0
    assert run("kit", "STUB-B x2, RING-B x2", *asked).status == 0
    short = run("kit", "half", *asked, "--full")
    assert short.status == 1
    assert "NOT COMPLETE: the kit has 1 of 2 order groups for both sides. 1 is short." in short.out
    assert short.section("MESSAGE TO THE SELLER") == [
        "  About half of it: before I order, please tell me",
        "  -  rings: RING-B big ring, 2 needed, 1 listed: is it included?",
    ]
    over = run("kit", "STUB-B x3, RING-B x2, STUB-A", *asked, "--full")
    assert "STUB-B big stub x1" in " ".join(over.section("MORE THAN NEEDED"))


def test_a_kit_whose_own_lines_do_not_go_together_says_so() -> None:
    own = " ".join(demo("kit", "K2", *WANT, "--why").section("NOT TOGETHER"))
    assert "the outer joint ROWAN-901 has stub spline pitch 24/48 (module 1.058)" in own
    assert "flange ROWAN-941 has flange spline pitch module 1.0" in own
    assert "NOT TOGETHER" not in demo("kit", "K1", *WANT, "--full").out


def test_failures_with_its_parts_are_told_though_no_size_shows_them() -> None:
    found = " ".join(demo("kit", "K2", *WANT, "--notes").section("WHAT MEMBERS FOUND"))
    assert "N14 (2018 Oct, m030, LARCH-903), failed" in found
    assert "N05" not in found, "its wheel is not in the kit"


def test_a_kit_for_one_side_says_that_two_are_needed() -> None:
    ran = demo("kit", "K3", *WANT)
    assert "(for one side, Sorrelby Axle Shop, 64.00)" in ran.flowing
    assert "It is sold for one side. A second one makes up the 4 short groups." in ran.flowing


def test_the_letter_does_not_ask_a_bearing_kit_for_knuckles() -> None:
    letter = "\n".join(demo("kit", "K3", *WANT, "--full").section("MESSAGE TO THE SELLER"))
    assert "ALDER-912" in letter and "knuckle" not in letter
    assert "MESSAGE TO THE SELLER" not in demo("kit", "shelf-m080", *WANT, "--full").out


def test_sizes_of_both_hands_of_a_pair_are_asked_for_once() -> None:
    ran = demo("kit", "K2", *WANT, "--full")
    assert "LARCH-903 (left and right caliper), pistons: diameter and effective radius" in ran.flowing
    assert ran.flowing.count("pistons: diameter, effective radius") == 1


def test_the_page_has_a_row_for_each_line_that_is_lacking_and_a_line_for_each_that_is_wrong() -> None:
    ran = demo("kit", "K2", *WANT)
    rows = [" ".join(line.split()) for line in ran.section("WHAT IS LACKING")]
    assert "missing 1 + 1 0 + 0 LARCH-206L/R splash shield" in rows
    assert "measure 1 1 LARCH-903 caliper pair, rebuilt" in rows
    assert '! 2 ROWAN-901 outer joint "disc", pattern (nut fully on: short by 11.862 mm (0.467 in))' in ran.flowing
    assert "These parts of the kit do not go together: ROWAN-901 and ROWAN-941; LARCH-902 and ROWAN-941." in ran.flowing
    twice = [line for line in demo("kit", "K1", *WANT).lines if "ALDER-931" in line]
    assert len(twice) == 1, "a set at two positions"


def test_a_line_that_is_wrong_does_not_make_a_whole_kit_incomplete(tmp_path: Path) -> None:
    asked = ("--for", "bench-1", "--want", "stub=STUB-B", "--records", str(write_tiny(tmp_path)))
    ran = run("kit", "STUB-B x2, RING-B x2, STUB-C", *asked)
    assert ran.status == 1
    assert "COMPLETE: the kit has all that is needed" in ran.flowing and "NOT COMPLETE" not in ran.out
    assert "1 line of the kit is wrong for this: do not use it." in ran.flowing


def test_the_message_alone_is_ready_to_send() -> None:
    ran = demo("kit", "K1", *WANT, "--message")
    assert ran.lines[1] == ("About Complete front disc conversion 7.7 in, all fittings: before I order, please tell me")
    assert "DO NOT DRIVE" not in ran.out
