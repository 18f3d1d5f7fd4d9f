"""Foreign RDF: what is understood becomes claims, offers and sizes; what is not is counted, with examples."""

from pathlib import Path
from typing import Any

import pytest

from knockon.graph.records import load, load_records, read_graph
from tests.commands.running import Ran, full, run
from tests.exchange.world import write_world

HEAD = """@prefix s: <https://schema.org/> . @prefix kn: <https://knockon.example/vocab#> .
@prefix part: <https://knockon.example/id/parts/> . @prefix f: <https://knockon.example/id/features/> .
@prefix car: <https://knockon.example/id/vehicles/> . @prefix x: <http://shop.example/> .
@prefix qudt: <http://qudt.org/schema/qudt/> . @prefix unit: <http://qudt.org/vocab/unit/> .
"""
PRODUCT = HEAD + 'x:p1 a s:Product ; s:mpn "S-2" ; '
SELLER = 's:seller [ a s:Organization ; s:name "Shop" ]'
OFFER = f's:offers [ a s:Offer ; s:price "12.50" ; s:priceCurrency "EUR" ; {SELLER} ]'


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours")


def merge(ours: Path, turtle: str, *options: str) -> Ran:
    file = ours.parent / "page.ttl"
    file.write_text(turtle, encoding="utf-8")
    return run("merge", str(file), "--club", "shop", *options, "--records", str(ours))


def told(ours: Path, turtle: str) -> dict[str, Any]:
    (foreign,) = full(merge(ours, turtle, "--json").out)["result"]["foreign"]
    return dict(foreign)


def claims(ours: Path) -> set[tuple[str, str, str, str]]:
    return {(c.part, c.claim, c.vehicle, c.other_part) for c in load_records(ours).claims}


@pytest.mark.parametrize("whole", ["car:van", '[ a s:Vehicle ; s:name "The van" ]', '"the van"'])
@pytest.mark.parametrize("scheme", ["https://schema.org/", "http://schema.org/"])
def test_a_spare_part_for_a_vehicle_is_listed_for_it(whole: str, scheme: str, ours: Path) -> None:
    turtle = (PRODUCT + f"s:isAccessoryOrSparePartFor {whole} .").replace("https://schema.org/", scheme)
    found = told(ours, turtle)
    assert ("S-2", "listed for", "van", "") in claims(ours)
    assert (found["rows"], found["not_understood"]) == ([["claims", 1]], 0)


def test_a_spare_part_for_a_part_goes_with_it(ours: Path) -> None:
    assert told(ours, HEAD + "part:J-1 s:isAccessoryOrSparePartFor part:F-2 .")["understood"] == 1
    assert claims(ours) == {("J-1", "goes with", "", "F-2")}


def test_an_offer_is_one_of_a_supplier_and_its_currency_is_told(ours: Path) -> None:
    found = told(ours, PRODUCT + OFFER + " .")
    assert [(o.supplier, o.part, o.price) for o in load_records(ours).offers["S-2"]] == [("Shop", "S-2", 12.5)]
    assert (found["rows"], found["currency"]) == ([["offers", 1], ["suppliers", 1]], "EUR")
    assert (found["understood"], found["not_understood"]) == (9, 0)
    assert "Prices are in EUR" in " ".join(merge(ours, PRODUCT + OFFER + " .").out.split())


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (('s:priceCurrency "EUR" ; ', ""), "the offer has no currency"),
        (('"12.50"', '"on request"'), "the offer has no price"),
        ((SELLER, ""), "the offer has no seller"),
        (('"S-2"', '"S-22"'), "the offer has no part of this number in the records"),
    ],
)
def test_an_offer_that_lacks_something_is_no_offer(change: tuple[str, str], reason: str, ours: Path) -> None:
    found = told(ours, (PRODUCT + OFFER + " .").replace(*change))
    assert load_records(ours).offers == {}
    assert found["understood"] == 0 and found["not_understood"] > 5
    assert reason in {e["reason"] for e in found["examples"]}


def test_prices_of_two_currencies_do_not_stand_side_by_side(ours: Path) -> None:
    other = OFFER.replace("EUR", "GBP").replace("Shop", "Garage")
    found = told(ours, f"{PRODUCT}{OFFER} , {other.removeprefix('s:offers')} .")
    assert load_records(ours).offers == {}
    assert "prices in EUR and GBP: one is needed" in {e["reason"] for e in found["examples"]}


LENGTH = 's:additionalProperty [ a s:PropertyValue ; s:name "spacer length" ; s:value 12.2 ; s:unitCode "MMT" ] .'


def lengths(ours: Path) -> set[tuple[str, str]]:
    return {(s.written, s.source) for s in load_records(ours).features_of("S-2")["spacer"].dimensions["length"]}


