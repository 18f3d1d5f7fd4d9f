"""Which part is this: how readings are read, what is left, what is one line, and what to measure next."""

from __future__ import annotations

import math

import pytest

from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.records import records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.find.identify import IdentifyAnswer, identify

SPLINE = "part,feature,teeth,major diameter,source\n"
TABLES = {
    "sources.csv": "source,title,standing\nbook,a book,drawing\nother,another book,drawing\nstall,a stall,seller\n",
    "parts.csv": """\
part,name,part type,hand,one use,source
J-25,joint,outer joint,either,no,book
J-24,joint,outer joint,either,no,book
J-21,joint,outer joint,either,no,book
J-X,joint from a stall,outer joint,either,no,stall
N-1,nut,hub nut,either,yes,book
N-2,nut,hub nut,either,yes,book
N-3,nut,hub nut,either,yes,book
L-1,seal,inner seal,left,yes,book
L-2,seal,inner seal,left,yes,book
R-1,seal,inner seal,right,yes,book
""",
    "features/external_spline.csv": SPLINE
    + "J-25,stub spline,25,27.40..27.50 mm,book\nJ-24,stub spline,24,27.40..27.50 mm,book\n"
    + "J-21,stub spline,21,23.20..23.30 mm,book\n",
    "features/journal.csv": "part,feature,diameter,source\nJ-25,seat,28.00..28.02 mm,book\nJ-24,seat,28.5 mm,book\n",
    "features/nut.csv": "part,feature,thread,height,source\nN-1,nut thread,3/4-16 UNF,16 mm,book\n"
    + "N-2,nut thread,M20x1.5,16 mm,book\nN-3,nut thread,3/4-16 UNF LH,16 mm,book\n",
    "features/lip_seal.csv": "part,feature,inside diameter,outside diameter,width,source\n"
    + "".join(f"{n},lip,30 mm,47 mm,7 mm,book\n" for n in ("L-1", "L-2", "R-1")),
    "features/dust_lip.csv": "part,feature,diameter,source\nL-1,dust lip,absent,book\nL-2,dust lip,absent,book\n"
    + "R-1,dust lip,31 mm,book\n",
}


def world(**more: str) -> Catalogue:
    tables = {**TABLES, **{f"features/{name}.csv": text for name, text in more.items()}}
    found = records_from_text(tables)
    assert not found.findings, found.findings
    return found.catalogue


WORLD = world()


def odds(answer: IdentifyAnswer) -> dict[str, float]:
    return {c.part: round(c.odds, 3) for c in answer.candidates}


def test_a_reading_across_odd_teeth_is_corrected_for_each_candidate_s_own_number() -> None:
    low = 27.45 * (1 + math.cos(math.pi / 25)) / 2
    answer = identify(WORLD, [f"stub spline: across = {low:.3f} mm ±0.02 mm"])
    assert list(odds(answer)) == ["J-25", "J-X"]
    assert answer.candidates[0].held[0].teeth == (25,)
    assert list(odds(identify(WORLD, ["stub spline: across = 27.45 mm ±0.02 mm"]))) == ["J-24", "J-X"]


def test_where_no_number_of_teeth_is_recorded_the_one_counted_corrects() -> None:
    uncounted = world(external_spline=SPLINE + "J-25,stub spline,,27.40..27.50 mm,book\n")
    low = 27.45 * (1 + math.cos(math.pi / 25)) / 2
    readings = [f"stub spline: teeth = 25, across = {low:.3f} mm ±0.02 mm"]
    assert identify(uncounted, readings, "outer joint").candidates[0].deviations == 0
    whole = identify(uncounted, [f"stub spline: major diameter = {low:.3f} mm ±0.02 mm"], "outer joint")
    assert "J-25" not in odds(whole)
    unread = identify(uncounted, [f"stub spline: across = {low:.3f} mm ±0.02 mm"], "outer joint")
    assert {c.part: c.unrecorded for c in unread.candidates}["J-25"] == (0,)  # nobody knows what the jaws would show


@pytest.mark.parametrize(
    "typed",
    [
        ["external spline: teeth=25, major diameter=27.45 mm ±0.02 mm"],
        ["Stub Spline: 25 teeth; major diameter 27.43..27.47 mm"],
        ["stub spline: teeth = 25", "stub-spline: major = 1.0807 in"],
        ["stub spline: teeth 25", "seat: 28.01 mm ±0.01 mm"],
    ],
)
def test_ways_of_typing(typed: list[str]) -> None:
    answer = identify(WORLD, typed, "outer-joint")
    assert answer.candidates[0].part == "J-25"
    assert answer.candidates[0].deviations == 0


