"""``knockon fits --on all``: on how many vehicles first, then each verdict with its vehicles."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from knockon.graph.files.shipped import shipped
from tests.commands.running import demo, full, run
from tests.unit.small import folder_of

VEHICLES = [row["vehicle"] for row in csv.DictReader((Path(shipped("data_demo")) / "vehicles.csv").open())]


@pytest.mark.parametrize("part", ["ROWAN-201", "HAZEL-101", "LARCH-203L"])
def test_the_counts_are_those_of_each_vehicle_asked_alone(part: str) -> None:
    alone = {v: full(demo("fits", part, "--on", v, "--json").out)["result"]["verdict"] for v in VEHICLES}
    ran = demo("fits", part, "--on", "all", "--json")
    found = full(ran.out)["result"]
    assert {v["vehicle"]: v["verdict"] for v in found["vehicles"]} == alone
    assert found["fits"] == sum(v in ("fits", "fits with work") for v in alone.values())
    assert ran.status == (0 if found["fits"] == len(VEHICLES) else 1)


def test_the_summary_comes_first_and_the_danger_before_the_rest() -> None:
    ran = demo("fits", "HAZEL-101", "--on", "all")
    assert ran.status == 1
    assert ran.lines[2] == "Fits none of 4 vehicles. Goes together, do not use: 2. Fits on paper: 2."
    assert ran.lines[3] == "!  Do not use on: tansy-mk-b and tansy-mk-c."
    assert ran.out.index("GOES TOGETHER, DO NOT USE (2)") < ran.out.index("FITS ON PAPER (2)")
    assert "┃ DO NOT USE THEM TOGETHER." in ran.out
    assert "DO NOT DRIVE tansy-m080 as it stands: lower pin in arm." in ran.flowing


def test_the_same_words_stand_once_for_all_vehicles_that_they_hold_for() -> None:
    text = demo("fits", "ROWAN-201", "--on", "all").flowing
    assert (
        "- tansy-m080 (as found) and tansy-mk-a (as made). Left and right outer joint. Inner bearing on stub:" in text
    )
    assert "bore 25.4 mm (1.000 in), the outer joint ROWAN-201 has journal diameter 28.575 mm (1 1/8 in)" in text
    assert "tansy-mk-b (as made). Left and right outer joint. It stands there now." in text
    assert "Measure on this vehicle too: ALDER-211," in text


def test_a_part_of_another_arrangement_says_so() -> None:
    assert (
        "It belongs to disc brakes, which this vehicle does not have."
        in demo("fits", "LARCH-203L", "--on", "all").flowing
    )


def test_a_part_that_stands_nowhere_on_a_vehicle() -> None:
    ran = demo("fits", "FERN-01", "--on", "ALL")
    assert ran.status == 1
    assert "no position for it on any of 4 vehicles" in ran.out
    assert "No position for FERN-01 bearing grease 500 g." in ran.flowing


def test_fits_on_every_vehicle_is_exit_status_0(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "features" / "spigot.csv").write_text(
        "part,feature,diameter,source\nodd-axle,seat,20 mm ±0.001 mm,survey\nhis-axle,seat,20 mm ±0.001 mm,survey\n"
    )
    (folder / "features" / "register_bore.csv").write_text(
        "part,feature,diameter,source\nHUB-20L,bore,20.02 mm ±0.001 mm,book\n"
    )
    (folder / "vehicles.csv").write_text(
        "vehicle,title,layout,as made,made as,like\nmy-cart,mine,cart axle,no,,\nhis-cart,his,cart axle,no,,\n"
    )
    (folder / "items.csv").write_text(
        "item,part,title,after work on,work,source\nodd-axle,AXLE-20,my axle,,,survey\n"
        "his-axle,AXLE-20,his axle,,,survey\n"
    )
    (folder / "fittings.csv").write_text(
        "vehicle,position,side,part,item,condition\nmy-cart,axle,,,odd-axle,sound\nhis-cart,axle,,,his-axle,sound\n"
    )
    (folder / "claims.csv").write_text("part,claim,vehicle,other part,text,source\n")
    ran = run("--records", str(folder), "fits", "HUB-20L", "--on", "all", "--at", "hub on axle")
    assert ran.status == 0, ran.out
    assert ran.lines[2] == "Fits all 2 machines that are recorded."


def test_what_is_about_one_vehicle_is_not_asked_of_all() -> None:
    ran = demo("fits", "ROWAN-201", "--on", "all", "--why")
    assert ran.status == 2 and "Only --full goes with --on all." in ran.err


def test_a_misspelt_vehicle_is_still_suggested_and_said_by_its_own_name() -> None:
    ran = demo("fits", "ROWAN-201", "--on", "tansy-mk-bb")
    assert ran.status == 2 and "tansy-mk-b" in ran.err
    assert demo("fits", "ROWAN-201", "--on", "tansymkb").lines[1].endswith("on tansy-mk-b:")


def test_a_given_part_that_has_no_position_is_never_silently_left_out() -> None:
    ran = demo("fits", "ROWAN-201", "FERN-01", "--on", "tansy-mk-b")
    assert (
        "FERN-01 bearing grease 500 g has no position on tansy-mk-b. This answer says nothing about it." in ran.flowing
    )
    assert ran.status == 1
