"""Figures that are told: before and after, with what makes them uncertain, what is missing and what was assumed."""

from __future__ import annotations

import math

import pytest
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import records_from_text
from knockon.queries.plan.changes import changes_of, findings_of
from knockon.queries.plan.figures import ToldFigure, told_figures, told_meetings
from knockon.queries.plan.numbers import Estimate
from knockon.queries.plan.swap import ruled_out
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.terminal.screen import Screen, render
from knockon.queries.ui.texts.plan.figures import estimate_text, figure_blocks
from tests.unit.small import TABLES, planned, problem, world

FIGURES = "layout,figure,is,formula,sort,low,high,unit,compared with,source,says,listed\n"
TERMS = "layout,figure,order,position,feature,dimension,factor,role,taken on,assumed\n"
RODS = "part,feature,diameter,source\nHUB-20L,rod,60 mm,book\nHUB-25L,rod,66.0 mm ±0.2 mm,book\n"


def told_world(figures: str, terms: str, **more: str) -> Catalogue:
    tables = {"figures.csv": FIGURES + figures, "figure_terms.csv": TERMS + terms}
    return world({**tables, "features/journal.csv": RODS, **more})


def told(catalogue: Catalogue, *want: str, vehicle: str = "cart") -> list[ToldFigure]:
    of = problem(catalogue, *want, vehicle=vehicle)
    _, filling = planned(of)
    return list(told_figures(of, filling))


def one(catalogue: Catalogue, *want: str, vehicle: str = "cart") -> ToldFigure:
    (found,) = told(catalogue, *want, vehicle=vehicle)
    return found


SUM = "cart axle,wall,told,,service,,,mm,as made,geometry,how thick,\n"
SUM_TERMS = "cart axle,wall,1,hub,rod,diameter,0.5,,,\ncart axle,wall,2,axle,seat,diameter,-0.5,,,\n"


def test_a_sum_is_told_before_and_after_with_both_spreads() -> None:
    found = one(told_world(SUM, SUM_TERMS), "hub=HUB-25L")
    assert found.as_made == Estimate(20.0, 20.0, 20.0, 0.0)
    assert found.planned == Estimate(20.5, 20.4, 20.6, 0.1)
    assert found.sides == ("left", "right")
    assert [i.name for i in found.influences] == ["hub, rod: diameter"]
    assert found.nominal == ("axle, seat: diameter",)
    assert (found.low, found.high, found.says, found.rests_on) == (None, None, "how thick", "geometry")
    assert {v.of for v in found.values} == {"HUB-20L", "HUB-25L", "HUB-25R", "AXLE-20", "AXLE-25"} - {"HUB-25R"}


def test_worst_case_and_root_sum_of_squares_differ_with_two_open_sizes() -> None:
    spigots = "part,feature,diameter,source\nAXLE-20,seat,20 mm,book\nAXLE-25,seat,25.0 mm ±0.2 mm,book\n"
    bores = "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\nHUB-25L,bore,25.1 mm ±0.1 mm,book\n"
    more = {"features/spigot.csv": spigots, "features/register_bore.csv": bores}
    terms = "cart axle,wall,1,hub,rod,diameter,0.5,,,\ncart axle,wall,2,hub,bore,diameter,-0.5,,,\n"
    found = one(told_world(SUM, terms, **more), "hub=HUB-25L")
    assert found.planned is not None and found.planned.likely is not None
    assert found.planned.low == pytest.approx(20.3) and found.planned.high == pytest.approx(20.6)
    assert found.planned.likely == pytest.approx(math.hypot(0.1, 0.05))
    assert [(i.name, round(i.share)) for i in found.influences] == [
        ("hub, rod: diameter", 67),
        ("hub, bore: diameter", 33),
    ]


def test_a_missing_size_is_named_and_never_guessed() -> None:
    bare = "part,feature,diameter,source\nHUB-20L,rod,60 mm,book\n"
    for side, found in zip(
        "LR", told(told_world(SUM, SUM_TERMS, **{"features/journal.csv": bare}), "hub=HUB-25L"), strict=True
    ):
        assert found.planned is None
        assert found.to_measure == (f"HUB-25{side}, rod: diameter",)
        assert found.as_made == Estimate(20.0, 20.0, 20.0, 0.0)