def test_a_property_with_its_unit_is_a_size_of_a_recorded_feature(ours: Path) -> None:
    found = told(ours, PRODUCT + LENGTH)
    assert lengths(ours) == {("12.6 mm", "drawings"), ("12.2 mm", "shop")}
    assert (found["rows"], found["not_understood"]) == ([["sizes", 1]], 0)


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        (' ; s:unitCode "MMT"', "", "a number and a unit"),
        ('"MMT"', '"XYZ"', "a number and a unit"),
        ("12.2", '"about 12"', "a number and a unit"),
        ('"spacer length"', '"length"', "one feature and dimension"),  # of the packet, perhaps
        ("s:mpn", "s:sku", "maker's number"),
    ],
)
def test_no_size_is_guessed(old: str, new: str, reason: str, ours: Path) -> None:
    found = told(ours, (PRODUCT + LENGTH).replace(old, new))
    assert lengths(ours) == {("12.6 mm", "drawings")}
    assert found["understood"] == 0
    assert any(reason in e["reason"] for e in found["examples"])


def column(ours: Path) -> str:
    (shape,) = [k for iri, k in read_graph(ours)[1].kinds.items() if iri.endswith("#Spacer")]
    return next(c.path for c in shape.columns if c.name == "length")


def test_a_quantity_of_one_of_our_dimensions_is_read_with_its_unit(ours: Path) -> None:
    row = f'f:S-2%2Fx a kn:Spacer ; kn:of part:S-2 ; kn:featureName "spacer" ; <{column(ours)}> '
    row = row.replace("f:S-2%2Fx", "<https://knockon.example/id/features/S-2/spacer>")
    size = "[ a qudt:QuantityValue ; qudt:numericValue 0.48 ; qudt:unit unit:IN ] ."
    found = told(ours, HEAD + row + size)
    assert lengths(ours) == {("12.6 mm", "drawings"), ("0.48 in", "shop")}
    assert (found["understood"], found["not_understood"]) == (3, 0)
    assert load(ours).findings == ()


def test_a_quantity_without_a_known_unit_is_no_size_and_a_finding(ours: Path) -> None:
    node = "<https://knockon.example/id/features/S-2/spacer>"
    row = f'{node} a kn:Spacer ; kn:of part:S-2 ; kn:featureName "spacer" ; <{column(ours)}> '
    found = told(ours, HEAD + row + "[ qudt:numericValue 0.48 ; qudt:unit unit:FURLONG ] .")
    assert lengths(ours) == {("12.6 mm", "drawings"), ("?", "shop")}
    assert found["not_understood"] == 2
    assert "counts as not known" in load(ours).findings[0].problem


def test_what_is_not_understood_is_counted_and_shown(ours: Path) -> None:
    turtle = PRODUCT + 's:isSimilarTo x:p2 ; s:color "red" ; s:gtin "1" ; s:award "a" ; s:review "b" ; s:slogan "c" .'
    found = told(ours, turtle)
    assert (found["understood"], found["not_understood"], len(found["examples"])) == (0, 8, 5)
    assert claims(ours) == set()
    said = " ".join(merge(ours, turtle).out.split())
    assert "8 statements in other vocabularies not understood. They change no answer." in said


def test_names_that_are_none_of_the_records_tear_nothing(ours: Path) -> None:
    strange = (
        "<urn:x> a kn:Part, kn:Vehicle ; s:mpn 1 ; s:isAccessoryOrSparePartFor <urn:x>, 1, part:%20 ; s:offers 2 ."
    )
    found = told(ours, HEAD + strange + "<https://knockon.example/id/parts> a kn:Part ; s:offers <urn:x> .")
    assert (found["understood"], found["not_understood"]) == (0, 6)
    assert claims(ours) == set()


def test_another_s_word_beside_what_we_know_is_counted_whatever_it_points_at(ours: Path) -> None:
    """A source of ours is typed in the words of provenance; only its type is, not all that is said with them."""
    said = "@prefix prov: <http://www.w3.org/ns/prov#> . @prefix skos: <http://www.w3.org/2004/02/skos/core#> ."
    found = told(ours, HEAD + said + "part:J-1 a prov:Entity ; skos:related prov:Entity .")
    assert (found["understood"], found["not_understood"]) == (0, 1)
    assert ["core#related" in e["statement"] for e in found["examples"]] == [True]


def test_a_club_s_own_file_has_nothing_foreign(ours: Path, tmp_path: Path) -> None:
    file = tmp_path / "north.trig"
    theirs = write_world(tmp_path / "theirs")
    run("share", str(file), "--club", "north", "--member", "m9", "--records", str(theirs))
    ran = run("merge", str(file), "--json", "--records", str(ours))
    assert full(ran.out)["result"]["foreign"] == [
        {"understood": 0, "rows": [], "currency": "", "not_understood": 0, "examples": []}
    ]
    from importlib import resources

    from knockon.graph.exchange.foreign import is_foreign

    demo = Path(str(resources.files("knockon.data_demo")))
    assert not [q for q in read_graph(demo)[0] if is_foreign(q)]
