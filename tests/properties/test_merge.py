"""Laws of exchange: export and import give the same statements, and of each club the newest share stands."""

from collections.abc import Sequence
from itertools import permutations
from pathlib import Path
from tempfile import TemporaryDirectory

import pyoxigraph as ox
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.exchange.clubs import (
    CLUBS,
    Shared,
    about_share,
    by_club,
    scoped,
    shared,
    united,
)
from knockon.graph.exchange.merging import merge_into, remove_club
from knockon.graph.files.rdf_files import club_files
from knockon.graph.model.names import ID
from knockon.graph.model.schema import VOCAB
from knockon.graph.rdf.canonical import FORMATS, canonical, from_bytes, to_bytes, without_blank_nodes

NAMED = st.builds(
    ox.NamedNode, st.sampled_from([f"{ID}{t}/{k}" for t in ("parts", "notes", "sources") for k in ("a", "b%20c")])
)
BLANK = st.builds(ox.BlankNode, st.sampled_from(["x", "y", "z"]))
TEXTS = st.text(st.characters(codec="utf-8", exclude_categories=["Cs"]), max_size=8)
LITERALS = st.one_of(
    st.builds(ox.Literal, TEXTS),
    st.builds(lambda text, tag: ox.Literal(text, language=tag), TEXTS, st.sampled_from(["en", "de-at"])),
    st.builds(
        lambda text, name: ox.Literal(text, datatype=ox.NamedNode(name)),
        st.one_of(TEXTS, st.sampled_from(["01", "1.0", "1e3", "true", "0", "12.2 mm", "1 1/16 in"])),
        st.sampled_from(
            [
                VOCAB + "length",
                *(f"http://www.w3.org/2001/XMLSchema#{n}" for n in ("integer", "double", "boolean", "decimal")),
            ]
        ),
    ),
)
PREDICATES = st.builds(lambda name: ox.NamedNode(VOCAB + name), st.sampled_from(["length", "of", "text"])) | st.just(
    ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#type")
)
GRAPHS = st.one_of(
    st.just(ox.DefaultGraph()), st.builds(ox.NamedNode, st.sampled_from([f"{ID}sources/a", f"{ID}sources/b"]))
)
QUADS = st.builds(ox.Quad, st.one_of(NAMED, BLANK), PREDICATES, st.one_of(NAMED, BLANK, LITERALS), GRAPHS)
SETS = st.lists(QUADS, max_size=12)
OBJECTS = st.one_of(NAMED, LITERALS)
CLUB_QUADS = st.builds(
    lambda s, p, o, club, graph: ox.Quad(s, p, o, ox.NamedNode(f"{CLUBS}{club}/{graph}")),
    NAMED, PREDICATES, OBJECTS, st.sampled_from(["north", "south-2"]), st.sampled_from(["sources/N1", "graph/records"]),
)  # fmt: skip
UNDATED = st.lists(CLUB_QUADS, min_size=1, max_size=8)
TIMES = ("2026-01-02T03:04:05Z", "2026-01-02T03:04:05+02:00", "2026-03-02")
DATED = st.builds(
    lambda quads, times: [*quads, *(q for c, at in times.items() for q in about_share(Shared(c, "m1", at)))],
    UNDATED, st.dictionaries(st.sampled_from(["north", "south-2"]), st.sampled_from(TIMES), min_size=1),
)  # fmt: skip
"""Files of which some say of some clubs when they were shared: the second time is the earliest."""
CLUBS_SHARED = st.one_of(UNDATED, DATED)


@pytest.mark.parametrize("form", FORMATS)
@given(quads=SETS)
def test_export_then_import_is_the_identity(form: str, quads: list[ox.Quad]) -> None:
    written = to_bytes(quads, form)
    assert from_bytes(written, form, "it") == canonical(quads)
    assert to_bytes(from_bytes(written, form, "it"), form) == written


@given(quads=SETS, data=st.data())
def test_the_same_statements_give_the_same_bytes(quads: list[ox.Quad], data: st.DataObject) -> None:
    names = dict(zip("xyz", data.draw(st.permutations(["p", "q", "r"])), strict=True))

    def renamed(node: object) -> object:
        return ox.BlankNode(names[node.value]) if isinstance(node, ox.BlankNode) else node

    other = [ox.Quad(renamed(q.subject), q.predicate, renamed(q.object), q.graph_name) for q in quads]  # type: ignore[arg-type]
    shuffled = data.draw(st.permutations(other))
    for form in FORMATS:
        assert to_bytes([*shuffled, *other], form) == to_bytes(quads, form)
    assert without_blank_nodes(shuffled) == without_blank_nodes(quads)


