"""A kit held against the plan: missing, short, perhaps inside, unproven, wrong, surplus; the letter to the seller."""

from __future__ import annotations

import pytest

from knockon.graph.model.catalogue import UnknownNameError
from knockon.queries.as_typed import RequestError
from knockon.queries.plan.kit import MISSING, PERHAPS, PRESENT, SHORT, UNPROVEN, KitAnswer, check_kit, read_kit
from tests.unit.small import TABLES, with_rows, world

BIG = "axle=AXLE-25"


def kit(*lines: str, whole: bool = True, **changed: str) -> KitAnswer:
    tables = {"kit_lines.csv": "kit,part,quantity\n" + "".join(f"box,{x}\n" for x in lines)}
    if whole:
        tables["kits.csv"] = TABLES["kits.csv"].replace("fixings", "")
    return check_kit(world({**tables, **changed}), "box", "cart", want=[BIG])


def status(answer: KitAnswer) -> dict[str, str]:
    return {" ".join(x for x in (g.group, g.hand) if x): g.status for g in answer.groups}


def test_a_whole_kit_lacks_nothing() -> None:
    answer = kit("AXLE-25,1", "PAIR-25,1", "STUD-1,8")
    assert set(status(answer).values()) == {PRESENT}
    assert answer.message == ""
    assert {p.number: (p.status, p.over) for p in answer.parts} == {
        "AXLE-25": ("usable", 0),
        "PAIR-25": ("usable", 0),
        "STUD-1": ("usable", 0),
    }


def test_missing_and_short() -> None:
    answer = kit("AXLE-25,1", "HUB-25L,1", "HUB-25R,1", "STUD-1,6")
    assert status(answer) == {
        "axles": PRESENT, "hubs left": PRESENT, "hubs right": PRESENT, "studs": SHORT, "caps": MISSING,
    }  # fmt: skip
    assert answer.count(MISSING, SHORT) == 2
    assert "STUD-1 stud, 8 needed, 6 listed: is it included?" in answer.message


def test_the_plan_is_the_one_that_uses_most_of_the_kit() -> None:
    answer = kit("HUB-25L,1", "HUB-25R,1")
    assert status(answer)["hubs left"] == PRESENT  # though a pair would be cheaper


def test_a_line_that_is_not_itemised_excuses_small_fixings_only() -> None:
    small = TABLES["parts.csv"].replace("STUD-1,stud,wheel stud", "STUD-1,stud,rotor screw")
    positions = TABLES["positions.csv"].replace("corner,wheel stud", "corner,rotor screw")
    answer = kit("AXLE-25,1", "HUB-25L,1", "HUB-25R,1", whole=False, **{"parts.csv": small, "positions.csv": positions})
    assert status(answer)["studs"] == PERHAPS
    assert status(answer)["caps"] == MISSING
    assert "is it inside 'fixings'?" in answer.message


def test_wrong_and_too_many() -> None:
    answer = kit("AXLE-25,1", "PAIR-25,1", "STUD-1,10", "HUB-20L,1", "HUB-25L,1")
    parts = {p.number: (p.status, p.over) for p in answer.parts}
    assert parts["STUD-1"] == ("usable", 2)
    assert parts["HUB-20L"] == ("wrong", 1)
    assert parts["HUB-25L"][0] == "surplus"
    assert [e.check for p in answer.parts if p.number == "HUB-20L" for e in p.why] == ["hub on axle"]


def test_what_is_there_and_unproven_says_what_to_measure() -> None:
    answer = kit("AXLE-25,1", "HUB-?,2", "STUD-1,8", "CAP-1,2")
    (group,) = [g for g in answer.groups if g.group == "hubs"]
    assert group.status == UNPROVEN
    assert "HUB-?, bore: diameter" in group.to_measure
    assert "please measure" in answer.message


def test_no_plan_says_why() -> None:
    answer = check_kit(world(), "box", "cart", want=[BIG], keep=["hub"])
    assert answer.groups == () and answer.none is not None and answer.none.cites == ("hub on axle",)


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("CAP-1", [("CAP-1", 1)]),
        ("CAP-1 x2, STUD-1 x 8", [("CAP-1", 2), ("STUD-1", 8)]),
        ("cap-1 ×2, CAP-1", [("CAP-1", 3)]),
    ],
)
def test_a_list_of_numbers_is_a_kit(text: str, lines: list[tuple[str, int]]) -> None:
    read = read_kit(world(), text)
    assert ([(x.part, x.quantity) for x in read.lines], read.is_) == (lines, "shelf")


def test_a_kit_is_found_by_name() -> None:
    assert read_kit(world(), "Box").kit == "box"
    with pytest.raises(UnknownNameError):
        read_kit(world(), "bix")
    with pytest.raises(UnknownNameError):
        read_kit(world(), "CAP-9 x2, CAP-1")
    with pytest.raises(RequestError):
        read_kit(world(), ", ,")


def test_two_lines_of_one_number_add_up() -> None:
    tables = with_rows("kit_lines.csv", "box,CAP-1,2")
    held = {x.part: x.quantity for x in world(tables).kits["box"].lines}
    assert held["CAP-1"] == 2
