"""Each ready-made layout with a small vehicle of its own: what a swap forces, and why, derived by hand."""

from __future__ import annotations

from functools import cache

import pytest

from knockon.graph.files.shipped import shipped
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load, records_from_text
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.changes import KEPT, MOVED_OVER, RENEWED, TAKEN_OFF
from knockon.queries.plan.kit import MISSING, SHORT, check_kit
from knockon.queries.plan.swap import SwapAnswer, swap
from tests.worked.cars import ESTATE, HATCH, SALOON

FORCED, AS_KNOWN = "forced by fit", "forced by what is known"
WORLDS = {"hatch-1": HATCH, "saloon-1": SALOON, "estate-1": ESTATE}
WANTED = {"hatch-1": "brake disc=RO-108", "saloon-1": "rotor=SR-105", "estate-1": "rear brake drum=ED-229"}
"""As a member would type it."""


@cache
def world(vehicle: str) -> Catalogue:
    records = records_from_text(WORLDS[vehicle])
    assert not records.findings
    return records.catalogue


@cache
def planned(vehicle: str) -> SwapAnswer:
    return swap(world(vehicle), vehicle, want=(WANTED[vehicle],))


def forced(answer: SwapAnswer, status: str = FORCED) -> dict[str, tuple[str, tuple[str, ...]]]:
    """What is forced, each with the number that comes and the checks that rule the old one out."""
    found = [c for c in answer.changes if c.status == status and c.place.startswith("left ")]
    return {c.position: (c.new, tuple(sorted(c.reason.cites)) if c.reason else ()) for c in found}


def changed(answer: SwapAnswer) -> set[str]:
    return {c.position for c in answer.changes if c.status not in (KEPT, MOVED_OVER, TAKEN_OFF)}


def test_a_driven_front_with_one_cartridge_bearing() -> None:
    """RO-108 has 4 holes on 108 mm, DF-23 has them on 98 mm: 10 mm apart, at most 1 mm is allowed. Of the known
    flanges only DF-28 has 108 mm. Its splines begin at 27 mm, those of OJ-23 end at 24 mm: they do not touch, so
    OJ-28. Its journal is 37 mm, the bore of CB-35 is 35 mm: CB-37 (CB-37-? has no outside diameter recorded, and a
    part of unknown size never beats a known one). Its thread is M24x1.5, HN-22 is M22x1.5: HN-24. The knuckle's
    bore is 72 mm, as are both bearings: it stays. The stud is pressed into the flange that goes: the same number
    anew."""
    answer = planned("hatch-1")
    assert forced(answer) == {
        "rotor": ("RO-108", ()),
        "drive flange": ("DF-28", ("rotor on flange",)),
        "outer joint": ("OJ-28", ("flange on stub", "rotor on flange")),
        "cartridge bearing": ("CB-37", ("cartridge bearing on stub", "flange on stub", "rotor on flange")),
        "hub nut": ("HN-24", ("flange on stub", "hub nut on stub", "rotor on flange")),
    }
    assert changed(answer) == {*forced(answer), "wheel stud"}
    assert {(c.status, c.new) for c in answer.changes if c.position == "wheel stud"} == {(RENEWED, "WS-1")}


def test_an_undriven_front_with_a_stepped_stub_axle() -> None:
    """SR-105 has 5 holes on 105 mm, SH-95 on 95 mm, so the hub goes. SH-105 has known bores: the inner one is 65 mm,
    and TB-30 is 62 mm: 3 mm of play where at most 1 mm goes together: TB-30-65. The bore of that is still 30 mm, so
    the knuckle with its two journals of 30 and 17 mm stays. The seal's bore is 65 mm, the seal SL-45 has 62 mm:
    SL-45-65. SH-105-? has neither bore recorded: with it TB-30 and SL-45 might stay, so both are forced only by
    what is known. The outer bearing is pressed into the hub that goes: the same number anew. The nut and the
    caliper only come off."""
    answer = planned("saloon-1")
    by_fit = forced(answer)
    assert {p: new for p, (new, _) in by_fit.items() if p != "wheel stud"} == {
        "rotor": "SR-105", "hub": "SH-105",
    }  # fmt: skip
    as_known = forced(answer, AS_KNOWN)
    assert {p: new for p, (new, _) in as_known.items()} == {"inner bearing": "TB-30-65", "hub seal": "SL-45-65"}
    assert "rotor on hub" in by_fit["hub"][1]
    assert {"rotor on hub", "inner bearing in hub"} <= set(as_known["inner bearing"][1])
    assert {"rotor on hub", "hub seal in hub"} <= set(as_known["hub seal"][1])
    assert {(c.status, c.new) for c in answer.changes if c.position == "outer bearing"} == {(RENEWED, "TB-17")}
    stays = {c.position for c in answer.changes if c.status in (KEPT, MOVED_OVER)}
    assert {"knuckle", "upper arm", "steering arm"} <= stays
    off = {c.position for c in answer.changes if c.status == TAKEN_OFF}
    assert {"hub nut", "caliper", "grease cap"} <= off | stays and "caliper" in off


