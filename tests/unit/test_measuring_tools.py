"""Measuring tools: each dimension that can be measured has one, with what it reads within in the dimension's unit."""

from __future__ import annotations

import pytest

from knockon.graph.formulas.interval import Interval
from knockon.graph.model.schema import VOCAB, Vocabulary, read_vocabulary, vocabulary_files
from knockon.graph.quantity import DATATYPES, read_cell
from knockon.graph.rulebook.own import usable_vocabulary
from knockon.graph.triples.tools import Tool
from knockon.queries.intake.readings.tools import with_its_tool
from knockon.queries.workshop import measuring
from knockon.queries.workshop.answer import Calculation
from tests.demo.test_new_kind import PREFIXES

SHIPPED = read_vocabulary(vocabulary_files())
MUCH_USED = [("caliper", 0.02), ("inside jaws", 0.05), ("rule", 0.5)]


@pytest.mark.parametrize(("name", "within"), MUCH_USED)
def test_the_tools_that_everybody_has(name: str, within: float) -> None:
    tool = SHIPPED.tools.by_name[name]
    assert (tool.within, tool.unit, tool.source) == (within, "mm", "common practice, no source")


def test_each_dimension_that_can_be_measured_has_a_tool_of_its_own_unit() -> None:
    lacking, other_unit = [], []
    for kind in SHIPPED.kinds.values():
        for name, column in SHIPPED.dimensions(kind.iri).items():
            tool = SHIPPED.usual_tool(kind.iri, name)
            unit = SHIPPED.unit_of(kind, name)
            if unit is not None and column.measured:
                lacking += [] if tool else [(kind.table, name)]
                other_unit += [(kind.table, name)] if tool and tool.unit != unit else []
    assert (lacking, other_unit) == ([], [])


def test_what_cannot_be_measured_has_none() -> None:
    place = next(k for k in SHIPPED.kinds.values() if k.table == "fitting_place")
    assert SHIPPED.usual_tool(place.iri, "pattern") is None
    assert SHIPPED.usual_tool(place.iri, "no such dimension") is None


def test_a_designation_has_a_tool_for_each_part() -> None:
    nut = VOCAB + "Nut"
    tools = {part: SHIPPED.usual_tool(nut, f"thread.{part}") for part in ("major", "pitch", "hand")}
    assert {p: t.name for p, t in tools.items() if t} == {
        "major": "inside jaws", "pitch": "thread gauge", "hand": "look",
    }  # fmt: skip


def test_every_usual_tool_names_a_kind_and_a_dimension_that_are_there() -> None:
    kinds = {k.table: k for k in SHIPPED.kinds.values()}
    for table, dimensions in SHIPPED.tools.of_kinds.items():
        known = SHIPPED.dimensions(kinds[table].iri)
        assert [d for d in dimensions if d not in known] == []


@pytest.mark.parametrize("word", ["Vernier", "caliper", "flat-jaws"])
def test_a_tool_by_any_of_its_names(word: str) -> None:
    found = SHIPPED.tools.named(word)
    assert found and found.name == "caliper"


def test_no_two_tools_share_a_name() -> None:
    tools = SHIPPED.tools.by_name.values()
    names = [n.casefold() for t in tools for n in (t.name, *t.other_names)]
    assert len(names) == len(set(names))


def own(text: str) -> tuple[Vocabulary, list[str]]:
    vocabulary, findings = usable_vocabulary((("club.ttl", (PREFIXES + text).encode()),))
    return vocabulary, [f.column for f in findings if f.set_aside]


PLUG = 'club:plug a kn:Tool ; rdfs:label "plug"@en ; kn:unit "mm" ; kn:within 0.01 ; dcterms:source "ours" .\n'
USUAL = '[] a kn:UsualTool ; kn:table "journal" ; kn:dimension "{}" ; kn:tool {} .'


def test_a_club_says_more_tools() -> None:
    vocabulary, faults = own(PLUG)
    assert faults == [] and vocabulary.tools.by_name["plug"].within == 0.01