def test_what_is_missing_on_the_vehicle_as_made_is_told_apart() -> None:
    bare = "part,feature,diameter,source\nHUB-25L,rod,66 mm,book\n"
    left, right = told(told_world(SUM, SUM_TERMS, **{"features/journal.csv": bare}), "hub=HUB-25L")
    assert left.as_made is None and left.planned == right.planned == Estimate(20.5, 20.5, 20.5, 0.0)
    assert left.to_measure == () and left.to_measure_as_made == ("HUB-20L, rod: diameter, as made",)


def test_sources_that_contradict_each_other_count_with_all_they_say() -> None:
    sources = TABLES["sources.csv"] + "book two,another book,drawing,\n"
    rods = RODS + "HUB-25L,rod,68.0 mm ±0.2 mm,book two\n"
    catalogue = told_world(SUM, SUM_TERMS, **{"features/journal.csv": rods, "sources.csv": sources})
    left, *_ = told(catalogue, "hub=HUB-25L")
    assert left.planned is not None
    assert (left.planned.low, left.planned.high) == (20.4, 21.6)
    assert left.disputed == ("HUB-25L, rod: diameter",)
    text = " ".join(getattr(b, "text", "") for b in figure_blocks(Naming(catalogue), [left], ()))
    assert "Sources disagree on HUB-25L, rod: diameter" in text


def test_an_assumed_size_stands_in_only_where_none_is_recorded_and_is_named() -> None:
    terms = "cart axle,wall,1,hub,rod,diameter,,,,61 mm\ncart axle,wall,2,hub,lip,diameter,,,,2 mm\n"
    found = one(told_world(SUM, terms), "hub=HUB-25L")
    assert found.planned is not None and found.planned.middle == pytest.approx(68.0)
    assert found.assumptions == ("hub, lip: diameter 2 mm",)


def test_a_formula_takes_its_terms_by_role_and_terms_of_one_role_add_up() -> None:
    figure = "cart axle,wider,told,track_change,service,,,mm,limits,geometry,,\n"
    terms = (
        "cart axle,wider,1,hub,rod,diameter,,face_change,change,\n"
        "cart axle,wider,2,axle,seat,diameter,,face_change,change,\n"
        "cart axle,wider,3,cap,rod,offset,,offset_change,change,\n"
    )
    found = one(told_world(figure, terms), "hub=HUB-25L")
    # 2 x ((66 - 60) + (25 - 20) - 0): the cap is the same part, so its unknown offset does not change.
    assert found.planned is not None and found.planned.middle == pytest.approx(22.0)
    assert found.as_made is None and found.to_measure_as_made == ()


def test_a_ratio_to_the_vehicle_as_made() -> None:
    figure = "cart axle,bores,told,pedal_force_ratio,service,,,times,limits,Pascal,,\n"
    terms = (
        "cart axle,bores,1,axle,seat,diameter,,new_bore,,\ncart axle,bores,2,axle,seat,diameter,,old_bore,as made,\n"
    )
    found = one(told_world(figure, terms), "hub=HUB-25L")
    assert found.planned is not None and found.planned.middle == pytest.approx(1.5625)
    assert found.sides == ()


