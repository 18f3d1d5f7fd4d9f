"""Readings "on the item" belong to one thing: the one in that place of that vehicle, and no other of its number."""

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, fitted
from knockon.queries.fits.checking.candidates import new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from tests.unit.small import AXLE, LEFT, RIGHT, TABLES, problem, world

NOTE = "note,date,member,vehicle,text,parts,joint,outcome,source\nR1,2024,m1,{},read it,,,measured,R1\n"
SOURCES = TABLES["sources.csv"] + "R1,a reading,on the item,m1\n"


def read(thing: str, value: str, vehicle: str = "my-cart", **tables: str) -> Catalogue:
    """The world in which a note on a vehicle states a bore or a seat "on the item", of a thing named by its number."""
    axle = thing.startswith(("AXLE", "odd"))
    table, feature = ("features/spigot.csv", "seat") if axle else ("features/register_bore.csv", "bore")
    rows = {"sources.csv": SOURCES, table: TABLES[table] + f"{thing},{feature},{value},R1\n"}
    rows |= {"notes.csv": NOTE.format(vehicle)} if vehicle else {}
    return world(rows | {f"{name}.csv": text for name, text in tables.items()})


def bores(catalogue: Catalogue, vehicle: str, place: Place, feature: str = "bore") -> list[tuple[str, int]]:
    """What is recorded of what stands in a place, with the standing on which it computes for that thing."""
    places = Places(catalogue.layouts["cart axle"])
    thing = next(staying(catalogue, place, fitted(catalogue.vehicles[vehicle], places)[place])).thing
    said = catalogue.features_of(thing)[feature].dimensions["diameter"]
    return sorted((s.written, s.rank) for s in said)


def test_a_reading_is_of_the_thing_in_its_place_and_of_no_other() -> None:
    catalogue = read("HUB-20L", "21 mm")
    assert bores(catalogue, "my-cart", LEFT) == [("20 mm", 2), ("21 mm", 1)]
    assert bores(catalogue, "cart", LEFT) == [("20 mm", 2)]
    assert bores(catalogue, "my-cart", RIGHT) == [("20 mm", 2)]
    assert bores(catalogue, "my-cart", AXLE, "seat") == [("20 mm", 2)]
    bought = next(
        c for c in new_parts(catalogue, Places(catalogue.layouts["cart axle"]), LEFT) if c.number == "HUB-20L"
    )
    assert [s.written for s in catalogue.features_of(bought.thing)["bore"].dimensions["diameter"]] == ["20 mm"]
    assert catalogue.unbound == ()
    (item,) = (i for i in catalogue.items.values() if i.vehicle)
    assert (item.item, item.part, item.title) == ("my-cart left hub HUB-20L", "HUB-20L", "left hub of my-cart")


def test_a_named_thing_in_the_place_is_the_one_that_was_read() -> None:
    catalogue = read("AXLE-20", "21 mm")
    assert {s.source for s in catalogue.features_of("odd-axle")["seat"].dimensions["diameter"]} == {"book", "R1"}
    assert set(catalogue.items) == {"odd-axle"}


def test_a_reading_on_a_number_in_two_places_is_worn_knowledge_of_the_number() -> None:
    fittings = TABLES["fittings.csv"] + "my-cart,hub,,HUB-?,,sound\n"
    catalogue = read("HUB-?", "21 mm", fittings=fittings)
    assert bores(catalogue, "my-cart", LEFT) == bores(catalogue, "my-cart", RIGHT) == [("21 mm", 4)]
    (unbound,) = catalogue.unbound
    assert (unbound.thing, unbound.source, unbound.places) == (
        "HUB-?",
        "R1",
        ("my-cart, left hub", "my-cart, right hub"),
    )


@pytest.mark.parametrize("vehicle", ["", "cart"])
def test_a_reading_without_a_vehicle_as_found_is_worn_knowledge_of_the_number(vehicle: str) -> None:
    catalogue = read("HUB-20L", "21 mm", vehicle)
    assert bores(catalogue, "my-cart", LEFT) == bores(catalogue, "cart", LEFT) == [("20 mm", 2), ("21 mm", 4)]
    assert [u.places for u in catalogue.unbound] == [("my-cart, left hub",)]


def test_one_item_in_two_places_was_read_in_neither() -> None:
    items = TABLES["items.csv"] + "twin,HUB-25L,one name for two hubs,,,survey\n"
    fittings = TABLES["fittings.csv"] + "my-cart,hub,,,twin,sound\n"
    catalogue = read("twin", "25.5 mm", "my-cart", items=items, fittings=fittings)
    assert bores(catalogue, "my-cart", LEFT) == bores(catalogue, "my-cart", RIGHT) == [("25 mm", 2), ("25.5 mm", 4)]
    assert "several places" in catalogue.unbound[0].problem


