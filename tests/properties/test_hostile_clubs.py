"""Whatever a club's file says, one's own records are read and one's own questions answered."""

from pathlib import Path

import pyoxigraph as ox
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knockon.graph.exchange.clubs import by_club
from knockon.graph.exchange.merging import merge_into
from knockon.graph.files.rdf_files import club_files
from knockon.graph.model.names import ID
from knockon.graph.model.schema import RDF, VOCAB, Column, Table, read_vocabulary, vocabulary_files
from knockon.graph.rdf.canonical import FORMATS, NotRdf, from_bytes, to_bytes
from knockon.graph.records import load
from knockon.queries.club.disputes import find_disputes
from knockon.queries.club.merging import judge_merge
from knockon.queries.fits.fits import judge_parts
from tests.exchange.world import write_world

VOCABULARY = read_vocabulary(vocabulary_files())
TABLES = sorted([*VOCABULARY.tables.values(), *VOCABULARY.kinds.values()], key=lambda t: t.iri)
KEYS = ("S-1", "S-2", "J-1", "F-2", "van", "axle", "outer%20joint", "drawings", "X")
NUMBERS = (
    "-1",
    "1e999",
    "nan",
    "99999999999999999999",
    "12 mm",
    "25",
    "24/48",
    "module 1.0",
    "1:8",
    "M20x1.5",
    "absent",
)
TEXTS = st.one_of(
    st.sampled_from([*NUMBERS, "yes", "true", "left", "corner", "spline", "outer joint", "axle", "S-1", "stack", "?"]),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=6),
)
GRAPHS = st.sampled_from([f"{ID}clubs/north/{g}" for g in ("graph/records", "sources/N1", "sources/drawings", "about")])


def iris(table: str) -> st.SearchStrategy[ox.NamedNode]:
    return st.builds(lambda key, club: ox.NamedNode(f"{ID}{club}{table}/{key}"), st.sampled_from(KEYS),
                     st.sampled_from(["", "clubs/north/"]))  # fmt: skip


def value_of(column: Column) -> st.SearchStrategy[ox.NamedNode | ox.Literal]:
    known = [*column.values, *(VOCABULARY.part_types if column.names == "PartType" else ())]
    known += VOCABULARY.rules if column.names == "FitRule" else []
    texts = st.builds(ox.Literal, st.sampled_from(known) if known else TEXTS)
    things = st.one_of([iris(t) for t in column.refers_to]) if column.refers_to else iris("parts")
    return st.one_of(things, texts) if not column.refers_to else st.one_of(things, things, things, texts)


@st.composite
def row(draw: st.DrawFn) -> list[ox.Quad]:
    """Most columns of a row of some table, or of a feature, with values that are nearly right."""
    table: Table = draw(st.sampled_from(TABLES))
    subject = draw(iris("features/S-1" if table.is_kind else table.table))
    graph = ox.NamedNode(draw(GRAPHS))
    quads = [ox.Quad(subject, ox.NamedNode(RDF + "type"), ox.NamedNode(table.iri), graph)]
    if table.is_kind:
        quads.append(ox.Quad(subject, ox.NamedNode(VOCAB + "of"), draw(iris("parts")), graph))
        name = draw(st.sampled_from(["spacer", "spline", "stub spline"]))
        quads.append(ox.Quad(subject, ox.NamedNode(VOCAB + "featureName"), ox.Literal(name), graph))
    chosen = [c for c in table.columns if c.required or draw(st.booleans())]
    return quads + [ox.Quad(subject, ox.NamedNode(c.path), draw(value_of(c)), graph) for c in chosen]


@settings(max_examples=10, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(rows=st.lists(row(), min_size=1, max_size=20))
def test_own_questions_are_answered_beside_any_club(
    rows: list[list[ox.Quad]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    folder = write_world(tmp_path / "ours")
    for path in club_files(folder):
        path.unlink()
    before = load(folder)
    incoming = by_club([q for quads in rows for q in quads], "it")
    judge_merge(before, folder, incoming, "it")
    merge_into(folder, incoming)
    after = load(folder)
    assert after.catalogue.layouts["axle"] == before.catalogue.layouts["axle"]
    assert all(after.catalogue.parts[p] == part for p, part in before.catalogue.parts.items())
    assert after.catalogue.vehicles["van"] == before.catalogue.vehicles["van"]
    assert judge_parts(after.catalogue, ["J-1", "F-1"]).joints
    find_disputes(after.catalogue, 5)
    assert load(folder, ["north"]).catalogue == before.catalogue


@pytest.mark.parametrize("form", FORMATS)
@given(
    rows=st.lists(row(), max_size=3), cuts=st.lists(st.tuples(st.integers(0, 4000), st.binary(max_size=4)), max_size=4)
)
def test_a_damaged_file_is_read_or_refused(form: str, rows: list[list[ox.Quad]], cuts: list[tuple[int, bytes]]) -> None:
    content = bytearray(to_bytes([q for quads in rows for q in quads], form))
    for place, put in cuts:
        content[place : place + len(put)] = put
    try:
        quads = from_bytes(bytes(content), form, "it")
    except NotRdf as error:
        assert str(error).startswith("it ")
    else:
        assert from_bytes(to_bytes(quads, form), form, "it") == quads
