"""A part yet to be found never wins over a known one, is no order, and its neighbours say what it would have to be."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.openings.specification import specification
from knockon.queries.plan.openings.specified import (
    BY_FORMULA,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    SUPPORTING,
    Ask,
    Limit,
    Specification,
    Window,
)
from knockon.queries.plan.openings.turned_figures import of_figure
from knockon.queries.plan.openings.turned_round import of_joint
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.swap import SwapAnswer, swap
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.plan.specification import to_find_blocks
from knockon.queries.ui.texts.plan.swap.whole import swap_text
from tests.demo.demo import demo, rows_of, texts, with_tables, written
from tests.unit.small import AXLE, LEFT, TABLES, planned, problem, world


def _small_without(*numbers: str) -> Catalogue:
    """The small world without some parts, and without all that speaks of them."""

    def left(text: str) -> str:
        rows = text.splitlines(keepends=True)
        return "".join(rows[:1] + [r for r in rows[1:] if not any(n in r for n in numbers)])

    return world({name: left(text) for name, text in TABLES.items() if name not in ("vehicles.csv",)})


FLANGE = Place("drive flange", "left")
NO_STUD = _small_without("STUD-1", "PAIR-25")


def _text(catalogue: Catalogue, answer: SwapAnswer) -> str:
    return " ".join(render(swap_text(catalogue, answer)).split())


def test_a_needed_part_of_which_none_is_recorded_is_yet_to_be_found_and_no_order() -> None:
    answer = swap(NO_STUD, "cart", want=["hub=HUB-25L", "axle=AXLE-25"])
    assert answer.plan is not None and not answer.is_settled
    studs = [line for g in answer.plan.groups for line in g.lines if not line.recorded]
    assert [(x.number, x.name, x.quantity, x.offer) for x in studs] == [("", "wheel stud", 8, None)]
    # its one joint, with the hub, on each side
    assert answer.plan.costs["not known"] == 2
    (spec,) = answer.to_find
    assert (spec.position, spec.part_type, spec.places) == ("stud", "wheel stud", ("left stud", "right stud"))
    assert spec.features == ("knurl",)
    text = _text(NO_STUD, answer)
    assert "No part is recorded for wheel stud. Find one first: this is not an order yet." in text
    assert "measure stud" not in text


def test_no_known_part_loses_to_a_part_yet_to_be_found() -> None:
    answer = swap(demo(), "tansy-mk-a", want=["rotor=LARCH-201"])
    assert answer.plan is not None and answer.is_settled
    assert not answer.to_find and all(line.recorded for g in answer.plan.groups for line in g.lines)


def test_where_something_is_there_it_stays_before_one_is_looked_for() -> None:
    answer = swap(NO_STUD, "cart", want=["cap=CAP-1"])
    assert answer.plan is not None and not answer.plan.groups


def test_a_bare_layout_has_a_part_yet_to_be_found_too() -> None:
    answer = combinations(NO_STUD, "cart axle", ["axle=AXLE-25"])
    assert answer.none is None
    assert {p.number for at in answer.possible if at.position == "stud" for p in at.parts} == {
        "wheel stud yet to be found"
    }


# ---- windows, against what the demo world's own rotor has, and by hand from the sizes beside


def _without_rotors() -> dict[str, str]:
    """The demo world's tables without any rotor."""
    numbers = {"LARCH-201", "LARCH-301", "LARCH-901"}
    columns = ("part", "set", "drawn as", "as part", "other part", "mirror of")

    def speaks(row: Mapping[str, str]) -> bool:
        named = any(row.get(c, "").split("/")[0] in numbers for c in columns)
        return named or any(n in row.get("parts", "") for n in numbers)

    changed = {}
    for name, text in texts().items():
        rows = rows_of(name)
        kept = [r for r in rows if not speaks(r)]
        if len(kept) != len(rows):
            changed[name] = written(kept) if kept else _header(text)
    return changed


def _header(text: str) -> str:
    stream = io.StringIO()
    csv.writer(stream, lineterminator="\n").writerow(next(csv.reader(io.StringIO(text))))
    return stream.getvalue()


NO_ROTOR = with_tables(_without_rotors())
ANSWER = swap(NO_ROTOR, "tansy-mk-a", want=["caliper=LARCH-203L"])


def _window(spec: Specification, dimension: str, need: str = "required") -> Window:
    return next(w for w in spec.windows if f"{w.feature}, {w.dimension}" == dimension and w.need == need)


