"""What a part for one position of a plan has to be: in which plan, by whom, and which recorded parts are that."""

from __future__ import annotations

from functools import cache

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.queries.plan.needs import (
    EMPTIES,
    FITS_NEW,
    KEEPS,
    LEAVES_EMPTY,
    NOT_RECORDED,
    TO_FIND,
    NeedsAnswer,
    needs,
)
from knockon.queries.plan.openings.recorded import Recorded
from knockon.queries.plan.openings.specified import (
    ABSENT_BESIDE,
    BY_FORMULA,
    NOT_RECORDED_BESIDE,
    REQUIRED,
    SUPPORTING,
    Window,
)
from knockon.queries.plan.openings.turning import window_where
from tests.demo.demo import demo, rows_of, with_tables, written
from tests.unit.small import TABLES, with_rows, world

DISCS = "rotor=LARCH-201"
AGREES = (Verdict.FITS, Verdict.FITS_ON_PAPER)


@cache
def asked(position: str, *want: str) -> NeedsAnswer:
    return needs(demo(), "tansy-m080", position, want=want)


def small(position: str, *want: str, changed: dict[str, str] | None = None, vehicle: str = "cart") -> NeedsAnswer:
    return needs(world(changed), vehicle, position, want=want)


def window(answer: NeedsAnswer, feature: str, dimension: str, need: str = REQUIRED) -> Window:
    spec = answer.specifications[0]
    return next(w for w in spec.windows if (w.feature, w.dimension, w.need) == (feature, dimension, need))


def ends(found: Window) -> tuple[float | None, float | None]:
    return (found.low.value if found.low else None, found.high.value if found.high else None)


def numbers(parts: tuple[Recorded, ...]) -> list[str]:
    return [p.number for p in parts]


def cylinder_of(bore: str) -> Catalogue:
    """The demo world with one more rear cylinder, of this bore."""
    parts, sizes = rows_of("parts.csv"), rows_of("features/wheel_cylinder.csv")
    like = next(p for p in parts if p["part"] == "HAZEL-231")
    made = next(s for s in sizes if s["part"] == "HAZEL-231")
    return with_tables(
        {
            "parts.csv": written([*parts, {**like, "part": "HAZEL-999"}]),
            "features/wheel_cylinder.csv": written([*sizes, {**made, "part": "HAZEL-999", "bore": bore}]),
        }
    )


# ---- which plan, and what it does there


def test_the_plan_of_the_request_is_asked_and_what_it_does_in_the_place_is_told() -> None:
    fits, keeps = asked("hub nut", DISCS), asked("hub nut")
    assert [(h.does, h.number) for h in fits.here] == [(FITS_NEW, "ROWAN-252")] * 2
    assert [(h.does, h.number) for h in keeps.here] == [(KEEPS, "ROWAN-152")] * 2
    # 3/4-16 for the disc's stub, 5/8-18 for the drum's
    assert ends(window(fits, "nut", "thread.pitch")) == pytest.approx((1.5855, 1.5895))
    assert ends(window(keeps, "nut", "thread.pitch")) == pytest.approx((25.4 / 18 - 0.002, 25.4 / 18 + 0.002), abs=1e-6)
    assert numbers(fits.meets) == ["ROWAN-252"] and numbers(keeps.meets) == ["ROWAN-152"]
    assert fits.quantity == 2 and fits.is_answered


def test_one_side_is_asked_alone_and_gets_its_hand() -> None:
    left, both = asked("left knuckle", DISCS), asked("knuckle", DISCS)
    assert left.places == ("left knuckle",) and left.quantity == 1
    assert left.specifications[0].hands == ("either", "left")
    assert [s.places for s in both.specifications] == [("left knuckle", "right knuckle")]
    assert {"ALDER-201L"} <= set(numbers(left.may_meet)) and "ALDER-201R" not in numbers(left.may_meet)
    assert {"ALDER-201L", "ALDER-201R"} <= set(numbers(both.may_meet))
    by_number = {p.number: p for p in both.may_meet}
    assert by_number["ALDER-201R"].places == ("right knuckle",) and by_number["ALDER-201R"].mirror == "ALDER-201L"


def test_a_place_outside_the_arrangement_of_the_plan_needs_nothing() -> None:
    gone, never = asked("brake drum", DISCS), asked("rotor")
    assert {h.does for h in gone.here} == {EMPTIES} and not any(h.stands for h in gone.here)
    assert {h.does for h in never.here} == {LEAVES_EMPTY}
    for answer in (gone, never):
        assert answer.planned and not answer.specifications and not answer.is_answered
        assert not (answer.meets or answer.may_meet or answer.nearly or answer.others)


