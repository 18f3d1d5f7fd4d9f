"""Left or right by how to see it: said of handed parts only, from the vocabulary; what nobody says is unknown."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import load_records, records_from_text
from knockon.queries.find.tell_apart import tell_apart
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.part import show_part
from tests.commands.running import demo
from tests.unit.small import TABLES, folder_of, world


@cache
def calipers() -> Catalogue:
    rows = "CAL-L,caliper,caliper,left,no,CAL-R,,book\nCAL-R,caliper,caliper,right,no,CAL-L,CAL-L,book\n"
    return records_from_text({**TABLES, "parts.csv": TABLES["parts.csv"] + rows}).catalogue


def test_a_handed_part_says_how_to_see_its_hand() -> None:
    assert "bleed screw" in show_part(calipers(), "CAL-L").hand_sign
    assert "bleed screw" in tell_apart(calipers(), "CAL-L", "CAL-R").hand_sign


def test_what_nobody_says_is_unknown_and_parts_for_either_side_say_nothing() -> None:
    assert show_part(world(), "HUB-20L").hand_sign == ""
    assert show_part(world(), "AXLE-20").hand_sign == ""
    assert tell_apart(world(), "HUB-20L", "HUB-25L").hand_sign == ""


@pytest.mark.parametrize(
    ("parts", "warned"),
    [(("CAL-L", "CAL-L"), True), (("CAL-L", "CAL-R"), False), (("AXLE-20", "AXLE-20"), False)],
)
def test_two_of_one_side_are_no_pair(parts: tuple[str, str], warned: bool) -> None:
    said = [c for c in judge_parts(calipers(), parts).cautions if "A pair" in c]
    assert bool(said) is warned


def test_a_narrower_type_is_seen_as_its_broader_one(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "own.ttl").write_text(
        "@prefix kn: <https://knockon.example/vocab#> . @prefix skos: <http://www.w3.org/2004/02/skos/core#> .\n"
        'kn:type-racing a skos:Concept ; skos:prefLabel "racing caliper"@en ; skos:broader kn:type-caliper .'
    )
    with (folder / "parts.csv").open("a") as stream:
        stream.write("RACE-L,racing caliper,racing caliper,left,no,,,book\n")
    assert "bleed screw" in show_part(load_records(folder), "RACE-L").hand_sign


def test_screens_say_it_with_its_standing() -> None:
    text = demo("part", "LARCH-203L").flowing
    assert "How to see its hand (common practice, no source): Hold it as it sits on that side" in text
    assert "(common practice, no source)" in demo("tell-apart", "LARCH-203L", "LARCH-203R").flowing
    assert "see its hand" not in demo("part", "ROWAN-201").flowing
    assert "LARCH-203L and LARCH-203L are all for the left" in demo("fits", "LARCH-203L", "LARCH-203L").flowing