def test_a_rear_corner_with_handbrake_and_hydraulics() -> None:
    """All by pattern codes: the drum ED-229 is made for shoes of pattern 229, so ES-229. Their rests are large, those
    of EB-1 small: EB-2. Its cylinder seats are large: EW-22. The hole for the lever is large too: EL-2, on the same
    clevis as before, so the cable stays. EW-22 has the port of EW-19: the hose stays, and so does the stub axle.
    The hub comes off only to reach the backplate."""
    answer = planned("estate-1")
    assert forced(answer) == {
        "rear drum": ("ED-229", ()),
        "rear shoes": ("ES-229", ("rear shoes in drum",)),
        "rear backplate": ("EB-2", ("rear shoes in drum", "rear shoes on backplate")),
        "rear wheel cylinder": (
            "EW-22",
            ("rear shoes in drum", "rear shoes on backplate", "rear wheel cylinder on backplate"),
        ),
        "rear handbrake lever": ("EL-2", ("rear handbrake lever in shoes", "rear shoes in drum")),
    }
    stays = {c.position for c in answer.changes if c.status in (KEPT, MOVED_OVER)}
    assert {"rear handbrake cable", "rear stub axle", "rear hose", "master cylinder"} <= stays
    assert "rear hub" in {c.position for c in answer.changes if c.status == TAKEN_OFF}


ORDERS = {
    "hatch-1": {
        "cartridge bearing": ("CB-37", 1), "outer joint": ("OJ-28", 1), "drive flange": ("DF-28", 1),
        "wheel stud": ("WS-1", 4), "hub nut": ("HN-24", 1), "rotor": ("RO-108", 1),
    },
    "saloon-1": {
        "outer bearing": ("TB-17", 1), "inner bearing": ("TB-30-65", 1), "hub seal": ("SL-45-65", 1),
        "hub": ("SH-105", 1), "wheel stud": ("", 4), "rotor": ("SR-105", 1),
    },
    "estate-1": {
        "rear drum": ("ED-229", 1), "rear backplate": ("EB-2", 1), "rear shoes": ("ES-229", 1),
        "rear wheel cylinder": ("EW-22", 1), "rear handbrake lever": ("EL-2", 1),
    },
}  # fmt: skip
"""What is to be had for one side: of each position the number (blank: none is recorded) and how many. Four studs are
pressed into each flange or hub that goes, and so is the saloon's outer bearing; of all else there is one a side."""


@pytest.mark.parametrize("vehicle", WORLDS)
def test_the_order_has_each_line_once_for_both_sides_and_no_other(vehicle: str) -> None:
    plan = planned(vehicle).plan
    assert plan is not None
    lines = [line for group in plan.groups for line in group.lines]
    found = {places: (line.number, line.quantity, line.recorded) for line in lines for places in [line.places]}
    assert len(found) == len(lines)
    assert found == {
        (f"left {position}", f"right {position}"): (number, 2 * each, bool(number))
        for position, (number, each) in ORDERS[vehicle].items()
    }


@pytest.mark.parametrize("vehicle", WORLDS)
def test_a_change_comes_after_the_one_that_forces_it(vehicle: str) -> None:
    """In the reason of each, the checks lead from what was asked: a shorter chain is told before a longer one."""
    answer = planned(vehicle)
    assert answer.plan is not None
    by_fit = forced(answer)
    for position, (_, cites) in by_fit.items():
        others = [set(c) for p, (_, c) in by_fit.items() if p != position and set(c) < set(cites)]
        assert not cites or others or len(set(cites) - {"arrangement"}) <= 1