@given(a=SETS, b=SETS, c=SETS)
def test_union_is_commutative_associative_and_idempotent(a: list[ox.Quad], b: list[ox.Quad], c: list[ox.Quad]) -> None:
    a, b, c = (without_blank_nodes(x) for x in (a, b, c))
    assert united(a, b) == united(b, a)
    assert united(united(a, b), c) == united(a, united(b, c))
    assert united(a, a) == a
    assert set(a) <= set(united(a, b))


def merged(files: Sequence[list[ox.Quad]], keep_old: bool = False) -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        for quads in files:
            merge_into(Path(folder), by_club(quads, "file"), keep_old)
        return {path.name: path.read_bytes() for path in club_files(Path(folder))}


def said_by(files: Sequence[list[ox.Quad]], club: str) -> list[tuple[str, set[ox.Quad]]]:
    """What each file says of a club, with the newest time that it tells; worked out apart from the program."""
    found = []
    for quads in files:
        own = {q for q in quads if q.graph_name.value.startswith(f"{CLUBS}{club}/")}  # type: ignore[union-attr]
        times = [q.object.value for q in own if "generatedAtTime" in q.predicate.value]  # type: ignore[union-attr]
        if own:
            found.append((max(times, key=RANK.__getitem__, default=""), own))
    return found


RANK = {"": 0, TIMES[1]: 1, TIMES[0]: 2, TIMES[2]: 3}


@given(files=st.lists(CLUBS_SHARED, min_size=1, max_size=3))
def test_the_newest_share_stands_whatever_the_order_and_however_often(files: list[list[ox.Quad]]) -> None:
    first = merged(files)
    for order in permutations(files):
        assert merged((*order, order[0])) == first
    there = {name: set(from_bytes(text, "nq", name)) for name, text in first.items()}
    for club in ("north", "south-2"):
        said = said_by(files, club)
        newest = max((RANK[at] for at, _ in said), default=0)
        expected = {q for at, own in said if RANK[at] == newest for q in own}  # of one time: all
        assert there.get(f"{club}.nq", set()) == expected


@given(files=st.lists(CLUBS_SHARED, min_size=1, max_size=3))
def test_with_the_old_kept_a_merge_is_a_union_in_any_order(files: list[list[ox.Quad]]) -> None:
    first = merged(files, keep_old=True)
    for order in permutations(files):
        assert merged((*order, order[0]), keep_old=True) == first
    there = {q for quads in files for q in quads}
    assert {q for name, text in first.items() for q in from_bytes(text, "nq", name)} == there


@given(files=st.lists(UNDATED, min_size=2, max_size=2))
def test_a_club_taken_out_leaves_the_others_as_they_were(files: list[list[ox.Quad]]) -> None:
    with TemporaryDirectory() as name:
        folder = Path(name)
        incoming = by_club([q for quads in files for q in quads], "file")
        merge_into(folder, incoming)
        for club in incoming:
            others = {p.name: p.read_bytes() for p in club_files(folder) if p.stem != club}
            assert remove_club(folder, club) == len(set(incoming[club]))
            assert {p.name: p.read_bytes() for p in club_files(folder)} == others
            merge_into(folder, {club: incoming[club]})
        assert merged(tuple(files)) == {p.name: p.read_bytes() for p in club_files(folder)}


@given(quads=st.lists(st.builds(ox.Quad, NAMED, PREDICATES, OBJECTS, GRAPHS), min_size=1, max_size=12))
def test_what_is_shared_keeps_every_statement_apart_from_all_others(quads: list[ox.Quad]) -> None:
    put = scoped(quads, "north")
    assert all(q.graph_name.value.startswith(f"{CLUBS}north/") for q in put if isinstance(q.graph_name, ox.NamedNode))
    assert len({(q.subject, q.predicate, q.object) for q in put}) == len(
        {(q.subject, q.predicate, q.object) for q in quads}
    )
    taken = by_club(from_bytes(shared(quads, Shared("north", "m1", "2026-01-01T00:00:00Z", "MIT")), "trig", "it"), "it")
    assert set(taken) == {"north"}
    assert set(put) <= set(taken["north"])
