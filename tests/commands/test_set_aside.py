"""A joint, figure or position whose row was set aside is a check that nobody makes: answers that it touches say so."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.commands.running import Ran, full, run
from tests.commands.tiny import write_tiny

BAD = "bench,ring on rim,ring,bearing,stub,journal,bearing on jurnal,corner apart,on the vehicle\n"
TOLD = (
    'joints.csv, row 3, was skipped (rule "bearing on jurnal": no such rule). The joint "ring on rim" between ring '
    "and stub is not checked, and its result is not known. See knockon check."
)
SWAP = ("swap", "bench-1", "--want", "stub=STUB-B", "--full")


def asked(folder: Path, *question: str) -> tuple[Ran, dict[str, Any]]:
    """The text and the JSON of one question."""
    where = ("--records", str(folder))
    return run(*question, *where), full(run(*question, *where, "--json").out)["result"]


@pytest.fixture
def bench(tmp_path: Path) -> Path:
    return write_tiny(tmp_path, joints=BAD)


def test_two_parts_never_fit_where_a_joint_between_them_was_set_aside(bench: Path, tmp_path: Path) -> None:
    ran, result = asked(bench, "fits", "STUB-B", "RING-B")
    assert run("fits", "STUB-B", "RING-B", "--records", str(write_tiny(tmp_path / "whole"))).status == 0
    assert (ran.status, result["verdict"]) == (1, "not known")
    assert TOLD in ran.flowing
    assert "A check between these parts cannot be read from them" in ran.flowing
    assert TOLD in result["cautions"]
    (row,) = result["set_aside"]
    assert (row["file"], row["row"], row["name"], row["positions"]) == (
        "joints.csv",
        3,
        "ring on rim",
        ["ring", "stub"],
    )


def test_a_no_stays_a_no(bench: Path) -> None:
    ran, result = asked(bench, "fits", "STUB-A", "RING-B")
    assert result["verdict"] not in ("not known", "fits")
    assert TOLD in ran.flowing


def test_parts_whose_only_joint_was_set_aside_are_not_told_to_meet_nowhere(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    table = folder / "joints.csv"
    whole = table.read_text()
    other = "bench,stub on stub,stub,end,stub,end,fitting place,corner apart,on the vehicle\n"
    table.write_text(whole.replace("bearing on journal", "bearing on jurnal") + other)
    ran, result = asked(folder, "fits", "STUB-B", "RING-B")
    assert (ran.status, result["verdict"]) == (1, "not known")
    assert "They do not meet" not in ran.out and 'The joint "ring on stub"' in ran.flowing
    ran, result = asked(folder, "fits", "STUB-B", "RING-B", "--at", "ring on stub")
    assert (ran.status, result["verdict"]) == (1, "not known")


def test_a_row_that_cannot_be_split_is_told_without_a_name(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, joints="bench,ring on rim,ring,bearing,stub,journal,rule,a,b,c,d,e,f\n")
    ran, result = asked(folder, "fits", "STUB-B", "RING-B")
    assert result["verdict"] == "fits"  # nobody knows what it was about
    assert "joints.csv, row 3, was skipped (more cells than columns)" in ran.flowing


def test_a_swap_and_a_kit_tell_the_joint_before_the_order(bench: Path) -> None:
    for question, heading in ((SWAP, "ORDER LIST"), (("kit", "big", "--for", *SWAP[1:]), "CAUTIONS")):
        ran, result = asked(bench, *question)
        text = ran.flowing
        assert TOLD in text and text.index(TOLD) < text.index(heading), question
        assert text.count(TOLD) == 1
        assert TOLD in result["cautions"]


def test_a_swap_that_does_not_touch_the_positions_says_nothing(tmp_path: Path) -> None:
    more = "bench,lid,corner,hub nut,1,optional,lids,30\nbench,cap,corner,hub washer or collar,1,optional,caps,40\n"
    row = "bench,cap on lid,cap,rim,lid,rim,no such rule,corner apart,on the vehicle\n"
    folder = write_tiny(tmp_path, positions=more, joints=row)
    ran, result = asked(folder, *SWAP)
    assert "cap on lid" not in ran.out and not result["set_aside"]


def test_a_figure_and_a_position_that_were_set_aside_are_told_too(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, positions="bench,lid,corner,hub nut,one,needed,lids,30\n")
    header = "layout,figure,is,sort,low,high,unit,compared with,standing,source,says\n"
    row = "bench,room,stack,service,much,,mm,limits,from memory,nobody,too little room\n"
    (folder / "figures.csv").write_text(header + row)
    terms = "layout,figure,order,position,feature,dimension,factor\nbench,room,1,stub,journal,diameter,1\n"
    (folder / "figure_terms.csv").write_text(terms)
    ran, _ = asked(folder, *SWAP)
    assert 'The figure "room" of stub is not checked' in ran.flowing
    assert 'The position "lid" is not in the layout' in ran.flowing


def test_a_figure_of_which_every_term_was_set_aside_is_told(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    header = "layout,figure,is,sort,low,high,unit,compared with,standing,source,says\n"
    rows = "bench,room,stack,service,1,,mm,limits,from memory,nobody,too little room\n"
    (folder / "figures.csv").write_text(header + rows + rows.replace("room,stack", "gap,stack"))
    terms = "bench,room,1,stub,journal,diameter,one\nbench,room,2,rimg,bearing,bore,1\n"
    terms += "bench,gap,1,stub,journal,diameter,one\nbench,gap,2,ring,bearing,bore,1\n"
    (folder / "figure_terms.csv").write_text("layout,figure,order,position,feature,dimension,factor\n" + terms)
    ran, result = asked(folder, "fits", "STUB-B", "RING-B")
    assert 'figure_terms.csv, row 2, was skipped (factor "one": ' in ran.flowing
    assert 'The figure "room" of stub and rimg is not checked' in ran.flowing
    assert [r["name"] for r in result["set_aside"]] == ["room"], "the other one has a term left and stays open"
    assert result["verdict"] == "not known"


def test_a_fitting_that_was_set_aside_is_not_what_another_vehicle_has(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    (folder / "vehicles.csv").write_text("vehicle,layout,as made,like\nbench-1,bench,yes,\nbench-2,bench,no,bench-1\n")
    fittings = "vehicle,position,part,condition\nbench-1,stub,STUB-B,sound\nbench-1,ring,RING-B,sound\n"
    (folder / "fittings.csv").write_text(fittings + "bench-2,ring,RING-A,sound\n")
    assert asked(folder, "fits", "STUB-B", "--on", "bench-2")[1]["verdict"] == "does not fit"
    (folder / "fittings.csv").write_text(fittings + "bench-2,ring,RIGN-A,sound\n")
    ran, result = asked(folder, "fits", "STUB-B", "--on", "bench-2")
    assert (ran.status, result["verdict"]) == (1, "not known")
    assert 'fittings.csv, row 4, was skipped (part "RIGN-A": ' in ran.flowing
    assert 'The thing in ring of "bench-2" is not known. See knockon check.' in ran.flowing
    assert not asked(folder, "fits", "STUB-B", "--on", "bench-1")[1]["set_aside"]


def test_a_set_whose_member_was_set_aside_never_fits(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, parts="SET-1,a set,bearing spacer,either,no,drawings\n")
    members = "set,position,as part\nSET-1,stub,STUB-B\n"
    (folder / "set_members.csv").write_text(members + "SET-1,ring,RING-A\n")
    assert asked(folder, "fits", "SET-1", "RING-B")[1]["verdict"] == "does not fit"
    (folder / "set_members.csv").write_text(members + "SET-1,rimg,RING-A\n")
    ran, result = asked(folder, "fits", "SET-1", "RING-B")
    assert (ran.status, result["verdict"]) == (1, "not known")
    assert 'The member in rimg of "SET-1" is not known' in ran.flowing


@pytest.mark.parametrize("question", [("combinations", "bench", "--with", "stub=STUB-B"), ("partners", "STUB-B")])
def test_combinations_and_partners_tell_it_at_their_head(bench: Path, question: tuple[str, ...]) -> None:
    ran, result = asked(bench, *question)
    assert ran.flowing.count(TOLD) == 1
    assert ran.flowing.index(TOLD) < ran.flowing.index("Geometry only.")
    assert "It goes together." not in ran.out
    assert TOLD in result["cautions"] and len(result["set_aside"]) == 1


def test_many_rows_are_told_in_few_lines_each_with_its_row(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, joints="".join(BAD.replace("on rim", f"on rim {i}") for i in range(6)))
    for question in (("fits", "STUB-B", "RING-B"), SWAP, ("partners", "STUB-B")):
        ran, result = asked(folder, *question)
        assert ran.flowing.count("is not checked, and its result is not known") == 3
        assert 'Not checked either: the joint "ring on rim 3" (joints.csv, row 6); the joint' in ran.flowing
        assert 'the joint "ring on rim 5" (joints.csv, row 8).' in ran.flowing
        assert len([c for c in result["cautions"] if "was skipped" in c]) == 6
