"""Steps of the work as ready-made layouts have them, and as a layout that is put together takes them over."""

from __future__ import annotations

import re
from graphlib import TopologicalSorter

import pytest

from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.model.work import FIT, GATE, Step
from knockon.graph.records import Records, records_from_text
from tests.texts.spoken import BANNED
from tests.unit.test_ready_made import CAR, car

LONGEST_SENTENCE = 25
GATES = ("bearing spacer", "hub collar", "hub split pin", "spring clip", "caliper lock tab", "upper tab washer")


def layout_of(records: Records, name: str = "my car") -> Layout:
    assert not [f for f in records.findings if "steps" in f.file]
    return records.catalogue.layouts[name]


def step(layout: Layout, name: str) -> Step:
    return {s.step: s for s in layout.steps}[name]


@pytest.mark.parametrize("name", sorted(ready_made()))
def test_the_steps_of_a_ready_made_layout_need_steps_that_are_there_and_never_each_other(name: str) -> None:
    rows = [row for _, row in ready_made()[name].tables["steps"]]
    everywhere = {row["step"] for made in ready_made().values() for _, row in made.tables["steps"]}
    needs = {row["step"]: [n for n in row["needs"].split(";") if n] for row in rows}
    assert len(needs) == len(rows) >= 5
    assert {n for ns in needs.values() for n in ns} <= everywhere
    assert len(list(TopologicalSorter(needs).static_order())) >= len(needs)


@pytest.mark.parametrize("name", sorted(ready_made()))
def test_every_position_comes_off_by_a_step_and_goes_on_by_one_or_is_ticked(name: str) -> None:
    rows = [row for _, row in ready_made()[name].tables["steps"]]
    off = {p for row in rows if row["kind"] == "remove" for p in row["position"].split(";")}
    on = {p for row in rows if row["kind"] in ("fit", "gate") for p in row["position"].split(";")}
    assert [p for p in ready_made()[name].positions if p not in off or p not in on] == []


@pytest.mark.parametrize("name", sorted(ready_made()))
def test_steps_are_said_in_short_plain_sentences(name: str) -> None:
    for _, row in ready_made()[name].tables["steps"]:
        for said in (row["text"], row["caution"]):
            sentences = [s for s in re.split(r"(?<=[.!?])\s+", said) if s]
            assert ";" not in said
            assert all(s[0].isupper() and s.endswith(".") for s in sentences)
            assert all(len(s.split()) <= LONGEST_SENTENCE for s in sentences), said
            assert not BANNED.search(said), said


def test_what_nobody_may_forget_is_a_gate() -> None:
    steps = layout_of(car()).steps
    gated = {p for s in steps if s.kind == GATE for p in s.positions}
    assert set(GATES) <= gated
    assert [s.step for s in steps if s.kind == GATE and not s.positions] == ["second person"]


def test_a_layout_takes_the_steps_of_its_uses_over_and_lets_them_need_each_other() -> None:
    layout = layout_of(car())
    assert {"hose on", "pads in", "drum on"} < set(step(layout, "system bled").needs)
    assert "pedal held" in step(layout, "on its wheels").needs
    assert step(layout, "caliper on").tightens == ("caliper bolt",)


def test_with_a_prefix_a_step_of_another_use_is_that_of_each_axle() -> None:
    uses = (
        "layout,uses,as,without\nmy car,undriven front corner,front,\nmy car,rear corner,rear,\nmy car,hydraulics,,\n"
    )
    records = records_from_text({"sources.csv": CAR["sources.csv"], "layout_uses.csv": uses})
    layout = layout_of(records)
    assert {"front hose on", "rear hose on"} <= set(step(layout, "system bled").needs)
    assert step(layout, "rear hose on").positions[0] == "rear hose"
    assert "rear caliper on" in step(layout, "rear hose on").needs
    assert not {s.step for s in layout.steps} & {"hose on", "wheel on"}
    swept = step(layout, "rear arches swept")
    assert (swept.if_changed, swept.reading, swept.share) == ("rear track change", "rear track change", 0.5)
    assert swept.if_changed in {f.figure for f in (*layout.figures, *layout.told)}


def test_in_place_of_a_step_that_is_left_out_what_that_one_needs() -> None:
    without = CAR["layout_uses.csv"].replace("cartridge;", "cartridge;bearing spacer;")
    layout = layout_of(car(layout_uses=without))
    assert "spacer in" not in {s.step for s in layout.steps}
    assert step(layout, "outer bearing and seal in").needs == ("inner bearing and seal in",)


def test_a_step_of_ones_own_stands_in_place_of_the_ready_made_one() -> None:
    own = "layout,step,kind,position,order,needs,text\nmy car,caliper on,fit,caliper,5,flange on,Hang it on.\n"
    records = car(steps=own)
    assert not records.findings
    found = step(layout_of(records), "caliper on")
    assert (found.text, found.kind, found.needs) == ("Hang it on.", FIT, ("flange on",))


def test_a_need_that_is_no_step_is_told_with_what_is_near() -> None:
    own = "layout,step,kind,position,order,needs,text\nmy car,disc wiped,fit,rotor,5,flnge on,Wipe it.\n"
    (found,) = car(steps=own).findings
    assert (found.file, found.column) == ("steps.csv", "needs")
    assert "flange on" in found.suggestions


def test_tightening_values_are_torques_and_have_a_source() -> None:
    own = "layout,position,part,low,high,condition,then,source\nmy car,hub nut,,150 lbf ft,,dry,to the next hole,book\n"
    (found,) = layout_of(car(tightening=own)).tightening
    assert (round(found.low, 2), found.high, found.source) == (203.37, found.low, "book")
    (bad,) = car(tightening=own.replace(",book", ",")).findings
    assert (bad.file, bad.column) == ("tightening.csv", "source")


def test_wear_limits_are_sizes_or_what_to_look_for() -> None:
    own = (
        "layout,position,part,feature,dimension,low,high,source,look for\n"
        "my car,rotor,,body,thickness,8.5 mm,,book,\nmy car,drive shaft,,,,,,book,steps and rust on the spline\n"
    )
    shaft, rotor = layout_of(car(wear_limits=own)).wear_limits
    assert (rotor.low, rotor.high, rotor.feature) == (8.5, None, "body")
    assert (shaft.look_for, shaft.low) == ("steps and rust on the spline", None)
