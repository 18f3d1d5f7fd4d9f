"""The demo world's expected answers, worked out by hand beforehand: they come out of the records alone."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.queries.plan.changes import FORCED_BY_FIT, FORCED_BY_KNOWN, FREED, KEPT, KEPT_AFTER_WORK, MOVED_OVER
from knockon.queries.plan.swap import SwapAnswer, plan_swap, read_request
from tests.demo.demo import (
    AS_FOUND,
    rows_of,
    swapped,
    with_tables,
    written,
)

DISCS = "rotor=LARCH-201"
ORDER = [
    ("knuckle", "left", {"ALDER-201L": 1}),
    ("knuckle", "right", {"ALDER-201R": 1}),
    ("bearings with spacer", "", {"ALDER-213": 2}),
    ("inner seals", "", {"ALDER-221": 2}),
    ("outer seals", "", {"ALDER-222": 2}),
    ("slinger rings", "", {"ALDER-223": 2}),
    ("outer joints", "", {"ROWAN-201": 2}),
    ("drive flanges", "", {"ROWAN-241": 2}),
    ("wheel studs", "", {"ROWAN-160": 8}),
    ("collars", "", {"ROWAN-251": 2}),
    ("hub nuts", "", {"ROWAN-252": 2}),
    ("hub split pins", "", {"THORN-202": 2}),
    ("spring clips", "", {"ROWAN-112": 2}),
    ("joint boots", "", {"ROWAN-221": 2}),
    ("large clamps", "", {"ROWAN-122": 2}),
    ("small clamps", "", {"ROWAN-123": 2}),
    ("joint grease", "", {"ROWAN-130": 2}),
    ("rotors", "", {"LARCH-201": 2}),
    ("rotor screws", "", {"LARCH-202": 8}),
    ("caliper", "left", {"LARCH-203L": 1}),
    ("caliper", "right", {"LARCH-203R": 1}),
    ("pads", "", {"LARCH-204": 1}),
    ("pad pin kits", "", {"LARCH-205": 2}),
    ("caliper bolts", "", {"LARCH-207": 4}),
    ("caliper lock tabs", "", {"LARCH-208": 2}),
    ("splash shield", "left", {"LARCH-206L": 1}),
    ("splash shield", "right", {"LARCH-206R": 1}),
    ("shield screws", "", {"THORN-221": 6}),
    ("hoses", "", {"HAZEL-211": 2}),
    ("copper washers", "", {"HAZEL-112": 2}),
    ("shakeproof washers", "", {"HAZEL-114": 2}),
    ("swivels upper", "", {"ALDER-131": 2}),
    ("swivels lower", "", {"ALDER-132": 2}),
    ("ball pin nuts", "", {"THORN-131": 4}),
    ("arm lock plates", "", {"ALDER-143": 2}),
    ("track rod end nuts", "", {"THORN-144": 2}),
    ("master cylinder", "", {"HAZEL-201": 1}),
    ("rear wheel cylinders", "", {"HAZEL-231": 2}),
    ("fluid", "", {"HAZEL-150": 1}),
]
STOPS = {
    *("ROWAN-110L", "ROWAN-110R", "ALDER-151", "ALDER-152", "ALDER-141L", "ALDER-141R", "ALDER-144"),
    *("HAZEL-141", "MAPLE-101", "MAPLE-110"),
}
FREED_PARTS = {
    *("LARCH-101", "LARCH-102L", "LARCH-102R", "LARCH-103", "LARCH-104", "LARCH-105", "LARCH-106"),
    *("HAZEL-121L", "HAZEL-121R", "HAZEL-122", "THORN-161", "THORN-162"),
}


def ordered(answer: SwapAnswer) -> list[tuple[str, str, dict[str, int]]]:
    assert answer.plan is not None
    return [(g.group, g.hand, {x.number: x.quantity for x in g.lines}) for g in answer.plan.groups]


def old_parts(answer: SwapAnswer, *statuses: str) -> set[str]:
    return {c.old for c in answer.changes if c.status in statuses}


def test_the_order_has_39_groups_for_both_sides() -> None:
    answer = swapped(AS_FOUND, DISCS)
    assert len(ORDER) == 39
    assert ordered(answer) == ORDER
    assert answer.plan is not None and answer.plan.proved and answer.plan.costs["not known"] == 0


def test_workshop_consumables_are_a_block_of_their_own() -> None:
    answer = swapped(AS_FOUND, DISCS)
    assert {line.number for line in answer.consumables} == {"FERN-01", "FERN-02", "FERN-03", "FERN-04"}
    assert not {n for _, _, lines in ordered(answer) for n in lines if n.startswith("FERN")}


def test_the_plan_stops_at_what_is_kept() -> None:
    answer = swapped(AS_FOUND, DISCS)
    kept = old_parts(answer, KEPT, MOVED_OVER, KEPT_AFTER_WORK)
    assert kept >= STOPS
    assert {n for e in answer.stops for n in (e.first, e.second)} >= STOPS
    assert all(not e.verdict.is_no for e in answer.stops)
    shaft = next(e for e in answer.stops if e.check == "shaft in joint")
    assert {v.written for x in shaft.lines if x.label in ("tooth count", "spline pitch") for v in x.values} == {
        *("19", "24/48"),
    }
    arm = next(e for e in answer.stops if e.check == "arm on knuckle")
    assert {v.written for v in arm.lines[0].values} >= {"2.250 in"}


def test_what_leaves_and_what_moves_over() -> None:
    answer = swapped(AS_FOUND, DISCS)
    assert old_parts(answer, FREED) == FREED_PARTS
    assert "ALDER-141L" in old_parts(answer, MOVED_OVER)
    wheels = [c for c in answer.changes if c.position == "wheel"]
    assert [c.status for c in wheels] == [KEPT_AFTER_WORK, KEPT_AFTER_WORK]
    assert all("weights" in c.cause for c in wheels)
    radial = next(e for e in wheels[0].evidence if e.check == "wheel to caliper, radial")
    assert radial.lines[0].low is not None and radial.lines[0].low == pytest.approx(4.7 - 4.5)  # weights of 4 ±0.5 mm
    assert radial.verdict is Verdict.DO_NOT_USE


def test_the_alternatives_are_named() -> None:
    answer = swapped(AS_FOUND, DISCS)
    other = [{(place, new) for place, _, new in a.differs} for a in answer.alternatives]
    loose = {(f"{s} {b} bearing", "ALDER-211") for s in ("left", "right") for b in ("inner", "outer")}
    loose |= {(f"{s} bearing spacer", "ALDER-212") for s in ("left", "right")}
    single = {("master cylinder", "HAZEL-104"), ("in-line residual valve", "HAZEL-105")}
    assert loose in other
    assert single in other
    costs = answer.plan.costs if answer.plan else {}
    assert all(any(a.costs[level] < costs[level] for level in costs) for a in answer.alternatives)


FORCED = {  # what the reason of a forced change speaks of, by hand: the chain from lugs to nut, boss and boot
    "knuckle": {"caliper on lugs"},
    "inner bearing": {"inner bearing in knuckle"},
    "outer joint": {"inner bearing on stub", "inner bearing in knuckle"},
    "drive flange": {"rotor on flange"},
    "inner seal": {"inner seal in knuckle"},
    "outer seal": {"outer seal on boss"},
    "hub nut": {"hub nut on stub"},
    "hub collar": {"collar on flange"},
    "hub split pin": {"split pin in stub"},
    "joint boot": {"boot on joint"},
    "front hose": {"hose reaches caliper"},
    "master cylinder": {"residual pressure at the front brakes"},
    "rear wheel cylinder": {"front share of braking"},
}


@pytest.mark.parametrize("position", FORCED)
def test_each_forced_change_says_why(position: str) -> None:
    change = next(c for c in swapped(AS_FOUND, DISCS).changes if c.position == position)
    assert change.status in (FORCED_BY_FIT, FORCED_BY_KNOWN)
    assert change.reason is not None and set(change.reason.cites) >= FORCED[position]
    assert change.reason.steps
    assert {s.sort for s in change.reason.steps} == set(change.reason.cites)


def test_the_reason_of_the_joint_has_its_numbers() -> None:
    change = next(c for c in swapped(AS_FOUND, DISCS).changes if c.position == "outer joint")
    assert change.reason is not None
    written = {v.written for s in change.reason.steps if s.evidence for x in s.evidence.lines for v in x.values}
    assert written >= {"2.250 in", "2.000 in", "1 1/8 in", "1.000 in"}
    length = next(e for e in change.also if e.check == "nut fully on")
    assert length.lines[0].margin == pytest.approx((3.160 - 3.602) * 25.4, abs=1e-6)


def test_on_a_mk_a_as_made_the_swivels_stay() -> None:
    answer = swapped("tansy-mk-a", DISCS)
    swivel = {f"{level} {p}" for level in ("upper", "lower")
              for p in ("ball pin", "ball seat", "dome nut", "shims", "grease nipple")}  # fmt: skip
    here = [c for c in answer.changes if c.position in swivel | {"lower swivel spring"}]
    assert len(here) == 22
    assert {c.status for c in here} == {MOVED_OVER}
    renewed = {n for group, _, lines in ordered(answer) if group.startswith("swivels") for n in lines}
    assert renewed == {"ALDER-135", "ALDER-137"}  # the one-use tab washers and boots of an undone joint


def test_measure_first() -> None:
    answer = swapped(AS_FOUND, DISCS)
    wanted = {(m.position, m.feature, d): m.places for m in answer.measure_first for d in m.dimensions}
    assert wanted.keys() >= {
        ("steering arm", "bolts", "bolt pitch"),
        ("upper ball pin", "pin thread", "thread"),
        ("lower ball pin", "pin thread", "thread"),
        ("wheel", "bolt holes", "pitch circle diameter"),
        ("wheel", "envelope", "barrel radius"),
        ("pipe nut", "thread", "thread"),
        ("front pipe", "flare", "form"),
        ("master cylinder", "front residual valve", "pressure"),
        ("rear wheel cylinder", "cylinder", "bore"),
        ("knuckle", "caliper lugs", "bolt pitch"),
    }
    # the right lower pin and the weights have been read on the vehicle: they are findings, not questions
    assert wanted[("lower ball pin", "pin thread", "thread")] == ("left lower ball pin",)
    assert ("wheel", "weights", "thickness") not in wanted
    assert any("M12x1.25" in x for x in answer.findings.measured)
    assert [(e.check, e.first, e.second) for e in answer.findings.wrong] == [
        ("lower pin in arm", "ALDER-339", "ALDER-152"),
    ]
    arm = next(m for m in answer.measure_first if m.feature == "bolts")
    assert "2.250 in" in [e.written for e in arm.expected]
    assert arm.how and arm.decides


def test_nothing_that_leaves_is_measured_for_its_own_sake() -> None:
    answer = swapped(AS_FOUND, DISCS)
    measured = {(m.position, m.feature) for m in answer.measure_first}
    assert not {p for p, _ in measured} & {"outer joint", "drive flange", "inner bearing", "outer bearing"}
    assert ("knuckle", "bearing bores") not in measured


def test_what_stays_hidden_is_a_named_risk() -> None:
    answer = swapped(AS_FOUND, DISCS)
    hidden = {(r.position, r.feature): r for r in answer.risks}
    shaft = hidden[("drive shaft", "outer spline")]
    arm = hidden[("lower arm", "taper bore")]
    assert {shaft.seen_when, arm.seen_when} == {"corner apart"}
    assert ("major diameter", "21.17 mm") in [(e.dimension, e.written) for e in shaft.expected]
    assert set(shaft.places) == {"left drive shaft", "right drive shaft"}
    assert ("ratio", "1:8") in [(e.dimension, e.written) for e in arm.expected]
    assert not {(m.position, m.feature) for m in answer.measure_first} & hidden.keys()
    assert {"left drive shaft", "right drive shaft", "left lower arm", "right lower arm"} == set(
        answer.findings.unknown_condition
    )


def test_another_layout_beside_it_changes_no_order() -> None:
    """A second layout with positions of the same names: each set still means the one that it is made for."""
    made = [cells for _, cells in ready_made()["driven front corner"].tables["positions"]]
    positions = [r for r in made if r["position"] in ("upper shims", "rotor", "inner bearing")]
    only = {"rotor": "disc"}
    other = [
        {**r, "layout": "other axle", "carried by": "", "arrangement": only.get(r["position"], "")} for r in positions
    ]
    assert len(other) == 3
    world = with_tables({
        "layouts.csv": written([*rows_of("layouts.csv"), {"layout": "other axle", "title": "another axle"}]),
        "arrangements.csv": written([{"layout": "other axle", "arrangement": "disc", "title": ""}]),
        "positions.csv": written([*rows_of("positions.csv"), *other]),
    })  # fmt: skip
    request = read_request(world, Places(world.layouts["tansy front axle"]), want=[DISCS])
    assert ordered(plan_swap(world, AS_FOUND, request, alternatives=0, reasons=False)) == ORDER
