"""What to sweep where the track grows: which steps are done, how much of the figure counts, what is said."""

from __future__ import annotations

import pytest

from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.several import Several
from knockon.graph.model.work import Step
from knockon.queries.plan.figures import ToldFigure
from knockon.queries.plan.numbers import Estimate
from knockon.queries.plan.sweep import changed_figures, is_left_out, sweeps
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.plan.sweep import sweep_blocks

ARCHES = Step("arches swept", "check", 1, "Nothing may rub.", if_changed="track change", share=0.5)
ALWAYS = Step("wheel on", "fit", 2, "Fit the wheel.")
LAYOUT = Layout("cart", steps=(ARCHES, ALWAYS))


def told(low: float | None, high: float | None = None) -> ToldFigure:
    end = low if high is None else high
    planned = None if low is None else Estimate((low + (end or 0)) / 2, low, end, None)
    return ToldFigure("track change", Several(()), ("left", "right"), "mm", None, planned)


@pytest.mark.parametrize(
    ("figure", "swept"),
    [
        (told(0), False),
        (told(0.04), False),
        (told(6.4), True),
        (told(-6.4), True),
        (told(-1, 1), True),
        (told(None), True),
    ],
    ids=["as it was", "less than is measured", "wider", "narrower", "either", "a size is not recorded"],
)
def test_a_step_is_done_where_its_figure_changes_or_may_change(figure: ToldFigure, swept: bool) -> None:
    changed = changed_figures([figure])
    assert is_left_out(ARCHES, changed) is not swept
    assert not is_left_out(ALWAYS, changed)
    assert bool(sweeps(LAYOUT, [figure])) is swept


def test_a_figure_that_no_part_of_the_plan_touches_leaves_its_steps_out() -> None:
    assert is_left_out(ARCHES, changed_figures([])) and sweeps(LAYOUT, []) == ()


def test_half_of_the_track_change_is_on_each_side() -> None:
    """6.4 mm over both wheels: 3.2 mm a side (geometry)."""
    (one,) = sweeps(LAYOUT, [told(6.4)])
    assert (one.low, one.high, one.share, one.steps) == (6.4, 6.4, 0.5, ("Nothing may rub.",))
    said = [b.text for b in sweep_blocks([one]) if isinstance(b, Para)]
    assert said[0].startswith("Track change 6.4 mm (0.252 in), of which 3.2 mm (0.126 in) counts at each place")
    assert said[1] == "Nothing may rub."
    assert list(sweep_blocks([])) == []


def test_a_track_that_is_not_known_is_swept_and_said_to_be_unknown() -> None:
    (one,) = sweeps(LAYOUT, [told(None)])
    said = [b.text for b in sweep_blocks([one]) if isinstance(b, Para)]
    assert said[0].startswith("Track change, left and right: not known")
