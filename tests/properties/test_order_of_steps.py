"""The order of steps on a job card, against the facts that it must respect, each read from the records once more.

Facts are looked up here by other means than the program's: from the raw rows of the layout, by walking them.
"""

from __future__ import annotations

from functools import cache
from itertools import pairwise, permutations
from pathlib import Path

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.records import load, records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.job.card import CardLine, JobCard, job_card
from tests.unit.test_ready_made import CAR, car

DEMO = Path(__file__).parents[2] / "data_demo"
ASKED = [
    ("tansy-m080", "rotor=LARCH-201"), ("tansy-m080", "disc"), ("tansy-m080", "brake drum=LARCH-101"),
    ("tansy-mk-a", "rotor=LARCH-201"), ("tansy-mk-a", "wheel=MAPLE-301"), ("tansy-mk-b", "drum"),
]  # fmt: skip


@cache
def demo() -> Catalogue:
    return load(DEMO).catalogue


@cache
def card(vehicle: str, wish: str) -> JobCard:
    return job_card(demo(), vehicle, want=(wish,))


@cache
def needs_of(layout: str) -> dict[str, frozenset[str]]:
    """Whatever each step needs, also by way of others: by letting each take over what its needs need until nothing is
    new."""
    steps = demo().layouts[layout].steps
    found = {s.step: frozenset(s.needs) for s in steps}
    while True:
        more = {name: needs.union(*(found.get(n, frozenset()) for n in needs)) for name, needs in found.items()}
        if more == found:
            return found
        found = more


At = dict[tuple[str, str], list[CardLine]]
Pairs = list[tuple[int, int]]


def facts(layout: Layout, lines: tuple[CardLine, ...]) -> Pairs:
    """Pairs of numbers of lines of which the first must come first."""
    needs = needs_of(layout.layout)
    at: At = {}
    for line in lines:
        for part in line.parts:
            at.setdefault((part.place, line.kind), []).append(line)
    found = [
        (one.number, other.number)
        for one, other in permutations(lines, 2)
        if one.step in needs[other.step] and (one.side == other.side or not one.side or not other.side)
    ]
    return found + of_one_place(at) + of_carriers(layout, at) + of_what_hides(layout, at)


def numbers(earlier: list[CardLine], later: list[CardLine]) -> Pairs:
    return [(a.number, b.number) for a in earlier for b in later if a != b]


def of_one_place(at: At) -> Pairs:
    before = {"remove": ("make safe",), "inspect": ("remove",), "fit": ("remove", "inspect")}
    return [
        pair
        for (place, kind), lines in at.items()
        for earlier in before.get(kind, ())
        for pair in numbers(at.get((place, earlier), []), lines)
    ]


def of_carriers(layout: Layout, at: At) -> Pairs:
    order = {s.step: s.order for s in layout.steps}
    needs = needs_of(layout.layout)
    carried = {p.position: p.carried_by for p in layout.positions if p.carried_by}
    found: Pairs = []
    for (place, kind), lines in at.items():
        here = next(p.place for p in lines[0].parts if p.place == place)
        carrier = f"{here.side} {carried.get(here.position, 'nothing')}".strip()
        if kind == "fit" and (carrier, kind) in at:
            found += numbers([min(at[carrier, kind], key=lambda line: order[line.step])], lines)
        if kind == "remove":
            later = at.get((carrier, kind), [])
            found += [
                (a, b)
                for line in lines
                for a, b in numbers([line], [x for x in later if x.step not in needs[line.step]])
            ]
    return found


def of_what_hides(layout: Layout, at: At) -> Pairs:
    found: Pairs = []
    for row in layout.in_the_way:
        for side in ("left", "right", "") if not row.slackened else ():
            off, hidden = f"{side} {row.position}".strip(), f"{side} {row.in_the_way_of}".strip()
            for kind in ("remove", "inspect"):
                found += numbers(at.get((off, "remove"), []), at.get((hidden, kind), []))
            found += numbers(at.get((hidden, "fit"), []), at.get((off, "fit"), [])[-1:])
    return found


@pytest.mark.parametrize(("vehicle", "wish"), ASKED)
def test_the_order_respects_every_fact(vehicle: str, wish: str) -> None:
    found = card(vehicle, wish)
    if not found.has_plan:
        pytest.fail(f"no plan for {wish} on {vehicle}: ask for another")
    layout = demo().layouts[demo().vehicles[vehicle].layout]
    wanted = facts(layout, found.lines)
    assert len(wanted) > len(found.lines)
    assert [(a, b) for a, b in wanted if a > b] == []


@pytest.mark.parametrize(("vehicle", "wish"), ASKED)
def test_every_place_that_changes_has_a_step_and_both_sides_have_the_same_gates(vehicle: str, wish: str) -> None:
    found = card(vehicle, wish)
    assert found.no_step == ()
    gates = {side: {x.step for x in found.lines if x.gate and x.side == side} for side in ("left", "right")}
    assert gates["left"] == gates["right"] != set()


def test_a_corner_is_worked_on_as_long_as_something_can_be_done_there() -> None:
    sides = [line.side for line in card("tansy-m080", "rotor=LARCH-201").lines if line.side]
    changes = sum(a != b for a, b in pairwise(sides))
    assert changes < len(sides) / 8


def test_steps_that_wait_for_each_other_are_told_as_a_chain() -> None:
    own = (
        "layout,step,kind,position,order,needs,text\nmy car,disc wiped,fit,rotor,1,disc oiled,Wipe it.\n"
        "my car,disc oiled,fit,rotor,2,disc wiped,Oil it.\n"
    )
    with pytest.raises(RequestError, match=r"left disc (oiled|wiped) < left disc (wiped|oiled) < left disc"):
        job_card(car(steps=own).catalogue, "mine", want=("rotor=R-120",))


def test_a_layout_without_steps_names_the_places_that_have_none() -> None:
    bare = {
        **CAR,
        "layout_uses.csv": "layout,uses\n",
        "layouts.csv": "layout\nbench\n",
        "positions.csv": "layout,position,level,part type,quantity,need,group,order\n"
        "bench,rotor,vehicle,rotor,1,needed,rotors,1\n",
        "vehicles.csv": "vehicle,layout,as made,source\nmine,bench,no,book\n",
        "fittings.csv": "vehicle,position,part\nmine,rotor,R-100\n",
    }
    found = job_card(records_from_text(bare).catalogue, "mine", want=("rotor=R-120",))
    assert found.has_plan and found.lines == () and found.no_step == ("rotor",) and not found.is_good