def test_a_size_that_stays_never_differs_from_itself() -> None:
    # The axle stays: its uncertain seat stands above and below the line and cancels, whatever it measures.
    figure = "cart axle,bores,told,pedal_force_ratio,service,,,times,limits,Pascal,,\n"
    terms = (
        "cart axle,bores,1,axle,seat,diameter,,new_bore,,\ncart axle,bores,2,axle,seat,diameter,,old_bore,as made,\n"
        "cart axle,bores,3,hub,rod,diameter,0,old_bore,,\n"
    )
    spigots = "part,feature,diameter,source\nAXLE-20,seat,20.0 mm ±0.5 mm,book\nAXLE-25,seat,25.0 mm ±0.5 mm,book\n"
    bores = "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\nHUB-25L,bore,20 mm,book\n"
    more = {"features/spigot.csv": spigots, "features/register_bore.csv": bores}
    stays = one(told_world(figure, terms, **more), "hub=HUB-25L")
    assert stays.planned == Estimate(1.0, 1.0, 1.0, 0.0)
    assert stays.influences == ()
    more["features/register_bore.csv"] = bores.replace("25L,bore,20", "25L,bore,25")
    goes = one(told_world(figure, terms, **more), "axle=AXLE-25")
    assert goes.planned is not None and goes.planned.low == pytest.approx((24.5 / 20.5) ** 2)


def test_what_is_listed_in_the_fit_rules_is_told() -> None:
    rules = world().vocabulary.rules.values()
    listed = [c for rule in rules for c in rule.conditions if c.listed]
    assert len({c.label for c in listed}) >= 3
    assert all(c.need == "told" and c.source for c in listed)


def test_the_sort_of_fit_is_said_where_limits_are_known() -> None:
    figure = "cart axle,seat,told,fit_clearance,service,,,mm,limits,ISO 286-1,,\n"
    terms = "cart axle,seat,1,hub,bore,diameter,,hole,,\ncart axle,seat,2,axle,seat,diameter,,shaft,,\n"
    assert "no limits" in one(told_world(figure, terms), "hub=HUB-25L").words
    spigots = "part,feature,diameter,source\nAXLE-20,seat,20 mm,book\nAXLE-25,seat,25 k6,book\n"
    bores = "part,feature,diameter,source\nHUB-20L,bore,20 mm,book\nHUB-25L,bore,25 H7,book\n"
    more = {"features/spigot.csv": spigots, "features/register_bore.csv": bores}
    found = one(told_world(figure, terms, **more), "hub=HUB-25L")
    # ISO 286-2: 25 H7 is +21/0, 25 k6 is +15/+2 um.
    assert found.words == "a transition fit"
    assert found.planned is not None
    assert found.planned.low == pytest.approx(-0.015) and found.planned.high == pytest.approx(0.019)
    assert found.nominal == ()


def test_a_plan_that_changes_nothing_of_a_figure_does_not_tell_it() -> None:
    terms = "cart axle,wall,1,cap,rod,diameter,,,,\n"
    assert told(told_world(SUM, terms)) == []


def test_a_told_figure_is_never_judged() -> None:
    catalogue = told_world(SUM.replace("service,,", "service,99 mm,"), SUM_TERMS)
    of = problem(catalogue, "hub=HUB-25L")
    assert of.places.figures == ()
    assert [at.figure.figure for at in of.places.told] == ["wall", "wall"]
    assert planned(of)[1].costs["not known"] == planned(problem(world(), "hub=HUB-25L"))[1].costs["not known"]


def test_a_judged_figure_is_told_only_where_it_is_listed() -> None:
    judged = SUM.replace("told", "figure").replace("service,,", "service,19 mm,").replace("as made", "limits")
    assert told(told_world(judged, SUM_TERMS), "hub=HUB-25L") == []
    found = one(told_world(judged.replace(",\n", ",yes\n"), SUM_TERMS), "hub=HUB-25L")
    assert (found.low, found.high, found.says) == (19.0, None, "")


def thread_world() -> Catalogue:
    """Hubs on threads: M10x1 in the old hub, 3/8-24 on the new axle."""
    joints = TABLES["joints.csv"].replace("hub,bore,axle,seat,register", "axle,seat,hub,bore,screw in thread")
    males = "part,feature,thread,source\nAXLE-20,seat,M10x1,book\nAXLE-25,seat,3/8-24 UNF,book\n"
    females = "part,feature,thread,source\nHUB-20L,bore,M10x1,book\nHUB-25L,bore,3/8-24 UNF,book\n"
    more = {"features/external_thread.csv": males, "features/internal_thread.csv": females, "joints.csv": joints}
    bare = {"features/spigot.csv": "part,feature,diameter,source\n"}
    return world({**more, **bare, "features/register_bore.csv": "part,feature,diameter,source\n"})