def test_a_member_of_a_set_is_asked_for_beside_the_others_of_its_set() -> None:
    answer = asked("inner bearing", DISCS)
    assert all(h.of_set and h.number == "ALDER-213" for h in answer.here)
    by_number = {p.number: p for p in answer.meets}
    assert by_number["ALDER-213"].of_set and not by_number["ALDER-211"].of_set
    # both positions of the type are asked apart: the outer one has another bearing beside it
    outer = asked("outer bearing", DISCS)
    assert outer.part_type == answer.part_type and outer.places != answer.places
    floats = {n: next(c.verdict for c in p.checks if c.check == "bearing float") for n, p in by_number.items()}
    # the matched set states its float as made; with another bearing in it, it must be measured
    assert floats == {"ALDER-213": Verdict.FITS, "ALDER-211": Verdict.FITS_ON_PAPER}


def test_where_known_parts_give_no_plan_the_part_that_gives_one_is_specified() -> None:
    wish = "rotor.outside diameter>=250 mm"
    answer = needs(demo(), "tansy-mk-a", "rotor", want=[wish])
    assert not answer.planned and answer.opens
    assert {h.does for h in answer.here} == {TO_FIND}
    (near, *_) = answer.nearly
    assert near.number == "LARCH-201" and near.misses is not None
    # 7.7 in is 195.58 mm
    assert (near.misses.check, near.misses.by, near.misses.over) == (f"asked: {wish}", 54.42, False)


def test_where_no_part_there_would_give_a_plan_nothing_is_specified() -> None:
    answer = small("cap", "axle=AXLE-25", "hub=HUB-20L")
    assert not answer.planned and not answer.opens and not answer.here and not answer.specifications


def test_a_position_is_found_by_its_name() -> None:
    with pytest.raises(UnknownNameError):
        asked("wheell")


# ---- who sets the limits, and what cannot be said


def test_each_limit_names_the_part_the_check_and_the_sizes_that_set_it() -> None:
    low = window(small("hub", "axle=AXLE-25"), "bore", "diameter").low
    assert low is not None and (low.value, low.check, low.parts) == (25.0, "hub on axle", ("AXLE-25, axle",))
    assert [v.written for v in low.sizes] == ["25 mm"]


def test_a_neighbour_that_nobody_recorded_leaves_its_sizes_open() -> None:
    answer = small("hub", changed={"features/spigot.csv": "part,feature,diameter,source\nAXLE-25,seat,25 mm,book\n"})
    (spec,) = answer.specifications
    (open_one, *_) = [s for s in spec.stated if s.check == "hub on axle"]
    assert open_one.because == NOT_RECORDED_BESIDE and open_one.lacking == ("AXLE-20, axle, seat: diameter",)
    assert not [w for w in spec.windows if w.feature == "bore"]
    assert not spec.is_whole and not answer.is_answered and spec.is_possible
    assert not answer.meets and "HUB-20L" in numbers(answer.may_meet)


def test_something_not_recorded_beside_it_is_told() -> None:
    rows = TABLES["fittings.csv"].replace("cart,axle,,AXLE-20,,sound\n", "")
    answer = small("hub", changed={"fittings.csv": rows})
    stated = answer.specifications[0].stated
    assert any("something not recorded, axle" in s.parts for s in stated)
    assert {h.does for h in small("axle", changed={"fittings.csv": rows}).here} == {NOT_RECORDED}


def test_a_feature_known_absent_beside_it_lets_no_part_be_fitted() -> None:
    table = "part,feature,diameter,source\nAXLE-20,seat,absent,book\nAXLE-25,seat,25 mm,book\n"
    answer = small("hub", changed={"features/spigot.csv": table})
    (spec,) = answer.specifications
    assert [s.because for s in spec.stated if s.check == "hub on axle"] == [ABSENT_BESIDE]
    assert not spec.is_possible and not answer.is_answered
    assert not answer.meets and not answer.may_meet and not answer.nearly and answer.others


# ---- which recorded parts


def test_a_part_that_misses_one_limit_says_by_how_much() -> None:
    answer = small("hub", "axle=AXLE-25")
    # nobody recorded the hubs' holes and rims
    assert not answer.meets and numbers(answer.may_meet) == ["HUB-25L", "HUB-25R", "PAIR-25", "HUB-?"]
    misses = {p.number: p.misses for p in answer.nearly}
    found = misses["HUB-20L"]
    assert found is not None
    assert (found.sizes, found.by, found.unit, found.over) == (("bore: diameter",), 5.0, "mm", False)


