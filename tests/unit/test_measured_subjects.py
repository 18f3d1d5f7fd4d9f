"""What a reading is of, as people write it."""

from __future__ import annotations

from functools import cache

import pytest

from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.records import load_records
from knockon.queries.as_typed import RequestError
from knockon.queries.intake.readings.measured import Typed, read_typed
from knockon.queries.intake.readings.subjects import NotOne, subject_of, subjects_of
from tests.demo.demo import FOLDER
from tests.unit.small import world

HUB = "left hub, bore: diameter"


@pytest.mark.parametrize(
    "what",
    [HUB, "left hub, diameter", "LH hub, bore", "hub left, bore diameter", "left hub bore diameter", "Left  HUBS, Bore",
     "left drive flange, diameter", "HUB-20L, diameter", "left hand hub, diameter", "hub l/h, bore : diameter",
     "left hub, locating bore: diameter", "left hub, Pilot-Bore: dia", "left hub, bore: size across", "left hub, dia",
     "left hub, register bore", "left hub, centre bore"],
)  # fmt: skip
def test_one_size_in_many_words(what: str) -> None:
    catalogue = world()
    assert str(subject_of(catalogue, catalogue.vehicles["my-cart"], what)) == HUB


@pytest.mark.parametrize("what", ["axle, diameter", "odd-axle, seat", "outer joint, diameter", "CV joint, diameter"])
def test_a_thing_by_its_name_and_by_what_the_trade_calls_it(what: str) -> None:
    catalogue = world()
    found = subject_of(catalogue, catalogue.vehicles["my-cart"], what)
    assert (str(found), found.at.thing) == ("axle, seat: diameter", "odd-axle")


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("left hbu, diameter", "no position 'left hbu' in these records. Nearest: hub"),
        ("left hub, diametre", "no size of left hub 'diametre' in these records. Nearest: diameter"),
        ("left hub, boar: diameter", "no feature of left hub 'boar' in these records. Nearest: bore"),
        ("left hub, bore: diametre", "no dimension of bore 'diametre' in these records. Nearest: diameter"),
    ],
)
def test_a_misspelling_suggests(what: str, said: str) -> None:
    catalogue = world()
    with pytest.raises(UnknownNameError) as error:
        subject_of(catalogue, catalogue.vehicles["my-cart"], what)
    assert str(error.value).startswith(said)


def test_what_the_trade_calls_several_sizes_is_offered_and_none_is_taken() -> None:
    mine = demo().vehicles["tansy-m080"]
    with pytest.raises(NotOne, match=r"may mean 3 things"):
        subject_of(demo(), mine, "left outer joint, dia")


@pytest.mark.parametrize("what", ["nearside hub, diameter", "hub o/s, diameter"])
def test_a_side_that_depends_on_the_country_is_asked_for(what: str) -> None:
    catalogue = world()
    with pytest.raises(RequestError, match=r"depends on the country\. Write left or right"):
        subject_of(catalogue, catalogue.vehicles["my-cart"], what)


def test_both_sides_are_two_sizes() -> None:
    catalogue = world()
    mine = catalogue.vehicles["my-cart"]
    both = [HUB, "right hub, bore: diameter"]
    assert [str(s) for s in subjects_of(catalogue, mine, "hub, diameter")] == both
    assert [str(s) for s in subjects_of(catalogue, mine, "left and right hub, diameter")] == both
    with pytest.raises(NotOne) as error:
        subject_of(catalogue, mine, "hub, diameter")
    assert list(error.value.meant) == both


def test_a_side_of_a_place_that_has_none_is_kept() -> None:
    catalogue = world()
    found = subject_of(catalogue, catalogue.vehicles["my-cart"], "left axle, diameter")
    assert (str(found), found.one_of_several) == ("axle, seat: diameter", "left")


@cache
def demo() -> Catalogue:
    return load_records(FOLDER)


@pytest.mark.parametrize(
    ("what", "means"),
    [
        ("left rear drum, diameter", ["rear drum, drum: diameter"]),
        ("left steering arm, bolts: bolt pitch", ["left steering arm, bolts: bolt pitch"]),
        ("left steering arm bolt, thread", ["left steering arm bolt, thread: thread"]),
        ("left wheel, envelope: dish depth and barrel radius",
         ["left wheel, envelope: dish depth", "left wheel, envelope: barrel radius"]),
        ("front pipe, flare: form", ["left front pipe, flare: form", "right front pipe, flare: form"]),
        ("left upper ball pin, pin thread", ["left upper ball pin, pin thread: thread"]),
        ("m080-pin-right-lower, pin thread", ["right lower ball pin, pin thread: thread"]),
        ("left brake drum, drum", ["left brake drum, drum: diameter"]),
    ],
)  # fmt: skip
def test_on_the_demo_world(what: str, means: list[str]) -> None:
    assert [str(s) for s in subjects_of(demo(), demo().vehicles["tansy-m080"], what)] == means


def test_a_place_that_the_vehicle_does_not_have() -> None:
    with pytest.raises(RequestError, match=r"tansy-m080 has no left caliper\. Its arrangement is drum"):
        subject_of(demo(), demo().vehicles["tansy-m080"], "left caliper, lugs")


def test_every_name_that_is_offered_means_that_size() -> None:
    """Each size of each thing of a vehicle, under the name that answers give it."""
    catalogue, vehicle = demo(), demo().vehicles["tansy-m080"]
    from knockon.graph.model.layouts.layout import Places
    from knockon.queries.fits.checking.candidates import as_found

    count = 0
    for place, there in as_found(catalogue, Places(catalogue.layouts[vehicle.layout]), vehicle).items():
        for name, feature in catalogue.features_of(there.thing).items():
            for column in catalogue.vocabulary.kinds[feature.kind].columns:
                said = f"{place}, {name}: {column.name}"
                assert str(subject_of(catalogue, vehicle, said)) == said
                count += 1
    assert count > 300


def test_a_place_alone_names_no_size() -> None:
    with pytest.raises(RequestError, match="names no size"):
        subject_of(demo(), demo().vehicles["tansy-m080"], "left outer joint")


def test_where_the_place_is_not_clear_what_was_read_there_is_kept_in_what_is_offered() -> None:
    with pytest.raises(NotOne) as error:
        subject_of(demo(), demo().vehicles["tansy-m080"], "left swivel pin, taper: ratio")
    assert set(error.value.meant) == {"left upper ball pin, taper: ratio", "left lower ball pin, taper: ratio"}
    for meant in error.value.meant:
        assert str(subject_of(demo(), demo().vehicles["tansy-m080"], meant)) == meant


def test_a_value_that_only_one_of_the_sizes_can_have_says_which_is_meant() -> None:
    def read(value: str) -> list[str]:
        typed = Typed((("left lower ball pin, taper", value),))
        return [str(s) for s in read_typed(demo(), "tansy-m080", typed).subjects]

    assert read("1:8") == ["left lower ball pin, taper: ratio"]
    assert read("17 mm") == ["left lower ball pin, taper: gauge diameter"]
    with pytest.raises(NotOne, match="may mean 2 things"):
        read("absent")