def _ends(window: Window) -> tuple[float | None, float | None]:
    return (window.low.value if window.low else None, window.high.value if window.high else None)


def test_each_dimension_has_the_window_that_its_neighbours_leave() -> None:
    (spec,) = ANSWER.to_find
    assert spec.is_possible and spec.places == ("left rotor", "right rotor")
    assert set(spec.features) == {"bolt circle", "register bore", "countersinks", "body"}
    # the flange's register is 2.000 in: the bore goes on it, and is looser by 0.15 mm at most
    bore = _window(spec, "register bore, diameter")
    assert _ends(bore) == (50.8, 50.95) and bore.unit == "mm"
    assert bore.low is not None and bore.low.parts == ("ROWAN-241, left drive flange",)
    assert bore.low.check == "rotor on register"
    # the caliper's slot is 1/2 in wide
    assert _ends(_window(spec, "body, thickness")) == (None, 12.7)
    assert _ends(_window(spec, "bolt circle, count")) == (4, 4)


def test_the_part_that_was_taken_away_lies_in_every_window() -> None:
    (spec,) = ANSWER.to_find
    features = demo().features_of("LARCH-201")
    seen = 0
    for window in (w for w in spec.windows if w.need == "required"):
        for size in features[window.feature].dimensions.get(window.dimension, ()):
            low, high = _ends(window)
            seen += 1
            assert low is None or (size.low is not None and size.low >= low - 1e-6), window
            assert high is None or (size.high is not None and size.high <= high + 1e-6), window
    assert seen >= 4


def test_what_gives_no_window_is_said_as_it_stands() -> None:
    (spec,) = ANSWER.to_find
    by_label = {s.condition: s for s in spec.stated}
    inboard = by_label["gap on the inboard side"]
    # half the slot and its centre leave 19.05 + 6.35 - 0.5 mm for the hat and half the rotor
    assert (inboard.because, inboard.value) == (OF_SEVERAL, "body: 0.5 x thickness + hat offset")
    assert (inboard.low, inboard.high) == (None, 24.9)
    under = by_label["room under the bridge"]
    assert (under.because, under.low) == (NOT_RECORDED_BESIDE, 1.5)


def test_codes_are_equal_and_supporting_windows_stand_apart() -> None:
    answer = swap(demo(), "tansy-mk-a", want=["knuckle=ALDER-201L", "outer joint=ROWAN-101"])
    assert answer.plan is None and answer.none is not None
    (way,) = answer.would_open
    assert [s.position for s in way] == ["inner bearing", "outer bearing"]
    inner = way[0]
    # a bearing of the knuckle's bore, 2.250 in, on the stub's journal, 1.000 in: tried, and with it there is a plan
    low, high = _ends(_window(inner, "bearing, bore"))
    assert low is not None and high is not None and low < 25.4 < high < 26
    low, high = _ends(_window(inner, "bearing, outside diameter"))
    assert low is not None and high is not None and 57 < low < 57.15 < high < 57.5
    assert [c.code for c in _window(inner, "pair, pattern").codes] == ["ALDER-111"]
    press = _ends(_window(inner, "bearing, outside diameter", SUPPORTING))
    assert press == (57.163, 57.2)  # 0.013 to 0.05 mm more than the bore
    text = _text(demo(), answer)
    assert "These together give a plan:" in text
    assert (
        "pair, pattern: ALDER-111, because of spacer by inner bearing, pattern (ALDER-112, left bearing spacer)" in text
    )


def test_where_neighbours_contradict_each_other_only_that_size_says_so() -> None:
    """The axle asks a bore of 25 mm at least, the cap one of 24 mm at most; the length that each asks can be had."""
    least = Limit("hub on axle", "goes on", ("AXLE-25, axle",), "made up", 25.0)
    most = Limit("cap on hub", "goes in", ("CAP-1, left cap",), "made up", 24.0)
    bore = Window("bore", "register bore", "diameter", "length", "mm", "required", least, most)
    length = replace(bore, feature="body", dimension="length", high=replace(most, value=26.0))
    for windows, contradict in (((length, bore), True), ((length,), False)):
        spec = Specification("hub", "drive flange", (LEFT,), ("body", "bore"), windows, ())
        lines = render(to_find_blocks([spec]))
        said = {w.feature: "No size meets both" in _about(lines, f"{w.feature}, {w.dimension}") for w in windows}
        assert said == {w.feature: w is bore for w in windows}
        apart = "at least 25 mm (0.984 in) and at most 24 mm (0.945 in)"
        assert (apart in " ".join(lines.split())) is contradict
        assert ("No part can meet all of this" in " ".join(lines.split())) is contradict is not spec.is_possible