def test_a_part_of_unknown_size_may_meet_it_whatever_is_claimed() -> None:
    claims = with_rows("claims.csv", "HUB-?,goes with,,AXLE-25,,stall")
    answer = small("hub", "axle=AXLE-25", changed=claims)
    assert "HUB-?" in numbers(answer.may_meet) and "HUB-?" not in numbers(answer.meets)
    (claimed,) = [c for c in answer.claimed if c.number == "HUB-?"]
    assert claimed.outcome == "may meet"
    assert [(c.claim, c.about, c.standing) for c in claimed.claims] == [("goes with", "AXLE-25", "seller")]


def test_a_claim_never_makes_a_part_meet_it_nor_hides_one_that_does_not() -> None:
    answer = asked("outer joint", DISCS)
    outcomes = {c.number: c.outcome for c in answer.claimed}
    assert outcomes["ROWAN-101"] == "no" and outcomes["ROWAN-901"] == "no"  # listed, by a seller too


def test_what_is_avoided_is_not_listed() -> None:
    answer = needs(demo(), "tansy-m080", "hub nut", want=[DISCS], avoid=["ROWAN-152"])
    with_it = asked("hub nut", DISCS)
    assert with_it.others == answer.others + 1


def test_where_a_part_is_used_is_told() -> None:
    (nut,) = asked("hub nut", DISCS).meets
    assert nut.fitted == ("tansy-mk-b",)


def test_every_part_in_the_plan_of_the_demo_comes_out_as_its_checks_say() -> None:
    for position in ("outer joint", "drive flange", "hub collar", "rotor", "wheel", "front hose", "inner bearing"):
        answer = asked(position, DISCS)
        own = {h.number for h in answer.here}
        for part in (*answer.meets, *answer.may_meet, *answer.nearly):
            agree = all(c.verdict in AGREES for c in part.checks)
            noes = any(c.verdict.is_no for c in part.checks)
            assert part.outcome == ("meets" if agree else "nearly" if noes else "may meet")
        assert own <= {p.number for p in (*answer.meets, *answer.may_meet)}


# ---- figures by formula


def test_a_figure_by_formula_gives_the_window_in_which_its_verdict_holds() -> None:
    bore = window(asked("rear wheel cylinder", DISCS), "cylinder", "bore")
    low, high = ends(bore)
    assert low is None and high is not None and bore.high is not None
    assert bore.high.check == "front share of braking" and 16 < high < 17
    for size, verdict in ((f"{high} mm", True), (f"{high + 0.001:.6f} mm", False)):
        answer = needs(cylinder_of(f"{size.removesuffix(' mm')}..{size}"), "tansy-m080", "rear wheel cylinder",
                       want=[DISCS, "rear wheel cylinder=HAZEL-231"])  # fmt: skip
        parts = {p.number: p for p in (*answer.may_meet, *answer.nearly)}
        share = next(c for c in parts["HAZEL-999"].checks if c.check == "front share of braking")
        assert (share.verdict in AGREES) is verdict


def test_a_formula_of_several_sizes_is_checked_with_the_whole_plan() -> None:
    stated = asked("hub nut", DISCS).specifications[0].stated
    assert {s.condition for s in stated if s.because == BY_FORMULA} == {"pitch diameter clearance", "flank overlap"}


def test_a_window_is_found_only_where_the_value_keeps_its_direction() -> None:
    def rising(x: float) -> tuple[bool, float]:
        return 2.0 <= x * x <= 9.0, x * x

    found = window_where(rising, (0.5, 8.0))
    assert found is not None and found.low is not None and found.high is not None
    assert found.low**2 >= 2.0 > (found.low - 2e-6) ** 2 and found.high == 3.0
    assert window_where(lambda x: (abs(x - 3) < 1, (x - 3) ** 2), (0.5, 8.0)) is None  # it turns back
    assert window_where(lambda x: (x > 100, x), (0.5, 8.0)) is None  # nothing usual is allowed
    whole = window_where(lambda x: (True, x), (0.5, 8.0))
    assert whole is not None and whole.low is None and whole.high is None


# ---- supporting, nominal


def test_a_supporting_window_that_a_size_must_not_leave_says_where_a_no_begins() -> None:
    answer = asked("outer joint", DISCS)
    angle = window(answer, "stub spline", "pressure angle", SUPPORTING)
    assert (angle.no_below, angle.no_above) == ends(angle) == (29.9, 30.1)
    press = window(answer, "journal", "diameter", SUPPORTING)
    assert press.nominal_open and not press.sure and (press.no_below, press.no_above) == (None, None)
