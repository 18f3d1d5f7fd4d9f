"""``knockon swap --want disc``, and ``--side-by-side``: a plan for each part that would meet the wish."""

from __future__ import annotations

import shlex
from pathlib import Path

import pytest

from tests.commands.running import demo, full, pasted, real, run
from tests.commands.tiny import write_tiny

SIDE_BY_SIDE = ("swap", "tansy-m080", "--want", "disc", "--side-by-side")


def test_an_arrangement_is_asked_for_and_told() -> None:
    ran = demo("swap", "--full", "tansy-m080", "--want", "disc")
    assert ran.status == 0
    assert 'You asked: "disc".' in ran.out
    assert (
        "It can be done by changing from the drum to the disc arrangement. Measure first, then order 39 groups"
        in ran.flowing
    )
    assert "New (asked for: disc brakes): rotor LARCH-201; rotor screw" in ran.flowing
    assert "The caliper LARCH-203L comes with the disc arrangement. Caliper on lugs: ALDER-101L has no" in ran.flowing
    assert "given up" not in ran.out


def test_the_order_list_is_that_of_its_best_part() -> None:
    order = "ORDER LIST, BOTH SIDES"
    alone = demo("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201").section(order)
    assert demo("swap", "--full", "tansy-m080", "--want", "brake=disc").section(order) == alone


def test_what_is_so_already_is_said() -> None:
    ran = demo("swap", "--full", "tansy-mk-b", "--want", "disc")
    assert ran.status == 0 and "Nothing to order: the vehicle has this already." in ran.out


def test_a_kit_is_held_against_an_arrangement() -> None:
    asked = ("kit", "K1", "--for", "tansy-m080", "--want")
    by_part, by_arrangement = demo(*asked, "rotor=LARCH-201"), demo(*asked, "disc")
    assert by_arrangement.status == by_part.status == 1
    said = by_arrangement.out.replace('"disc"', '"rotor=LARCH-201"').replace("--want disc", "--want rotor=LARCH-201")
    assert said == by_part.out


def test_a_table_of_targets_least_first() -> None:
    ran = demo(*SIDE_BY_SIDE)
    assert ran.status == 0
    assert "Side by side, 3 rotors for disc brakes." in ran.flowing
    assert (
        "LARCH-201 rotor 7.7 in needs the least work: 36 parts change, the offers cost 1649.80 and the" in ran.flowing
    )
    assert "next: knockon swap tansy-m080 --want rotor=LARCH-201 --want disc" in ran.lines
    rows = [" ".join(line.split()) for line in ran.section("LEAST WORK FIRST")]
    assert rows[0] == "rotor changed lines price not offered not known new wheels measure"
    assert rows[1] == "LARCH-201 rotor 7.7 in 36 39 1649.80 0 0 no, after work 18"
    assert any(r.startswith("LARCH-301 rotor 210 mm 51 49 189.40 39 12 yes") for r in rows)
    assert ran.out.count("DO NOT DRIVE") == 1  # what is wrong with the vehicle as it stands
    assert "Compare prices only where these counts are equal" in ran.flowing


def test_the_numbers_are_those_of_each_targets_own_answer() -> None:
    targets = full(demo(*SIDE_BY_SIDE, "--json").out)["result"]["targets"]
    assert [t["number"] for t in targets] == ["LARCH-201", "LARCH-901", "LARCH-301"]
    for target in targets[:2]:
        alone = full(demo("swap", "tansy-m080", "--want", target["wish"], "--json").out)["result"]
        assert alone["plan"]["costs"] == target["costs"]
        assert len(alone["measure_first"]) == target["measure"]
        lines = {line["number"] for group in alone["plan"]["groups"] for line in group["lines"]}
        assert len(lines) == target["lines"]


def test_a_target_without_a_plan_is_named_with_its_reason() -> None:
    ran = run(*SIDE_BY_SIDE, "--keep", "wheel", "--avoid", "LARCH-901")
    none = " ".join(" ".join(ran.section("NO PLAN")).split())
    assert none.startswith("- LARCH-301: wheel on flange: the drive flange ROWAN-341 has wheel circle pitch circle")
    assert "LARCH-901" not in "".join(ran.section("LEAST WORK FIRST"))
    assert "--want disc --keep wheel --avoid LARCH-901" in ran.flowing


def test_a_property_leaves_a_choice_too() -> None:
    ran = run("swap", "tansy-mk-b", "--want", "rotor.diameter>=200 mm", "--side-by-side", "--json")
    result = full(ran.out)["result"]
    assert result["position"] == "rotor" and [t["number"] for t in result["targets"]] == ["LARCH-301"]
    assert ran.status == 1 and result["targets"][0]["costs"]["not known"] > 0


def test_what_is_on_the_vehicle_is_so_already() -> None:
    ran = run("swap", "tansy-mk-b", "--want", "disc", "--side-by-side")
    assert "Nothing to order: the vehicle already has LARCH-201 rotor 7.7 in." in ran.out


def test_the_command_to_paste_asks_the_same_records(tmp_path: Path) -> None:
    folder = str(write_tiny(tmp_path))
    ran = run("swap", "bench-1", "--want", "stub.diameter>=28 mm", "--side-by-side", "--records", folder)
    command, _ = pasted(ran)
    words = shlex.split(command)
    assert words[:3] == ["knockon", "--records", folder]
    assert run(*words[1:]).out.count("You asked:") == 1


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--want", "rotor=LARCH-201", "--side-by-side"), "there is nothing to compare"),
        (("--renew", "wheel", "--side-by-side"), "there is nothing to compare"),
        (("--want", "dsic"), "no arrangement 'dsic' in these records. Nearest: disc"),
        (("--want", "disc", "--want", "drum"), "disc and drum are both brake arrangements, and only one can hold"),
        (("--want", "brake"), "'brake' is a choice. Write brake=disc or brake=drum"),
        (("--want", "drum", "--want", "rotor=LARCH-201"), "is only in the disc arrangement, and you ask for drum"),
    ],
)
def test_mistakes_are_told(arguments: tuple[str, ...], said: str) -> None:
    ran = run("swap", "tansy-m080", *arguments)
    assert (ran.status, ran.out) == (2, "")
    assert said in " ".join(ran.err.split())


def test_the_real_command_draws_no_bar_where_nobody_looks() -> None:
    ran = real("swap", "tansy-mk-b", "--want", "rotor.diameter>=200 mm", "--side-by-side")
    assert ran.status == 1 and ran.err == ""
