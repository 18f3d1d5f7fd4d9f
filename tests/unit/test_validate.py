"""Statements that come in as RDF are checked against the same shapes as rows."""

from __future__ import annotations

import pyoxigraph as ox

from knockon.graph.exchange.rows import good_rows
from knockon.graph.model.schema import VOCAB, read_vocabulary, vocabulary_files
from knockon.graph.rdf.store import store_of
from knockon.graph.rulebook.validate import ShapeReport, shapes_graph, validate
from knockon.graph.tables.cells import XSD
from knockon.graph.tables.files import raw_tables
from knockon.graph.tables.read import Reader
from tests.unit.small import TABLES

ID = "https://knockon.example/id/"
TYPE = ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#type")


def store_with(*extra: tuple[str, str, ox.NamedNode | ox.Literal]) -> ox.Store:
    """The small world's graph with (subject, property, value) added."""
    store = store_of(Reader(read_vocabulary(vocabulary_files())).read(raw_tables(TABLES, [])))
    for subject, path, value in extra:
        predicate = TYPE if path == "type" else ox.NamedNode(VOCAB + path)
        store.add(ox.Quad(ox.NamedNode(ID + subject), predicate, value))
    return store


def report(*extra: tuple[str, str, ox.NamedNode | ox.Literal]) -> ShapeReport:
    return validate(store_with(*extra))


def test_good_records_pass_and_were_really_checked() -> None:
    found = report()
    assert found.findings == ()
    assert found.shapes > 60
    assert found.nodes > 50


def test_a_row_that_lacks_what_it_needs() -> None:
    found = report(("parts/X-1", "type", ox.NamedNode(VOCAB + "Part")))
    columns = {f.column for f in found.findings}
    assert columns >= {"name", "part type", "hand"}
    assert all(f.file == "graph: parts/X-1" and not f.set_aside for f in found.findings)


def test_a_value_that_is_not_allowed() -> None:
    found = report(("parts/AXLE-20", "hand", ox.Literal("both")))
    assert {(f.column, f.written) for f in found.findings} >= {("hand", "both")}
    assert {f.column for f in found.findings} == {"hand"}  # and there are two of them now


def test_a_size_of_the_wrong_datatype() -> None:
    kinds = read_vocabulary(vocabulary_files()).kinds.values()
    diameter = next(c for k in kinds if k.table == "spigot" for c in k.columns)
    found = report(("features/AXLE-20/seat", diameter.path.removeprefix(VOCAB), ox.Literal("wide")))
    assert [(f.column, f.written) for f in found.findings] == [("diameter", "wide")]


def test_the_shapes_are_those_of_the_vocabulary() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    assert report().shapes == len(vocabulary.tables) + len(vocabulary.kinds)
    assert len(shapes_graph()) > 1000


def test_a_size_below_zero_that_comes_in_as_rdf_is_taken_as_unknown() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    kind = next(k for k in vocabulary.kinds.values() if k.table == "spigot")
    diameter = ox.NamedNode(kind.columns[0].path)
    seat = ox.NamedNode(ID + "features/AXLE-20/seat")
    quads = [q for q in store_with() if q.subject == seat and q.predicate != diameter]
    graph = quads[0].graph_name
    below = ox.Literal("-20 mm", datatype=ox.NamedNode(VOCAB + "length"))
    came = good_rows([*quads, ox.Quad(seat, diameter, below, graph)], vocabulary, "clubs/other.nq")
    good, findings = came.good, came.findings
    assert [(f.column, f.written, f.expected) for f in findings] == [
        ("features/AXLE-20/seat: diameter", "-20 mm", "a length from 0 up"),
    ]
    assert [str(q.object) for q in good if q.predicate == diameter] == [str(ox.Literal("?", datatype=below.datatype))]


def test_a_quantity_below_its_least_is_against_the_shape() -> None:
    found = report(("offers/Mill/STUD-1/", "price", ox.Literal("-2", datatype=ox.NamedNode(XSD + "decimal"))))
    assert ("price", "-2") in {(f.column, f.written) for f in found.findings}
