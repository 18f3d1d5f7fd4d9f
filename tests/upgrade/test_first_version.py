"""Records of the first version: they load, answer as they did, and can be brought up to date with the same meaning."""

from __future__ import annotations

import shutil
from functools import cache
from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.records import load
from knockon.queries.intake.check import check_records
from knockon.queries.intake.upgrade import Renamed, bring_up_to_date, what_to_upgrade
from knockon.queries.plan.swap import SwapAnswer, swap
from tests.commands.running import run

FIRST = Path(__file__).parent / "first_version"
LAYOUT = "tansy front axle"


@pytest.fixture(autouse=True)
def no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


@pytest.fixture
def old(tmp_path: Path) -> Path:
    return Path(shutil.copytree(FIRST, tmp_path / "records"))


@cache
def first() -> Catalogue:
    records = load(FIRST)
    assert not records.findings
    return records.catalogue


@cache
def asked_of_first() -> SwapAnswer:
    return swap(first(), "tansy-m080", want=["rotor=LARCH-201"])


def without_what_is_new(layout: Layout) -> Layout:
    """The layout without what no layout of the first version could say: choices, what is in the way, words, how to
    measure, kinds of terms, and when those ends are reached of which the first version did not say it."""
    positions = tuple(
        replace(p, arrangement=p.arrangement if p.arrangement in ("drum", "disc") else "", also_called=())
        for p in layout.positions
    )
    figures = tuple(
        replace(
            f,
            arrangement=f.arrangement if f.arrangement in ("drum", "disc") else "",
            terms=tuple(replace(t, kind="") for t in f.terms),
        )
        for f in (*layout.figures, *layout.told)
    )
    blank = {(j.joint, i) for j in first().layouts[LAYOUT].joints for i, end in enumerate(j.ends) if not end.reached}
    assert {name for name, _ in blank} == {
        "caliper on lugs",
        "caliper bolt in lug",
        "grease in joint",
        "fluid in master",
    }
    joints = tuple(
        replace(
            j,
            reached="" if (j.joint, 0) in blank else j.reached,
            other_reached="" if (j.joint, 1) in blank else j.other_reached,
        )
        for j in layout.joints
    )
    return replace(
        layout,
        title="",
        choices=(),
        positions=positions,
        joints=joints,
        figures=figures,
        told=(),
        in_the_way=(),
        uses=(),
        words=(),
        how_to_measure=(),
        steps=(),
    )


def test_they_load_without_a_finding_and_answer() -> None:
    plan = asked_of_first().plan
    assert plan is not None and plan.arrangement == "disc" and len(plan.groups) == 39
    assert first().layouts[LAYOUT].arrangements == ("disc", "drum")


def test_check_says_what_could_be_said_shorter(old: Path) -> None:
    answer = check_records(old)
    assert not answer.findings and answer.upgrade is not None
    (one,) = answer.upgrade.layouts
    assert [(u.uses, u.without) for u in one.uses] == [
        ("driven front corner", ("cartridge", "ball joint")), ("hydraulics", ()),
    ]  # fmt: skip
    assert one.taken_out["positions"] == 75 and one.kept["positions"] == 8
    assert {kind for kind, _ in one.adds} == {
        "what is in the way",
        "what a layout calls things",
        "how to measure",
        "step",
    }


def test_brought_up_to_date_they_say_the_same_in_fewer_rows(old: Path) -> None:
    assert run("--records", str(old), "upgrade").status == 0
    after = load(old)
    assert not after.findings
    assert without_what_is_new(after.catalogue.layouts[LAYOUT]) == without_what_is_new(first().layouts[LAYOUT])
    assert after.catalogue.layouts[LAYOUT].in_the_way
    assert (old / "layout_uses.csv").read_text().splitlines() == [
        "layout,uses,as,without",
        "tansy front axle,driven front corner,,cartridge;ball joint",
        "tansy front axle,hydraulics,,",
    ]
    assert len((old / "positions.csv").read_text().splitlines()) == 9
    kept = (FIRST / "positions.csv").read_text().splitlines()
    assert set((old / "positions.csv").read_text().splitlines()) <= set(kept)
    again = swap(after.catalogue, "tansy-m080", want=["rotor=LARCH-201"])
    assert again.plan == asked_of_first().plan and again.changes == asked_of_first().changes
    assert what_to_upgrade(old).is_up_to_date
    assert "up to date" in run("--records", str(old), "upgrade").flowing


def test_a_dry_run_writes_nothing(old: Path) -> None:
    before = {p: p.read_bytes() for p in old.rglob("*") if p.is_file()}
    ran = run("--records", str(old), "upgrade", "--dry-run")
    assert ran.status == 1
    said = ran.flowing
    assert "Nothing is written yet" in said and "75 of positions.csv" in said
    assert before == {p: p.read_bytes() for p in old.rglob("*") if p.is_file()}


def test_positions_of_other_names_get_those_of_the_ready_made_layout_wherever_they_are_named(old: Path) -> None:
    names = {"rotor": "brake disc", "bearing spacer": "distance piece"}
    tables = ("positions", "joints", "figure_terms", "fittings", "set_members", "consumables")
    for path in [old / f"{table}.csv" for table in tables] + sorted((old / "features").iterdir()):
        text = path.read_text(encoding="utf-8")
        for new, was in names.items():
            text = text.replace(f",{new},", f",{was},").replace(f"/{new},", f"/{was},")
        path.write_text(text, encoding="utf-8")
    # part types keep their words: only positions were called otherwise
    for path in (old / "positions.csv", old / "consumables.csv"):
        text = path.read_text(encoding="utf-8")
        for new, was in names.items():
            text = text.replace(f",corner,{was},", f",corner,{new},")
        path.write_text(text, encoding="utf-8")
    assert not load(old).findings
    assert set(what_to_upgrade(old).renamed) == {Renamed(LAYOUT, was, new) for new, was in names.items()}
    bring_up_to_date(old)
    after = load(old)
    assert not after.findings
    assert without_what_is_new(after.catalogue.layouts[LAYOUT]) == without_what_is_new(first().layouts[LAYOUT])
    assert after.catalogue.vehicles == first().vehicles and after.catalogue.set_members == first().set_members


def test_a_row_that_says_something_else_stays_and_stands(old: Path) -> None:
    path = old / "figures.csv"
    text = path.read_text(encoding="utf-8")
    assert "nut fully on,stack,,service,0 mm" in text
    path.write_text(
        text.replace("nut fully on,stack,,service,0 mm", "nut fully on,stack,,service,1 mm"), encoding="utf-8"
    )
    bring_up_to_date(old)
    (figure,) = [f for f in load(old).catalogue.layouts[LAYOUT].figures if f.figure == "nut fully on"]
    assert figure.low == 1.0


def test_a_table_with_a_row_that_cannot_be_read_is_not_touched(old: Path) -> None:
    with (old / "joints.csv").open("a", encoding="utf-8") as stream:
        stream.write(
            "tansy front axle,one,two,three,four,five,six,seven,eight,nine,ten,eleven,twelve,thirteen,fourteen\n"
        )
    before = (old / "positions.csv").read_bytes()
    ran = run("--records", str(old), "upgrade")
    assert ran.status == 2 and "Correct them first" in ran.err
    assert (old / "positions.csv").read_bytes() == before
