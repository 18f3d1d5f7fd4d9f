"""Cautions come from the part types of a layout: a lathe is not told to keep its first drive off the road."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.records import Records, load, records_from_text
from knockon.queries.answers import CAUTION, LOCAL_RULES
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.swap import swap
from tests.unit.small import TABLES, world

LATHE = Path(__file__).parents[1] / "properties" / "vocabularies" / "lathe"
OWN = """
@prefix kn: <https://knockon.example/vocab#> . @prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> . @prefix dcterms: <http://purl.org/dc/terms/> .
kn:caution-cart a kn:Caution ; sh:order 45 ; kn:partType kn:type-PART ; dcterms:source "made up" ;
  rdfs:comment "Chock the cart."@en .
"""


def lathe() -> Records:
    return load(LATHE)


def test_a_lathe_is_told_what_holds_of_every_layout_and_nothing_of_the_road() -> None:
    catalogue = lathe().catalogue
    for cautions in (swap(catalogue, "lathe").cautions, combinations(catalogue, "feed").cautions):
        said = " ".join(cautions)
        assert cautions[0] == CAUTION and LOCAL_RULES in cautions
        assert not [word for word in ("drive", "road", "axle", "brake", "stands") if word in said]
    parts = judge_parts(catalogue, ["SCREW-4", "NUT-4"]).cautions
    assert parts[:2] == (CAUTION, LOCAL_RULES)


def test_a_vehicle_is_told_of_its_axle_and_of_the_first_drive_in_the_order_of_the_cautions() -> None:
    cautions = swap(world(), "my-cart").cautions
    starts = [c[:8] for c in cautions[:6]]
    assert starts == ["Geometry", "One axle", "Parts th", "Work on ", "No torqu", "Local ru"]
    general, rules, *_ = judge_parts(world(), ["HUB-20L", "AXLE-20"]).cautions
    assert general == CAUTION and "(licensed practice)" in rules and rules in cautions


@pytest.mark.parametrize(
    ("part_type", "is_told"), [("drive-flange", True), ("caliper", False), ("hub-and-bearings", True)]
)
def test_a_club_adds_cautions_by_part_type_and_broader_ones_count(part_type: str, is_told: bool) -> None:
    records = records_from_text(TABLES, {"club.ttl": OWN.replace("PART", part_type)})
    assert not [f for f in records.findings if f.file == "club.ttl"]
    cautions = swap(records.catalogue, "my-cart").cautions
    assert ("Chock the cart." in cautions) is is_told
    if is_told:
        assert cautions.index("Chock the cart.") == 4


def test_a_caution_for_a_part_type_that_nobody_has_is_a_finding_and_is_not_used() -> None:
    records = records_from_text(TABLES, {"club.ttl": OWN.replace("PART", "drive-flnage")})
    assert [f for f in records.findings if f.file == "club.ttl" and f.set_aside]
    assert "Chock the cart." not in swap(records.catalogue, "my-cart").cautions