@pytest.mark.parametrize(
    "text",
    [
        USUAL.format("diameter", "club:nothing"),
        USUAL.format("diametre", "kn:tool-rule"),
        'club:rod a kn:Tool ; rdfs:label "rod"@en ; kn:unit "inch" ; kn:within 0.1 .',
        'club:rod a kn:Tool ; rdfs:label "rod"@en ; kn:unit "mm" ; kn:within -0.1 .',
        'club:rod a kn:Tool ; rdfs:label "rod"@en ; kn:unit "mm" .',
    ],
)
def test_a_tool_that_cannot_be_used_is_found(text: str) -> None:
    vocabulary, faults = own(text)
    assert faults and vocabulary.tools == SHIPPED.tools


RATCHET = """\
club:Ratchet a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; sh:targetClass club:Ratchet ;
    rdfs:label "ratchet"@en ; kn:table "ratchet" ;
    sh:property [ sh:path club:pawls ; sh:name "pawls" ; sh:datatype kn:count ; sh:order 1 ;
                  sh:description "How many." ; kn:method "Count." ] ,
        [ sh:path club:over ; sh:name "over" ; sh:datatype kn:length ; sh:order 2 ; sh:description "Over the tips." ;
          kn:method "Caliper." ; kn:flatJawsOver "{}" ] .
"""


def test_a_club_s_kind_says_over_which_count_flat_jaws_read() -> None:
    vocabulary, faults = own(RATCHET.format("pawls"))
    kind = next(k for k in vocabulary.kinds.values() if k.table == "ratchet")
    assert faults == [] and [c.flat_jaws_over for c in kind.columns] == ["", "pawls"]
    vocabulary, faults = own(RATCHET.format("teeth"))
    assert len(faults) == 1 and not any(k.table == "ratchet" for k in vocabulary.kinds.values())


@pytest.mark.parametrize(
    ("asked", "listed"),
    [
        (measuring.decide(100.0, 101.6), 7),
        (measuring.decide(100.0, 100.1), 3),  # half the gap is 0.05 mm: what reads within just that does not do
        (measuring.within(Interval(25.95, 26.15), Interval(26.0, 26.2)), 5),  # 0.05 mm to the nearer end: it does here
        (measuring.within(Interval(25.99, 26.03), Interval(26.0, 26.2)), 1),
    ],
)
def test_the_workshop_lists_tools_by_the_table_of_the_vocabulary(asked: Calculation, listed: int) -> None:
    ((*_, rows),) = ((t.title, t.header, t.rows) for t in asked.listings)
    shipped = {name: f"plus or minus {t.within:g} mm" for name, t in SHIPPED.tools.by_name.items()}
    assert [shipped[name] for name, _ in rows] == [said for _, said in rows]
    assert len(rows) == listed and asked.assumptions[0].endswith("common practice, no source")


@pytest.mark.parametrize(
    ("datatype", "written", "unit", "kept"),
    [
        ("length", "25.4 mm", "mm", "25.4 mm ±0.5 mm"),
        ("length", "25.4 mm ±0.1 mm", "mm", "25.4 mm ±0.1 mm"),
        ("length", "25.4 mm", "kPa", "25.4 mm"),
        ("angle", "60 deg", "deg", "60 deg ±0.5 deg"),
        ("pressure", "70 kPa", "kPa", "70 kPa ±0.5 kPa"),
        ("pressure", "0.7 bar", "kPa", "0.7 bar ±0.5 kPa"),
        ("pressure", "60..80 kPa", "kPa", "60..80 kPa"),
        ("torque", "50 N m", "N m", "50 N m ±0.5 N m"),
        ("ratio", "1:8", "1", "1:8"),
        ("spline pitch", "24/48", "mm", "24/48"),
        ("count", "24", "count", "24"),
    ],
)
def test_a_reading_without_limits_has_those_of_its_tool(datatype: str, written: str, unit: str, kept: str) -> None:
    tool = Tool(name="any", unit=unit, within=0.5)
    readings = read_cell(written, datatype)
    assert with_its_tool(written, readings, DATATYPES[datatype], tool, DATATYPES[datatype].symbol) == kept
    if kept != written:
        size = readings[""]
        assert size.low is not None and size.high is not None
        both = read_cell(kept, datatype)[""]
        assert both.low == pytest.approx(size.low - 0.5) and both.high == pytest.approx(size.high + 0.5)