def test_no_unit_is_taken_from_what_is_recorded_and_a_whole_number_is_coarse() -> None:
    (said,) = identify(WORLD, ["stub spline: major diameter = 27.45"]).readings
    assert (said.value, said.unit, said.tool, said.within) == (27.45, "mm", "caliper", 0.02)
    assert any("unit" in flag for flag in said.flags)


def test_how_far_off_a_reading_may_be() -> None:
    def within(typed: str, tool: str = "") -> tuple[float, str]:
        (said,) = identify(WORLD, [typed], tool_name=tool).readings
        return round(said.within, 6), said.tool

    assert within("seat: 28.01 mm") == (0.01, "micrometer")
    assert within("seat: 28.01 mm", "vernier") == (0.02, "caliper")
    assert within("seat: 28.01 mm ±0.3 mm", "vernier") == (0.3, "")
    assert within("seat: 27.9..28.1 mm") == (0.1, "")


@pytest.mark.parametrize("said", ["3/4 UNF", "thread = 3/4-16 UNF", "3/4-16"])
def test_a_designation_is_read_as_far_as_it_says(said: str) -> None:
    answer = identify(WORLD, [f"nut thread: {said}"], "hub nut")
    assert odds(answer) == {"N-1": 1.0, "N-3": 1.0}  # no hand was said


def test_a_hand_that_is_said_is_read_and_a_pitch_that_is_not_is_not() -> None:
    assert list(odds(identify(WORLD, ["nut thread: 3/4-16 UNF LH"]))) == ["N-3", "N-1"]
    read = {r.dimension for r in identify(WORLD, ["nut thread: M20"]).readings}
    assert "thread.major" in read and "thread.pitch" not in read and "thread.hand" not in read
    plain = identify(WORLD, ["nut thread: 20 mm"])
    assert [r.dimension for r in plain.readings] == ["thread.major"] and list(odds(plain)) == ["N-2"]
    assert list(odds(identify(WORLD, ["nut thread: pitch = 16 tpi"]))) == ["N-1", "N-3"]


def test_words_of_a_feature_and_its_dimension_name_it() -> None:
    assert list(odds(identify(WORLD, ["nut height: 16 mm"]))) == ["N-1", "N-2", "N-3"]


def test_what_nothing_tells_apart_is_one_line_and_a_hand_tells() -> None:
    answer = identify(WORLD, ["lip: width = 7 mm"])
    assert [(c.part, c.also) for c in answer.candidates] == [("L-1", ("L-2",)), ("R-1", ())]
    assert answer.apart and answer.apart.parts == ("L-1", "R-1")


def test_a_feature_that_is_not_there() -> None:
    answer = identify(WORLD, ["dust lip: absent"])
    assert [c.part for c in answer.candidates] == ["L-1"]
    assert [c.part for c in identify(WORLD, ["dust lip: there"]).candidates] == ["R-1"]
    assert [c.part for c in identify(WORLD, ["dust lip: 31 mm"]).candidates] == ["R-1"]
    look = identify(WORLD, ["lip: width = 7 mm"]).measure
    assert look and (look.feature, look.dimension) == ("dust lip", "") and look.bits == pytest.approx(0.918296)


def test_none_of_these_names_the_nearest_miss() -> None:
    answer = identify(WORLD, ["nut thread: M20x1.5", "nut thread: height = 18.0 mm ±0.1 mm"], "hub nut")
    assert answer.candidates == () and answer.measure is None and answer.apart is None
    assert answer.none and answer.none.part == "N-2" and answer.none.unequal == 0
    assert answer.none.deviations == pytest.approx((18 - 16.05) / 0.05)
    counted = identify(world(external_spline=SPLINE + "J-25,stub spline,25,27.4..27.5 mm,book\n"
                             + "".join(f"{n},stub spline,24,27.4..27.5 mm,book\n" for n in ("J-24", "J-21", "J-X"))),
                       ["stub spline: 25 teeth, major diameter = 28.0 mm"])  # fmt: skip
    assert counted.none and (counted.none.part, counted.none.unequal) == ("J-25", 0)


def test_an_unrecorded_candidate_stays_and_says_so() -> None:
    answer = identify(WORLD, ["stub spline: teeth = 30"])
    (left,) = answer.candidates
    assert (left.part, left.odds, left.unrecorded) == ("J-X", 1.0, (0,))
    assert answer.measure is None and answer.none is None


