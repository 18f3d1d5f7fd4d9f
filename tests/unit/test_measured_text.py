"""What is said of a plan that a reading changes: what to order now, and what may stay."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.intake.readings.effects import STAYS, WRITTEN, CheckChange, MeasuredAnswer, PlanChange
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.terminal.screen import Screen, render
from knockon.queries.ui.texts.intake.measured import measured_text
from tests.unit.small import world

FITS, PAPER = Verdict.FITS, Verdict.FITS_ON_PAPER


def page(**plan: object) -> str:
    catalogue = world()
    change = PlanChange(planned=(True, True), **plan)  # type: ignore[arg-type]
    answer = MeasuredAnswer(vehicle="my-cart", done=WRITTEN, note="N2", by="m1", plan=change)
    blocks = list(measured_text(Naming.on(catalogue, "my-cart"), answer, True, []))
    return " ".join(render(blocks, Screen(width=200)).split())


@pytest.mark.parametrize(
    ("line", "said"),
    [
        (LineChange("A-1", 1, 0), "No longer order 1 A-1"),
        (LineChange("A-1", 0, 2), "Also order 2 A-1"),
        (LineChange("A-1", 1, 2), "Order 2 A-1, no longer 1"),
    ],
)
def test_no_line_orders_none_of_a_thing(line: LineChange, said: str) -> None:
    assert said in page(lines=(line,)) and "Order 0" not in page(lines=(line,))


@pytest.mark.parametrize(
    ("was", "now", "said"),
    [
        ("A-1" + STAYS, "A-1", "left hub: fit a new A-1. Before, the one that is there could stay."),
        ("A-1", "A-1" + STAYS, "left hub: the A-1 that is there can stay. Before, a new one was needed."),
        ("A-1" + STAYS, "A-2", "left hub: a new A-2 instead of the A-1 that is there"),
        ("A-1", "A-2", "left hub: a new A-2 instead of a new A-1"),
        ("", "A-2", "left hub: a new A-2. Before, nothing stood there."),
        ("A-1", "", "left hub: nothing. Before, a new A-1."),
    ],
)
def test_what_stays_and_what_goes_in_is_told_apart(was: str, now: str, said: str) -> None:
    assert said in page(places=((Place("hub", "left"), was, now),))


def test_a_check_that_is_unproven_otherwise_no_longer_or_only_now() -> None:
    places = (Place("hub", "left"),)
    checks = (
        CheckChange("one", places, PAPER, Verdict.NOT_KNOWN),
        CheckChange("two", places, PAPER, None),
        CheckChange("three", places, None, PAPER),
    )
    said = page(checks=checks, unproven=(2, 2))
    assert "one (left hub) is unproven: not known. Before: fits on paper." in said
    assert "two (left hub) is no longer unproven. Before: fits on paper." in said
    assert "three (left hub) is unproven now: fits on paper." in said
    assert "Unproven checks of the plan: 2, as before." in said
    assert "Unproven checks of the plan: 1 now, 2 before." in page(unproven=(2, 1))
