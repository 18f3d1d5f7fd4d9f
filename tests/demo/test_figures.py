"""The workshop's figures beside the answers of the demo world."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.queries.plan.figures import ToldFigure
from knockon.queries.plan.numbers import Estimate
from knockon.queries.plan.swap import swap
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.plan.swap.whole import swap_text
from tests.demo.demo import AS_FOUND, demo, kitted, swapped

DISCS = "rotor=LARCH-201"


def by_name(figures: tuple[ToldFigure, ...]) -> dict[str, ToldFigure]:
    return {f.figure: f for f in figures}


def middle(number: Estimate | None) -> float:
    assert number is not None and number.middle is not None
    return number.middle


def test_discs_on_a_drum_vehicle() -> None:
    found = by_name(swapped(AS_FOUND, DISCS).figures)
    share = found["front share of braking"]
    assert round(middle(share.as_made)) == 69 and round(middle(share.planned)) == 71
    torque = found["front torque per line pressure"]
    assert middle(torque.planned) / middle(torque.as_made) == pytest.approx(0.757, abs=5e-4)  # falls by 24 %
    assert middle(found["pedal force for the same line pressure"].planned) == pytest.approx(1.148, abs=5e-4)  # .750
    assert middle(found["track change"].planned) == pytest.approx(6.4)  # 2 x (55.2 - 52.0), the wheels stay
    assert middle(found["wheel to caliper, radial"].planned) == pytest.approx(4.7)
    stroke = found["master's stroke used"]
    assert stroke.planned is None and stroke.to_measure == ("HAZEL-201, bore: stroke",)
    assert len(stroke.assumptions) == 5
    assert all(f.rests_on for f in found.values())


def test_rear_cylinders_left_alone_move_the_balance_to_the_rear() -> None:
    # The share with the new front and the old rear cylinders is what rules those out: 63 against 69 as made.
    answer = swapped(AS_FOUND, DISCS)
    lines = [
        line
        for change in answer.changes
        if change.position == "rear wheel cylinder" and change.reason
        for step in change.reason.steps
        if step.evidence and step.evidence.check == "front share of braking"
        for line in step.evidence.lines
    ]
    assert lines and all(line.high is not None and round(line.high) == 63 for line in lines)


def test_the_foreign_pin_in_a_nut_that_runs_the_whole_way() -> None:
    found = {str(m.about): m.words for m in swapped(AS_FOUND, DISCS).meetings if m.words}
    assert found["lower pin nut on pin: ALDER-339 with THORN-131"] == (
        "would run the whole way, loose, on 49 % of the flanks' height"
    )


def test_a_kit_is_given_the_same_figures_for_its_own_plan() -> None:
    found = by_name(kitted("K2", AS_FOUND, DISCS).figures)
    share = found["front share of braking"]
    assert share.planned is None and any("LARCH-903" in m for m in share.to_measure)
    assert middle(share.as_made) == pytest.approx(69.06, abs=0.01)
    assert middle(found["spacer for no float"].planned) == pytest.approx(0.520 * 25.4)


def test_nothing_is_told_of_a_swap_that_touches_no_figure() -> None:
    assert swapped("tansy-mk-a", "track rod end=ALDER-144").figures == ()


@pytest.mark.parametrize(("vehicle", "want"), [(AS_FOUND, DISCS), ("tansy-mk-b", "master cylinder=HAZEL-301")])
def test_what_is_told_changes_no_plan(vehicle: str, want: str) -> None:
    """Without a single told row the same plan, changes and measurements come out: only the block is gone."""
    bare = {
        name: replace(layout, told=(), figures=tuple(replace(f, listed=False) for f in layout.figures))
        for name, layout in demo().layouts.items()
    }
    catalogue = replace(demo(), layouts=bare)
    told, silent = swapped(vehicle, want), swap(catalogue, vehicle, want=[want])
    assert silent.figures == () and told.figures
    assert replace(told, figures=(), sweep=()) == silent


def test_every_told_figure_of_the_demo_has_a_source() -> None:
    for layout in demo().layouts.values():
        assert [f.figure for f in layout.told if not f.source] == []
        assert len(layout.told) >= 9


def test_what_the_front_share_assumes_is_shown_where_it_decides() -> None:
    """The 5/8 cylinders hold for a friction of 0.35 and more, the 3/4 ones are ruled out for 0.50 and less."""
    answer = swapped(AS_FOUND, "rotor=LARCH-201")
    (share,) = (f for f in answer.figures if f.figure == "front share of braking")
    friction, front, rear = share.assumed
    assert (friction.name, friction.value) == ("friction of pad on rotor", 0.38)
    assert friction.low == pytest.approx(0.3486, abs=5e-4) and friction.high is None
    assert front.low is None and front.high == pytest.approx(3.0 * 0.38 / 0.3486, abs=5e-3)
    assert (rear.low, rear.high) == (None, None)
    change = next(c for c in answer.changes if c.place == "rear wheel cylinder")
    assert change.reason is not None
    (shown,) = (s.evidence for s in change.reason.steps if s.sort == "front share of braking")
    assert shown is not None and shown.assumed[0].high == pytest.approx(0.3486 * (0.75 / 0.625) ** 2, abs=1e-3)
    said = " ".join(b.text for b in swap_text(demo(), answer) if isinstance(b, Para))
    assert "This holds for a friction of pad on rotor of 0.35 and more (0.38 is assumed, from memory)" in said
    assert "This holds for a friction of pad on rotor of 0.5 and less (0.38 is assumed, from memory)" in said
