"""The datatypes of cells: each agrees with the vocabulary, and does what it says of itself."""

from __future__ import annotations

import pytest

from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.quantity import DATATYPES, MEASURED, CellError, ReadingContext, read_cell, write_cell
from knockon.graph.triples.datatypes import cell_literal, datatype_name
from knockon.graph.triples.statements import VOCAB, XSD

VOCABULARY = read_vocabulary(vocabulary_files())
BARE = {"count": "", "1": "", "code": ""}
CELLS = {
    "length": "25.4 mm",
    "angle": "82 deg",
    "count": "27",
    "ratio": "1:8",
    "pressure": "10 psi",
    "torque": "50 N m",
    "force": "200 N",
    "number": "0.38",
    "code": "involute",
    "thread": "3/8-24 UNF",
    "spline pitch": "24/48",
    "quantity": "1 pair",
    "money": "12.50 each",
    "part number": "ALDER-101L",
    "hand": "left",
    "date": "2012-11-02",
}


@pytest.mark.parametrize("name", sorted(VOCABULARY.sizes))
def test_the_vocabulary_and_the_readers_have_the_same_parts_and_base_units(name: str) -> None:
    stated = {part: BARE.get(unit, unit) for part, unit in VOCABULARY.sizes[name].items()}
    assert DATATYPES[name].parts == stated


def test_every_dimension_that_a_kind_may_have_can_be_read() -> None:
    columns = [c for kind in VOCABULARY.kinds.values() for c in kind.columns]
    assert {c.datatype for c in columns} <= MEASURED | {"code"}


@pytest.mark.parametrize("name", sorted(DATATYPES))
def test_a_cell_gives_the_parts_that_its_datatype_has_and_is_written_as_one(name: str) -> None:
    readings = read_cell(CELLS[name], name)
    assert list(readings) == list(DATATYPES[name].parts)
    assert read_cell(write_cell(readings, name, base=True), name).keys() == readings.keys()


@pytest.mark.parametrize("name", sorted(DATATYPES))
def test_what_is_offered_where_a_unit_is_missing_is_a_unit_of_the_datatype(name: str) -> None:
    for unit in DATATYPES[name].offered_units:
        assert read_cell(f"1 {unit}", name)[""].low is not None


@pytest.mark.parametrize("name", sorted(DATATYPES))
def test_a_size_beyond_the_largest_is_refused(name: str) -> None:
    datatype = DATATYPES[name]
    if datatype.largest is not None:
        with pytest.raises(CellError, match="too large to be meant"):
            read_cell(f"{datatype.largest * 10} {datatype.symbol}", name, context=ReadingContext())


def test_a_name_and_its_iri_lead_to_each_other() -> None:
    for name in DATATYPES:
        assert datatype_name(cell_literal(name, "?").datatype.value) == name
    assert cell_literal("spline pitch", "24/48").datatype.value == VOCAB + "splinePitch"
    assert datatype_name(XSD + "anyURI") == "anyURI"
