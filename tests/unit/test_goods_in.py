"""The goods-in card on a cart, its limits worked out by hand: what to measure and compare, and what a reading says."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from knockon.graph.jobs.events import ACCEPT, ASK, REJECT, LineOrdered, Ordered, Planned
from knockon.graph.jobs.store import Job, JobRefused
from knockon.graph.model.catalogue import UnknownNameError
from knockon.queries.job.goods_in import COMES_OFF, DRY_FIT, IN_ORDER, PATTERN, GoodsIn, GoodsLine, goods_in, judged
from knockon.queries.ui.goods_in_words import to_measure
from tests.unit.small import LEFT, RIGHT, TABLES, world

BY, AT = "m1", "2026-01-01T00:00:00Z"
BORES, SEATS = "features/register_bore.csv", "features/spigot.csv"
ORDERED = {"AXLE-25": 1, "HUB-25L": 1, "HUB-25R": 1, "CAP-1": 2}
CHOSEN = {"axle": "AXLE-25", "left hub": "HUB-25L", "right hub": "HUB-25R"}
BORE_OPEN = {
    BORES: "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\n",
    SEATS: "part,feature,diameter,source\nAXLE-20,seat,20 mm,book\nAXLE-25,seat,24.96 to 25.00 mm,book\n",
}
"""Nobody recorded the bore of the new hubs; the seat that it goes on is from 24.96 to 25.00 mm."""
PLANNED = Planned(BY, AT, "cart", {"want": ("axle=AXLE-25",)})


def job(lines: Mapping[str, int] = ORDERED) -> Job:
    bought = tuple(LineOrdered("Mill", n, "1.00", part=part) for part, n in lines.items())
    return Job("hubs", (PLANNED, Ordered(BY, AT, "cheapest", "0.00", bought, CHOSEN)))


def card(changed: Mapping[str, str] | None = None) -> GoodsIn:
    return goods_in(world(changed), job())


def line(of: GoodsIn, part: str) -> GoodsLine:
    return next(x for x in of.lines if x.line.part == part)


def test_nothing_is_measured_where_every_check_is_proven() -> None:
    """25 mm on 25 mm by the maker's drawing: the register fits."""
    assert all(not x.sizes and not x.together for x in card().lines)


@pytest.mark.parametrize("hub", ["HUB-25L", "HUB-25R"])
def test_an_open_size_has_the_limits_that_the_part_beside_leaves(hub: str) -> None:
    """The bore must go over the largest seat, 25.00, and be at most 0.15 wider than the smallest: 24.96 + 0.15."""
    (size,) = line(card(BORE_OPEN), hub).sizes
    assert (size.feature, size.dimension, size.unit, size.recorded) == ("bore", "diameter", "mm", "")
    assert [size.low, size.high] == pytest.approx([25.00, 25.11])
    assert (size.checks, size.beside) == (("hub on axle",), ("AXLE-25, axle",))


def test_a_size_says_how_it_is_measured_and_with_what_though_nobody_recorded_it() -> None:
    (size,) = line(card(BORE_OPEN), "HUB-25L").sizes
    assert "inside jaws" in size.how and "fitted" not in size.how
    assert size.tool


def test_what_is_recorded_of_an_open_size_is_shown_as_written() -> None:
    """A bore of 24.9 to 25.3 mm may be too small or too wide."""
    rows = TABLES[BORES].replace("HUB-25L,bore,25 mm", "HUB-25L,bore,24.9 to 25.3 mm")
    (size,) = line(card({**BORE_OPEN, BORES: rows}), "HUB-25L").sizes
    assert size.recorded == "24.9 to 25.3 mm"


def test_a_number_in_two_places_must_agree_with_what_stands_beside_both() -> None:
    """One cap for both hubs: 30.02 to 30.15 on the left rim (30.00 to 30.02), 30.06 to 30.20 on the right rim (30.05 to
    30.06). Both leave 30.06 to 30.15."""
    rims = "HUB-25L,rim,30.00 to 30.02 mm,book\nHUB-25R,rim,30.05 to 30.06 mm,book\n"
    joints = TABLES["joints.csv"].replace("rim,hub,rim,fitting place", "rim,hub,rim,register")
    found = card({SEATS: TABLES[SEATS] + rims, "joints.csv": joints})
    (size,) = line(found, "CAP-1").sizes
    assert [size.low, size.high] == pytest.approx([30.06, 30.15])
    assert size.beside == ("HUB-25L, left hub", "HUB-25R, right hub")
    assert size.checks == ("cap on hub",)


