"""Which recorded vehicles do parts fit? For each vehicle the answer that the question about it alone has."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.things import SIDES
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.on_all import OnVehicle, judge_on_all
from tests.unit.small import TABLES, world

OTHER_LAYOUT = {
    "layouts.csv": TABLES["layouts.csv"] + "sledge,a sledge without hubs\n",
    "positions.csv": TABLES["positions.csv"] + "sledge,runner,corner,wheel,1,needed,,no,runners,10\n",
    "vehicles.csv": TABLES["vehicles.csv"] + "sledge-1,a sledge,sledge,yes,,\n",
}
SIZES = st.sampled_from(["", "19.9 mm", "20 mm", "20 mm ±0.01 mm", "20.02 mm", "25 mm", "0.9843 in"])


def rows(catalogue: Catalogue, *parts: str, **how: object) -> dict[str, OnVehicle]:
    answer = judge_on_all(catalogue, parts, **how)  # type: ignore[arg-type]
    return {v.vehicle: v for v in answer.vehicles}


def by_hand(catalogue: Catalogue, vehicle: str, number: str) -> list[str]:
    """The places for a part, from the tables: each position of its part type, in the corners that its hand allows."""
    part = catalogue.parts[number]
    layout = catalogue.layouts[catalogue.vehicles[vehicle].layout]
    found = []
    for position in layout.positions:
        if catalogue.vocabulary.is_a(part.part_type, position.part_type):
            sides = [s for s in SIDES if part.hand in ("either", s)] if position.level == "corner" else [""]
            found += [f"{side} {position.position}".strip() for side in sides]
    return found


@settings(max_examples=25, deadline=None)
@given(st.lists(SIZES, min_size=5, max_size=5), st.sampled_from(["HUB-25L", "HUB-20R", "AXLE-20", "HUB-?", "STUD-1"]))
def test_each_vehicle_gets_the_verdict_that_it_gets_alone(sizes: list[str], number: str) -> None:
    seat = f"part,feature,diameter,source\nAXLE-20,seat,{sizes[0]},book\nAXLE-25,seat,{sizes[1]},stall\n"
    seat += f"odd-axle,seat,{sizes[2]},survey\n"
    bore = f"part,feature,diameter,source\nHUB-20L,bore,{sizes[3]},book\nHUB-25L,bore,{sizes[4]},book\n"
    catalogue = world({**OTHER_LAYOUT, "features/spigot.csv": seat, "features/register_bore.csv": bore})
    answer = judge_on_all(catalogue, [number])
    assert [v.vehicle for v in answer.vehicles] == list(catalogue.vehicles)
    verdicts = []
    for on in answer.vehicles:
        places = by_hand(catalogue, on.vehicle, number)
        assert [*on.places] == places
        alone = None
        if places:
            alone = judge_parts(catalogue, [number], on=on.vehicle)
            assert {w.check for w in on.wrong} == {e.check for e in alone.wrong}
            assert [v.position for v in on.left_out] == [v.position for v in alone.left_out]
        verdict = alone.verdict if alone else None
        assert on.verdict == verdict
        assert on.deciding is None or on.deciding.verdict is verdict
        verdicts.append(verdict)
    assert answer.fits == sum(v in (Verdict.FITS, Verdict.FITS_WITH_WORK) for v in verdicts)
    assert answer.applies == sum(v is not None for v in verdicts)
    assert answer.do_not_use == sum(v is Verdict.DO_NOT_USE for v in verdicts)


def test_a_vehicle_without_a_position_is_said_and_is_no_fit() -> None:
    found = rows(world(OTHER_LAYOUT), "HUB-20L")
    assert found["sledge-1"].verdict is None and found["sledge-1"].no_place == ("HUB-20L",)
    assert found["cart"].verdict is not None and found["cart"].places == ("left hub",)


def test_two_parts_are_judged_only_where_both_have_a_position() -> None:
    found = rows(world(OTHER_LAYOUT), "HUB-20L", "GREASE")
    assert {v.verdict for v in found.values()} == {None}
    assert all(v.no_place[-1] == "GREASE" for v in found.values())


def test_it_says_where_the_number_stands_already() -> None:
    found = rows(world(), "HUB-20L")
    assert found["cart"].there == ("left hub",)
    assert found["my-cart"].there == ("left hub",), "taken over from the vehicle that it is like"
    assert found["big-cart"].there == ()


def test_sizes_decide_and_a_reading_counts_for_its_own_vehicle_alone() -> None:
    read = TABLES["features/spigot.csv"] + "odd-axle,seat,22 mm,survey\n"
    found, before = rows(world({"features/spigot.csv": read}), "HUB-20L"), rows(world(), "HUB-20L")
    assert found["big-cart"].verdict is Verdict.DOES_NOT_FIT  # a bore of 20 on a seat of 25
    assert found["my-cart"].verdict is Verdict.DOES_NOT_FIT and before["my-cart"].verdict is not Verdict.DOES_NOT_FIT
    assert found["cart"] == before["cart"]


def test_names_that_are_not_there_and_records_without_vehicles() -> None:
    with pytest.raises(UnknownNameError, match="HUB"):
        judge_on_all(world(), ["HUB-99"])
    with pytest.raises(UnknownNameError, match="joint"):
        judge_on_all(world(), ["HUB-20L"], at="hub on moon")
    with pytest.raises(UnknownNameError, match="position"):
        judge_on_all(world(), ["HUB-20L"], empty=["moon"])
    with pytest.raises(RequestError, match="HUB-20L"):
        judge_on_all(world(), ["HUB-20L"], empty=["hub"])
    bare = {t: TABLES[t].splitlines()[0] + "\n" for t in ("vehicles.csv", "fittings.csv", "items.csv", "claims.csv")}
    with pytest.raises(RecordsError, match=r"vehicles\.csv"):
        judge_on_all(world(bare), ["HUB-20L"])


def test_a_position_left_empty_is_one_that_the_layout_has() -> None:
    found = rows(world(OTHER_LAYOUT), "HUB-20L", empty=["cap"])
    assert [v.position for v in found["cart"].empty] == ["cap"]
    assert found["cart"].verdict in (Verdict.DO_NOT_USE, Verdict.DOES_NOT_FIT)


def test_of_several_parts_one_without_a_position_is_named() -> None:
    answer = judge_parts(world(), ["HUB-20L", "AXLE-20", "GREASE"])
    assert answer.no_place == ("GREASE",) and not answer.is_good
    assert judge_parts(world(), ["HUB-20L", "AXLE-20"]).no_place == ()