@pytest.mark.parametrize(
    ("vehicle", "pair", "at"),
    [
        ("hatch-1", ("OJ-28", "HN-24-FINE"), "hub nut on stub"),  # M24x1 on M24x1.5
        ("saloon-1", ("SK-1", "SN-16-FINE"), "hub nut on stub"),  # M16x1 on M16x1.5
        ("estate-1", ("EH-2-COARSE", "EW-22"), "rear hose in wheel cylinder"),  # M11x1.5 in M11x1.25
    ],
)
def test_the_near_miss_goes_together_and_must_not_be_used(vehicle: str, pair: tuple[str, str], at: str) -> None:
    """Pitch diameter = major - 0.6495 pitch: that of the bolt is the smaller, so the two start and then bind."""
    answer = judge_parts(world(vehicle), pair, at=at)
    assert answer.verdict is Verdict.DO_NOT_USE


BESIDE = {
    "hatch-1": ("HK-1", "cartridge bearing in knuckle"),
    "saloon-1": ("TB-30-65", "inner bearing in hub"),
    "estate-1": ("EB-2", "rear wheel cylinder on backplate"),
}


@pytest.mark.parametrize(
    ("vehicle", "unknown", "position"),
    [
        ("hatch-1", "CB-37-?", "cartridge bearing"),
        ("saloon-1", "SH-105-?", "hub"),
        ("estate-1", "EW-?", "rear wheel cylinder"),
    ],
)
def test_the_unknown_part_is_never_taken_and_never_called_a_fit(vehicle: str, unknown: str, position: str) -> None:
    answer = planned(vehicle)
    assert unknown not in {c.new for c in answer.changes}
    kept = next(c.old for c in answer.changes if c.position == position)
    partner, at = BESIDE[vehicle]
    assert judge_parts(world(vehicle), (unknown, partner), at=at).verdict is Verdict.NOT_KNOWN and kept != unknown


@pytest.mark.parametrize(
    ("vehicle", "kit", "lacking", "wrong"),
    [
        ("hatch-1", "big-disc", {"cartridge bearings": SHORT}, set()),  # one bearing for two sides
        ("saloon-1", "front-disc", {"hub bearings": MISSING, "hub seals": MISSING}, {"SN-16-FINE"}),
        ("estate-1", "rear-drum", {"rear handbrake levers": MISSING}, set()),
    ],
)
def test_a_kit_is_held_against_the_plan(vehicle: str, kit: str, lacking: dict[str, str], wrong: set[str]) -> None:
    """What a kit lacks is what was forced and is not among its lines."""
    answer = check_kit(world(vehicle), kit, vehicle, want=(WANTED[vehicle],))
    found = {g.group: g.status for g in answer.groups if g.status in (MISSING, SHORT)}
    assert {g: s for g, s in found.items() if g != "wheel studs"} == lacking
    assert {p.number for p in answer.parts if p.status == "wrong"} == wrong


def sorts(catalogue: Catalogue) -> dict[str, set[str]]:
    """Numbers, splines, threads and bearings, each as its recorded readings say."""
    found: dict[str, set[str]] = {
        "numbers": set(catalogue.parts),
        "splines": set(),
        "threads": set(),
        "bearings": set(),
    }
    named = {"external spline": "splines", "internal spline": "splines", "rolling bearing": "bearings"}
    for features in catalogue.features.values():
        for feature in features.values():
            kind = catalogue.vocabulary.kinds[feature.kind].label
            said = {name: [(s.low, s.high) for s in sizes] for name, sizes in feature.dimensions.items()}
            if kind in named:
                sizes = ("teeth",) if named[kind] == "splines" else ("bore", "outside diameter")
                found[named[kind]].add(str([said.get(n) for n in sizes]))
            if said.get("thread.major"):
                found["threads"].add(str([said.get("thread.major"), said.get("thread.pitch")]))
    return found


@pytest.mark.parametrize("vehicle", WORLDS)
def test_it_shares_no_part_spline_thread_or_bearing_with_the_demo(vehicle: str) -> None:
    demo, own = sorts(load(shipped("data_demo")).catalogue), sorts(world(vehicle))
    for sort, names in own.items():
        assert not names & demo[sort], (sort, names & demo[sort])