def test_a_part_goes_where_the_plan_has_it_with_its_hand() -> None:
    found = card()
    assert line(found, "HUB-25L").places == (LEFT,) and line(found, "HUB-25R").places == (RIGHT,)
    assert (line(found, "HUB-25L").hand, line(found, "HUB-25R").hand, line(found, "CAP-1").hand) == (
        "left",
        "right",
        "",
    )
    assert len(line(found, "CAP-1").places) == 2


def test_it_can_be_mixed_up_with_the_other_hand_and_with_what_comes_off() -> None:
    hubs = {(x.part, x.where): x for x in line(card(), "HUB-25L").look_alikes}
    assert set(hubs) == {("HUB-25R", IN_ORDER), ("HUB-20L", COMES_OFF)}
    assert hubs["HUB-25R", IN_ORDER].differs == ("hand: left against right",)
    (bore,) = hubs["HUB-20L", COMES_OFF].differs
    assert bore.startswith("bore: diameter: 25 mm") and bore.endswith("against 20 mm")
    assert not line(card(), "CAP-1").look_alikes


def test_bench_checks_are_those_among_new_parts_both_sides_in_one() -> None:
    """The register is safety-critical and proven; stud and cap are compared by pattern, since nothing is recorded."""
    found = {c.check: c for c in card().bench}
    assert {name: (c.kind, c.safety_critical, c.verdict) for name, c in found.items()} == {
        "hub on axle": (DRY_FIT, True, "fits"),
        "stud in hub": (PATTERN, False, "fits on paper"),
        "cap on hub": (PATTERN, False, "fits on paper"),
    }
    assert set(found["hub on axle"].places) >= {LEFT, RIGHT}
    assert card().bench[0].check == "hub on axle", "what is safety-critical comes first"


# ---- readings


@pytest.mark.parametrize(
    ("typed", "verdict"),
    [
        ("bore: diameter = 25.05 ±0.02 mm", ACCEPT),
        ("bore: diameter = 25.05 ±0.05 mm", ACCEPT),  # from 25.00: a limit is inside
        ("bore: diameter = 25.06 ±0.05 mm", ACCEPT),  # to 25.11
        ("bore: diameter = 25.00 ±0.02 mm", ASK),  # across the lower limit
        ("bore: diameter = 25.11 ±0.02 mm", ASK),
        ("bore: diameter = 24.95 ±0.02 mm", REJECT),
        ("bore: diameter = 25.20 ±0.02 mm", REJECT),
    ],
)
def test_a_reading_wholly_inside_the_limits_agrees_wholly_outside_contradicts(typed: str, verdict: str) -> None:
    catalogue = world(BORE_OPEN)
    found = judged(catalogue, goods_in(catalogue, job()), "HUB-25L", typed)
    assert found.verdict == verdict
    assert [found.low, found.high] == pytest.approx([25.00, 25.11]) and found.unit == "mm"


def test_a_reading_of_a_size_without_limits_is_to_be_asked_about() -> None:
    catalogue = world()
    found = judged(catalogue, goods_in(catalogue, job()), "HUB-25L", "bore: diameter = 25.05 mm")
    assert (found.verdict, found.low, found.high) == (ASK, None, None)


def test_a_misspelt_feature_is_refused() -> None:
    catalogue = world(BORE_OPEN)
    with pytest.raises(UnknownNameError, match="Nearest: bore"):
        judged(catalogue, goods_in(catalogue, job()), "HUB-25L", "boer: diameter = 25 mm")


# ---- edges


def test_without_an_order_there_is_no_card() -> None:
    with pytest.raises(JobRefused, match="nothing was ordered of plan hubs"):
        goods_in(world(), Job("hubs", (PLANNED,)))


def test_what_was_ordered_and_stands_nowhere_is_only_counted() -> None:
    found = goods_in(world(BORE_OPEN), job({**ORDERED, "HUB-20L": 1}))
    extra = line(found, "HUB-20L")
    assert (extra.places, extra.sizes, extra.together) == ((), (), ())
    assert extra.line.outstanding == 1


def test_a_line_says_each_size_and_once_how_sizes_measured_alike_are_measured() -> None:
    said = list(to_measure(line(card(BORE_OPEN), "HUB-25L")))
    assert len(said) == 1 and said[0][1] == "mm"
    assert said[0][0].startswith("Measure bore: diameter") and said[0][0].count("How:") == 1