def test_a_thread_mismatch_says_after_how_many_turns_it_binds() -> None:
    of = problem(thread_world(), "hub=HUB-25L")
    planner, filling = planned(of)
    changes = changes_of(planner, filling, ())
    found = told_meetings(of.checks, ruled_out(changes, findings_of(of)))
    # 3/8-24 in M10x1: slack over the difference of pitch gives about 5 turns, on 56 % of the flanks' height.
    (meeting,) = [m for m in found if "AXLE-25" in m.about]  # once for both hands
    assert meeting.about == "hub on axle: AXLE-25 with HUB-20L"
    assert meeting.words == "would start and bind after about 5 turns, on 56 % of the flanks' height"
    assert meeting.planned is not None and meeting.planned.middle == pytest.approx(5.0, abs=0.5)


def test_text_names_uncertainty_and_what_to_measure() -> None:
    catalogue = told_world(SUM, SUM_TERMS)
    found = told(catalogue, "hub=HUB-25L")
    text = " ".join(getattr(b, "text", "") for b in figure_blocks(Naming(catalogue), found, ()))
    assert "20.4 to 20.6 mm" in text and "root sum of squares" in text and "The main uncertainty is hub, rod" in text
    assert "count as exact" in text and "never say" in text
    assert figure_blocks(Naming(catalogue), (), ()) == []


def test_what_all_figures_rest_on_is_set_in_alike() -> None:
    catalogue = told_world(SUM, SUM_TERMS)
    shown = render(figure_blocks(Naming(catalogue), told(catalogue, "hub=HUB-25L"), ()), Screen(width=60))
    *_, figure, rests_on, compared, again = shown.splitlines()
    assert figure.startswith("   ")  # behind the dash of the figure's first line
    for line, words in ((rests_on, "Sizes without"), (compared, "Figures compare"), (again, "safely.")):
        assert line.startswith(f"  {words}")


def test_the_other_hand_is_told_again_only_where_it_differs() -> None:
    catalogue = told_world(SUM, SUM_TERMS)
    left = replace(one(catalogue, "hub=HUB-25L"), sides=("left",))
    other = replace(left, sides=("right",), planned=Estimate(30.0, 30.0, 30.0, 0.0))

    def lines(*figures: ToldFigure) -> list[str]:
        texts = [getattr(b, "text", "") for b in figure_blocks(Naming(catalogue), figures, ())]
        return [text for text in texts if text.startswith("wall")]

    (alike,) = lines(left, replace(left, sides=("right",)))
    assert "and the same on the other side" in alike
    first, second = lines(left, other)
    assert first.startswith("wall (left): 20.4 to 20.6 mm") and second.startswith("wall (right): 30 mm")
    unknown = replace(left, planned=None, to_measure=("hub, rod: diameter",))
    assert len(lines(unknown, replace(unknown, sides=("right",)))) == 1


def test_a_number_without_end() -> None:
    assert estimate_text(Estimate(None, 3.0, None, None), "turns") == "3 to no end turns"


@pytest.mark.parametrize(
    ("formula", "says"),
    [("no_such_formula", "no such formula"), ("pedal_force_ratio", "pedal_force_ratio has no term for old_bore")],
)
def test_records_that_ask_for_what_is_not_there_are_told_where_they_are_read(formula: str, says: str) -> None:
    figure = f"cart axle,odd,told,{formula},service,,,times,limits,nowhere,,\n"
    own = {"figures.csv": FIGURES + figure, "features/journal.csv": RODS}
    own["figure_terms.csv"] = TERMS + "cart axle,odd,1,hub,rod,diameter,,new_bore,,\n"
    records = records_from_text({**TABLES, **own})
    found = [f for f in records.findings if f.file == "figures.csv"]
    assert [(f.row, f.column, f.problem, f.set_aside) for f in found] == [(2, "formula", says, True)]
    assert not records.catalogue.layouts["cart axle"].told