def _about(text: str, size: str) -> str:
    """What is said of one size, up to the next."""
    return " ".join(text.partition(size)[2].partition("\n  -")[0].split())


def test_a_formula_is_stated_with_what_it_takes() -> None:
    """A drive flange for the drum joint's stub, beside the known ones: how deep the teeth overlap is worked out."""
    places = Places(demo().layouts["tansy front axle"])
    request = read_request(demo(), places, want=["outer joint=ROWAN-101"])
    problem = Problem(
        Checks(demo(), places), demo().vehicles["tansy-mk-b"], request, sought=frozenset({"drive flange"})
    )
    planner = Planner(problem)
    made = next(c for c in problem.candidates[FLANGE] if c.to_be_found)
    filling = planner.best()
    assert filling is not None
    spec = specification(problem, replace(filling, chosen={**filling.chosen, FLANGE: made}), FLANGE)
    formulas = [s for s in spec.stated if s.because == BY_FORMULA]
    assert formulas and all(s.check in problem.sort_of and s.value for s in formulas)
    assert {w.dimension: _ends(w) for w in spec.windows if w.feature == "flange spline"}["teeth"] == (21, 21)
    # stacks ask it for its own sizes, and not for those of the parts beside it
    (overlap,) = (s for s in spec.stated if s.check == "spline engagement, flange length")
    assert (overlap.because, overlap.value) == (OF_SEVERAL, "flange spline: end - flange spline: start")
    boss = _window(spec, "boss, length")
    assert [end.check for end in (boss.low, boss.high) if end] == ["nut seat beyond thread start", "nut fully on"]
    assert {w.feature for w in spec.windows} <= set(spec.features)


def test_a_wish_that_no_known_part_meets_is_a_part_of_the_specification() -> None:
    answer = swap(demo(), "tansy-mk-a", want=["rotor.outside diameter>=250 mm"])
    assert answer.plan is None
    (way,) = answer.would_open
    asked = next(w for w in way[0].windows if w.need == "asked")
    assert (asked.feature, asked.dimension, _ends(asked)) == ("body", "outside diameter", (250, None))
    assert "body, outside diameter: at least 250 mm" in _text(demo(), answer)


def test_a_stack_asks_a_part_for_its_own_size_by_what_stands_beside_it() -> None:
    """0 to 0.5 mm of room: about an axle of 25 mm a bore of 25 to 25.5 mm, in that of 25 an axle of 24.5 to 25."""
    catalogue = world(
        {
            "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,says\n"
            "cart axle,room,stack,service,0 mm,0.5 mm,mm,limits,it rattles\n",
            "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
            "cart axle,room,1,hub,bore,diameter,1\ncart axle,room,2,axle,seat,diameter,-1\n",
        }
    )
    of = problem(catalogue, "axle=AXLE-25")
    (room,) = (at for at in of.places.figures if LEFT in at.places)
    asks = {p: list(of_figure(of, planned(of)[1].chosen, room, p)) for p in (LEFT, AXLE)}
    asked = {(a.feature, a.dimension, a.low and a.low.value, a.high and a.high.value)
             for found in asks.values() for a in found if isinstance(a, Ask)}  # fmt: skip
    assert asked == {
        ("bore", "diameter", 25.0, None), ("bore", "diameter", None, 25.5),
        ("seat", "diameter", 24.5, None), ("seat", "diameter", None, 25.0),
    }  # fmt: skip


def test_each_end_of_a_joint_is_asked_for_what_the_other_end_leaves_it() -> None:
    of = problem(world(), "axle=AXLE-25")
    chosen = planned(of)[1].chosen
    (at,) = (j for j in of.places.joints if j.joint.joint == "hub on axle" and j.side == "left")
    found = {p: [a for a in of_joint(of, chosen, at, p) if isinstance(a, Ask)] for p in (LEFT, AXLE)}
    for place, feature, beside in ((LEFT, "bore", "AXLE-25, axle"), (AXLE, "seat", f"{chosen[LEFT].number}, left hub")):
        limits = [limit for a in found[place] for limit in (a.low, a.high) if limit is not None]
        assert {a.feature for a in found[place]} == {feature}
        assert limits and all(limit.parts == (beside,) for limit in limits)
