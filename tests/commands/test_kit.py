"""``knockon kit``: missing, short, perhaps inside, unproven, wrong, surplus; for the axle; with a letter."""

from __future__ import annotations

from pathlib import Path

from tests.commands.running import demo, run
from tests.commands.tiny import write_tiny

WANT = ("--for", "tansy-m080", "--want", "rotor=LARCH-201")


def test_what_the_complete_kit_lacks() -> None:
    ran = demo("kit", "K1", *WANT)
    assert ran.status == 1
    assert ran.lines[1].startswith("K1 Complete front disc conversion 7.7 in, all fittings (Dunmallow Spares, 1190.00)")
    assert (
        "for both sides 12 missing, 1 short, 9 short, perhaps inside, 2 present, unproven and 15 there." in ran.flowing
    )
    missing = "\n".join(ran.section("MISSING (12 GROUPS)"))
    for number in ("ALDER-212", "ROWAN-221", "ROWAN-112", "ROWAN-122", "ROWAN-123", "ROWAN-130", "LARCH-206L",
                   "LARCH-206R", "LARCH-205", "HAZEL-231", "HAZEL-150"):  # fmt: skip
        assert number in missing
    perhaps = "\n".join(ran.section("SHORT, OR PERHAPS INSIDE 'ALL FITTINGS': ASK (9 GROUPS)"))
    assert "LARCH-202 rotor screw" in perhaps and "8           4" in perhaps
    assert "ALDER-212" not in perhaps  # never a spacer
    assert "ALDER-931" in "\n".join(ran.section("PRESENT, UNPROVEN: MEASURE (2 GROUPS)"))


def test_letter_to_the_seller_names_each_lacking_line() -> None:
    section = "\n".join(demo("kit", "K1", *WANT).section("TO SEND TO THE SELLER"))
    assert "ALDER-212 bearing spacer, 2 needed, 0 listed: is it included?" in section
    assert "ROWAN-251 hub collar, split taper, 2 needed, 1 listed: is it included?" in section
    assert "LARCH-202 rotor screw, 8 needed, 4 listed: is it inside 'all fittings'?" in section


def test_wrong_lines_say_why() -> None:
    ran = demo("kit", "K2", *WANT)
    assert ran.status == 1
    assert "LARCH-902 rotor screw set of 8, pattern x1" in ran.out
    assert "ROWAN-901" in ran.flowing.partition("WRONG FOR THIS")[2]


def test_a_complete_kit_and_a_list_of_parts(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    asked = ("--for", "bench-1", "--want", "stub=STUB-B", "--records", folder)
    assert run("kit", "big", *asked).status == 0
    assert run("kit", "STUB-B x2, RING-B x2", *asked).status == 0
    short = run("kit", "half", *asked)
    assert short.status == 1
    assert "Not complete: of 2 order groups for both sides 1 short and 1 there." in short.out
    over = run("kit", "STUB-B x3, RING-B x2, STUB-A", *asked)
    assert "STUB-B big stub x1" in " ".join(over.section("MORE THAN IS NEEDED"))
