"""Layouts put together from ready-made ones, handed to others: what is handed out is how they are put together."""

from __future__ import annotations

from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.clubs import TYPE, Shared, by_club, shared
from knockon.graph.exchange.merging import merge_into
from knockon.graph.exchange.view import stated, whole_rows
from knockon.graph.model.build import build_catalogue
from knockon.graph.model.names import READY_MADE_GRAPH, RECORDS_GRAPH, iri
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.rdf.canonical import from_bytes
from knockon.graph.records import load_records, read_graph
from knockon.graph.tables.put_together import put_together
from knockon.queries.plan.swap import swap
from tests.unit.test_ready_made import CAR, SOURCES, TWO

ABOUT = Shared("shop", "m1", "2026-05-03T12:00:00Z", "CC0-1.0", "")


@pytest.fixture(autouse=True)
def no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def folder(path: Path, tables: dict[str, str]) -> Path:
    (path / "features").mkdir(parents=True)
    for name, text in tables.items():
        (path / name).write_text(text, encoding="utf-8")
    return path


def test_what_ready_made_layouts_give_stands_in_a_graph_of_its_own_and_is_handed_out_to_nobody(tmp_path: Path) -> None:
    store = read_graph(folder(tmp_path / "ours", CAR))[0]
    given = [q for q in store if getattr(q.graph_name, "value", "") == READY_MADE_GRAPH]
    assert len(given) > 1000
    handed = stated(store)
    assert len(handed) + len(given) == len(store)
    assert not [q for q in handed if "/positions/" in str(q.subject)]


@pytest.mark.parametrize("uses", [CAR["layout_uses.csv"], TWO.replace("both", "my car")])
def test_from_what_is_handed_out_the_same_layout_is_put_together_again(tmp_path: Path, uses: str) -> None:
    own = folder(tmp_path / "ours", {**CAR, "layout_uses.csv": uses})
    store, vocabulary, _ = read_graph(own)
    again = build_catalogue(put_together(stated(store), vocabulary), vocabulary)
    assert again.layouts == load_records(own).layouts
    assert len(again.layouts["my car"].joints) > 80


def test_rows_of_ones_own_are_handed_out_and_stand_instead_of_the_ready_made_ones(tmp_path: Path) -> None:
    joints = "layout,joint,position,feature,other position,other feature,rule,safety critical,owns\n"
    mine = (
        joints
        + "my car,rotor on flange,rotor,my circle,drive flange,my circle,bolt circle,yes,brake fluid;hose washer\n"
    )
    store, vocabulary, _ = read_graph(folder(tmp_path / "ours", {**CAR, "joints.csv": mine}))
    again = build_catalogue(put_together(stated(store), vocabulary), vocabulary)
    (joint,) = [j for j in again.layouts["my car"].joints if j.joint == "rotor on flange"]
    assert (joint.feature, joint.safety_critical, joint.owns) == ("my circle", True, ("brake fluid", "hose washer"))


def test_a_member_of_a_set_is_there_with_and_without_its_side_and_one_of_no_set_is_not() -> None:
    """An item that names what nobody has is not seen; one that names a set's member is."""
    vocabulary = read_vocabulary(vocabulary_files())

    def row(table: str, *key: str) -> ox.Quad:
        shape = ox.NamedNode(vocabulary.tables[table].iri)
        return ox.Quad(ox.NamedNode(iri(table, *key)), TYPE, shape, ox.NamedNode(RECORDS_GRAPH))

    member = row("set_members", "PAIR", "hub", "left")
    named = {"with side": "PAIR/hub/left", "without": "PAIR/hub", "other side": "PAIR/hub/right", "no set": "PAIRS/hub"}
    items = {name: row("items", name) for name in named}
    of_part = ox.NamedNode(next(c.path for c in vocabulary.tables["items"].columns if c.name == "part"))
    parts = [
        ox.Quad(items[name].subject, of_part, ox.NamedNode(iri("set_members", part)), items[name].graph_name)
        for name, part in named.items()
    ]
    quads = [member, *items.values(), *parts]
    assert set(quads) - set(whole_rows(quads, vocabulary)) == {*parts[2:]}


def test_a_merged_club_s_vehicle_is_planned_on_the_layout_that_it_put_together(tmp_path: Path) -> None:
    theirs = stated(read_graph(folder(tmp_path / "theirs", CAR))[0])
    ours = folder(tmp_path / "ours", {"sources.csv": SOURCES.replace("book", "mine")})
    merge_into(ours, by_club(from_bytes(shared(theirs, ABOUT), "trig", "it"), "it"))
    answer = swap(load_records(ours), "shop: mine", want=["rotor=R-120"])
    assert answer.plan is not None
    assert {c.new for c in answer.changes if c.status == "forced by fit"} >= {"R-120", "F-25", "J-25", "B-28", "N-20"}