def test_the_best_standing_counts_and_equal_sources_each() -> None:
    weak = SPLINE + "J-25,stub spline,25,27.45 mm,book\nJ-25,stub spline,24,27.45 mm,stall\n"
    assert (
        identify(world(external_spline=weak), ["stub spline: teeth = 24"], "outer joint").candidates[0].part != "J-25"
    )
    equal = SPLINE + "J-25,stub spline,25,27.45 mm,book\nJ-25,stub spline,24,27.45 mm,other\n"
    assert "J-25" in odds(identify(world(external_spline=equal), ["stub spline: teeth = 24"], "outer joint"))
    assert "J-25" in odds(identify(world(external_spline=equal), ["stub spline: teeth = 25"], "outer joint"))


def test_a_size_with_one_end_rules_out_and_speaks_no_further() -> None:
    answer = identify(WORLD, ["seat: 28.01 mm ±0.01 mm"])
    assert list(odds(answer)) == ["J-25", "J-21", "J-X"]
    assert answer.assumed_limits  # 28.5 mm stands without limits


@pytest.mark.parametrize(
    ("typed", "part_type", "tool", "said"),
    [
        ("stub splin: 25 teeth", "", "", "stub spline"),
        ("stub spline: teth = 25", "", "", "teeth"),
        ("stub spline: 25 teeth", "outr joint", "", "outer joint"),
        ("stub spline: major = 27.4 mm", "", "calliper", "caliper"),
    ],
)
def test_misspellings_suggest(typed: str, part_type: str, tool: str, said: str) -> None:
    with pytest.raises(UnknownNameError) as error:
        identify(WORLD, [typed], part_type, tool)
    assert said in error.value.nearest


@pytest.mark.parametrize(
    ("typed", "part_type", "tool", "said"),
    [
        ("25 teeth", "", "", "is not a reading"),
        ("stub spline:", "", "", "is not a reading"),
        ("stub spline: 25", "", "", "names no dimension"),
        ("stub spline: major = 27,4 furlongs", "", "", "cannot read"),
        ("stub spline: teeth = ?", "", "", "Leave out"),
        ("seat: across = 28 mm", "", "", "read over the tips"),
        ("stub spline: 25 teeth", "", "rule", "none of these readings"),
        ("stub spline: 25 teeth", "wheel", "", "no part of the type"),
    ],
)
def test_what_cannot_be_asked(typed: str, part_type: str, tool: str, said: str) -> None:
    with pytest.raises(RequestError, match=said):
        identify(WORLD, [typed], part_type, tool)


def test_features_that_no_type_has_together() -> None:
    with pytest.raises(RequestError, match="no part type has all"):
        identify(WORLD, ["stub spline: 25 teeth", "lip: width = 7 mm"])
    with pytest.raises(RequestError, match="no reading"):
        identify(WORLD, [])


def test_trade_words_name_a_kind_and_a_dimension() -> None:
    typed = ["male spline: 25 teeth, tip diameter = 27.45 mm ±0.02 mm", "seat: 28.01 mm ±0.01 mm"]
    assert identify(WORLD, typed).candidates[0].part == "J-25"
    assert identify(WORLD, ["stub spline: 27.45 mm tip diameter"]).readings[0].dimension == "major diameter"


def test_trade_words_name_the_type() -> None:
    assert identify(WORLD, ["nut height: 16 mm"], "axle nut").part_types == ("hub nut",)


def test_an_exact_reading_and_exact_limits_do_no_harm() -> None:
    exact = world(journal="part,feature,diameter,source\nJ-25,seat,28.00..28.00 mm,book\nJ-24,seat,30 mm,book\n")
    answer = identify(exact, ["seat: 28.00..28.00 mm"], "outer joint")
    assert answer.candidates[0].part == "J-25" and math.isfinite(answer.candidates[0].odds)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["stub spline: teeth = 25, teeth = 26"], "teeth is read as '25' and as '26'"),
        (["stub spline: teeth = 25", "stub spline: teeth = 26"], "teeth is read as '25' and as '26'"),
        (["stub spline: teeth = 0"], "'0' counts none"),
        (["seat: diameter = 28 mm ±0 mm"], "no tool reads exactly"),
    ],
)
def test_readings_that_cannot_be_true_are_refused(typed: list[str], said: str) -> None:
    with pytest.raises(RequestError, match=said):
        identify(WORLD, typed, "outer joint")


def test_a_count_may_be_read_twice_alike() -> None:
    assert identify(WORLD, ["stub spline: teeth = 25", "stub spline: teeth = 25"]).candidates