def test_a_vehicle_that_is_like_another_has_other_things_of_the_same_numbers() -> None:
    vehicles = TABLES["vehicles.csv"] + "next-cart,another as found,cart axle,no,cart,my-cart\n"
    catalogue = read("AXLE-20", "21 mm", vehicles=vehicles)
    assert bores(catalogue, "my-cart", AXLE, "seat") == [("20 mm", 2), ("21 mm", 1)]
    assert bores(catalogue, "next-cart", AXLE, "seat") == [("20 mm", 2)]


NAMED = "item,part,title,after work on,work,vehicle,position,side,source\nodd-axle,AXLE-20,my axle,,,,,,survey\n"


@pytest.mark.parametrize(
    ("row", "problem"),
    [
        ("it,HUB-25L,,,,my-cart,hub,left,survey", "the place now holds HUB-20L"),
        ("it,HUB-20L,,,,my-cart,hub,,survey", "does not name one place"),
        ("it,AXLE-20,,,,my-cart,axle,,survey", "the place now holds the thing 'odd-axle'"),
    ],
)
def test_an_item_of_a_place_that_is_not_there_any_more_is_told(row: str, problem: str) -> None:
    catalogue = world({"items.csv": NAMED + row + "\n"})
    (unbound,) = catalogue.unbound
    assert unbound.thing == "it" and problem in unbound.problem
    assert all(f.item != "it" for v in catalogue.vehicles.values() for f in v.fittings)


def test_an_item_of_a_place_is_what_stands_there() -> None:
    catalogue = world({"items.csv": NAMED + "it,,,,,my-cart,hub,left,survey\n"})
    planned = problem(catalogue, vehicle="my-cart")
    candidate = planned.staying(LEFT)
    assert candidate is not None and (candidate.thing, candidate.number) == ("it", "HUB-20L")
    other = planned.staying(RIGHT)
    assert other is not None and other.thing == "HUB-20R"
    assert Checks(catalogue, planned.places).catalogue.items["it"].part == "HUB-20L"


@pytest.mark.parametrize("place", [",,", "my-cart,hub,right", "my-cart,axle,", "cart,hub,left"])
def test_a_reading_goes_to_no_other_thing_that_happens_to_have_the_name_it_would_get(place: str) -> None:
    items = NAMED + f"my-cart left hub HUB-20L,HUB-20L,,,,{place},survey\n"
    catalogue = read("HUB-20L", "21 mm", items=items)
    assert bores(catalogue, "my-cart", LEFT) == [("20 mm", 2), ("21 mm", 1)]
    bore = catalogue.features_of("my-cart left hub HUB-20L")["bore"].dimensions["diameter"]
    assert [s.written for s in bore] == ["20 mm"]
    assert catalogue.items["my-cart left hub HUB-20L 2"].position == "hub"


@pytest.mark.parametrize("read", ["left", "right"])
def test_what_was_only_read_counts_on_the_axle_as_what_nobody_recorded(read: str) -> None:
    """A reading says more of the thing, not what it is: no plan replaces it for want of a number."""
    vehicles = (
        "vehicle,title,layout,as made,made as,like\ncart,a cart,cart axle,yes,,\nmy-cart,mine,cart axle,no,cart,\n"
    )
    fittings = "vehicle,position,side,part,item,condition\nmy-cart,axle,,,odd-axle,sound\nmy-cart,cap,,CAP-1,,sound\n"
    fittings += "my-cart,stud,,STUD-1,,sound\n"
    rows = {"vehicles.csv": vehicles, "items.csv": NAMED + f"it,,,,,my-cart,hub,{read},survey\n"}
    rows |= {"fittings.csv": fittings, "claims.csv": "part,claim,vehicle,other part,text,source\n"}
    planned = problem(world(rows), vehicle="my-cart")
    keys = [c.alike for p in (LEFT, RIGHT) if (c := planned.staying(p)) is not None]
    assert keys == ["not recorded: hub"] * 2
    fitted_too = fittings + f"my-cart,hub,{'left' if read == 'right' else 'right'},HUB-20R,,sound\n"
    numbered = problem(world(rows | {"fittings.csv": fitted_too}), vehicle="my-cart")
    keys = [c.alike for p in (LEFT, RIGHT) if (c := numbered.staying(p)) is not None]
    assert keys == ["HUB-20L"] * 2
