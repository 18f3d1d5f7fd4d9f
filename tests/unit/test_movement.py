"""What goes, what moves with what, and which checks that touches, as swap.lp derives it."""

from __future__ import annotations

from knockon.graph.model.layouts.layout import Place
from knockon.graph.records import records_from_text
from knockon.queries.plan.solving.movement import Movement
from knockon.queries.plan.solving.problem import Problem
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, planned, problem, world

CAP, STUD = Place("cap", "left"), Place("stud", "left")
CAPS, STUDS = {CAP, Place("cap", "right")}, {STUD, Place("stud", "right")}
HUBS = {LEFT, RIGHT}
LASTING = {
    "parts.csv": TABLES["parts.csv"].replace("either,yes", "either,no"),
    "positions.csv": TABLES["positions.csv"].replace("hub,yes,studs", "hub,no,studs"),
    "figures.csv": "layout,figure,is,sort,low,unit,compared with\n"
    "cart axle,over all,stack,assembly,1 mm,mm,limits\ncart axle,in the hub,stack,assembly,1 mm,mm,limits\n",
    "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
    "cart axle,over all,1,axle,seat,diameter,1\ncart axle,over all,2,cap,rim,diameter,1\n"
    "cart axle,in the hub,1,hub,bore,diameter,1\ncart axle,in the hub,2,cap,rim,diameter,1\n",
}
"""Nothing is one-use or pressed in; two sums, one with the axle and one without it."""


def asked(*due: str, want: str = "", changed: dict[str, str] | None = None) -> tuple[Problem, Movement]:
    """The cart with these positions due, and what the best plan does to it."""
    rows = TABLES["fittings.csv"]
    for position in due:
        rows = "\n".join(
            row.replace("sound", "due") if row.startswith(f"cart,{position},") else row for row in rows.split("\n")
        )
    of = problem(world({**(LASTING if changed is None else changed), "fittings.csv": rows}), *filter(None, [want]))
    return of, planned(of)[1].movement


def counting(of: Problem, found: Movement) -> set[str]:
    checks = {j: at.joint.joint for j, at in of.joint_ids.items()}
    checks |= {s: at.figure.figure for s, at in of.figure_ids.items()}
    return {name for number, name in checks.items() if number in found.counts}


def test_where_nothing_is_asked_nothing_goes_moves_or_counts() -> None:
    of, found = asked()
    assert not any(getattr(found, name) for name in Movement.__struct_fields__) and of.figure_ids


def test_what_hangs_on_a_lost_carrier_moves_and_all_that_does_moves_together() -> None:
    of, found = asked("axle")
    assert found.gone == found.new == {AXLE}
    assert found.moved == HUBS | CAPS | STUDS  # the hubs' caps and studs too
    assert counting(of, found) == {"hub on axle", "over all"}  # nothing moves against the hub


def test_what_stays_on_a_carrier_that_goes_moves_against_the_rest() -> None:
    of, found = asked("hub")
    assert found.gone == found.new == HUBS and found.moved == CAPS | STUDS
    assert counting(of, found) == {"hub on axle", "stud in hub", "cap on hub", "over all", "in the hub"}


def test_every_lost_carrier_counts() -> None:
    of, found = asked("axle", "hub")
    assert found.gone == {AXLE, *HUBS} and found.moved == CAPS | STUDS
    assert counting(of, found) == {"hub on axle", "stud in hub", "cap on hub", "over all", "in the hub"}


def test_one_use_parts_are_parted_and_pressed_in_ones_are_pressed_out() -> None:
    _, found = asked("hub", changed={})
    assert found.pressed_out == STUDS and found.parted == CAPS | STUDS
    assert found.gone == HUBS | CAPS | STUDS and not found.released and not found.moved


def test_a_circle_of_carriers_is_set_aside() -> None:
    rows = TABLES["positions.csv"].replace("drive flange,1,needed,axle", "drive flange,1,needed,cap")
    found = records_from_text({**TABLES, "positions.csv": rows}).findings
    assert [f.row for f in found if f.set_aside and "leads back to itself" in f.problem] == [3, 5]
