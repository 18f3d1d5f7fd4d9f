"""A withdrawn note stays withdrawn when another club's copy of it arrives; nobody withdraws one's own for one."""

import json
from functools import partial
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.clubs import CLUBS, TYPE, Shared, by_club, shared
from knockon.graph.exchange.merging import merge_into
from knockon.graph.exchange.withdrawn import WITHDRAWN, own_copies, taken_back
from knockon.graph.model.names import ID
from knockon.graph.model.schema import VOCAB
from knockon.graph.notes.write import Draft, add_note, withdraw_note
from knockon.graph.rdf.canonical import from_bytes
from knockon.graph.records import load, load_records, read_graph
from knockon.queries.club.contradictions import note_conflicts, size_conflicts
from tests.commands.running import run
from tests.exchange.world import write_world

READING = Draft(
    member="m7",
    text="measured it",
    parts=("S-2",),
    outcome="measured",
    date="2020",
    sizes=("S-2, spacer: length = 9 mm",),
    as_read=True,
)
FAILED = Draft(
    member="m7",
    text="stripped",
    parts=("J-1", "F-1"),
    outcome="failed",
    date="2020",
    joint="flange on stub",
    vehicle="van",
)
WORKED = Draft(
    member="m8",
    text="went on",
    parts=("J-1", "F-1"),
    outcome="worked",
    date="2021",
    joint="flange on stub",
    vehicle="van",
)


@pytest.fixture(autouse=True)
def no_cache(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")


def world(folder: Path, *drafts: Draft) -> Path:
    """A club's own records with these notes, N03 the first."""
    write_world(folder)
    for draft in drafts:
        add_note(folder, draft, partial(load_records, folder))
    return folder


def withdraw(folder: Path, name: str) -> None:
    withdraw_note(folder, name, "m7", "misread", partial(load_records, folder))


def arrives(ours: Path, theirs: Path, club: str) -> None:
    content = shared(read_graph(theirs)[0], Shared(club, "m9", "2026-01-02T03:04:05Z"))
    merge_into(ours, by_club(from_bytes(content, "trig", "it"), "it"))


def test_another_club_s_copy_does_not_bring_a_withdrawn_note_back(tmp_path: Path) -> None:
    ours = world(tmp_path / "ours", READING, FAILED, WORKED)
    theirs = world(tmp_path / "theirs", READING, FAILED)
    for name in ("N03", "N04"):
        withdraw(ours, name)
    before = load_records(ours)
    arrives(ours, theirs, "north")
    after = load_records(ours)
    assert {n.text for n in after.notes.values()} == {n.text for n in before.notes.values()} == {"went on", "stripped"}
    assert not [n for n in after.notes.values() if n.member == "m7"]
    assert not [c for c in size_conflicts(after) if any(s.written == "9 mm" for s in c.statements)]
    assert not [c for c in note_conflicts(after) if any(n.member == "m7" for n in c.notes)]
    assert {s.written for s in after.features_of("S-2")["spacer"].dimensions["length"]} == {"12.6 mm"}


def test_the_order_of_arriving_and_withdrawing_does_not_matter(tmp_path: Path) -> None:
    ours = world(tmp_path / "ours", READING)
    arrives(ours, world(tmp_path / "theirs", READING), "north")
    assert "north: N03" in load_records(ours).notes
    withdraw(ours, "N03")
    assert not {"N03", "north: N03"} & set(load_records(ours).notes)


@pytest.mark.parametrize(("withdraws", "copies"), [("north", "south"), ("south", "north")])
def test_a_club_s_withdrawal_reaches_the_copies_of_other_clubs(tmp_path: Path, withdraws: str, copies: str) -> None:
    ours, first, other = (
        world(tmp_path / n, *notes) for n, notes in (("ours", ()), ("first", (FAILED,)), ("other", (FAILED,)))
    )
    withdraw(first, "N03")
    arrives(ours, other, copies)
    assert f"{copies}: N03" in load_records(ours).notes
    arrives(ours, first, withdraws)
    assert not {"south: N03", "north: N03"} & set(load_records(ours).notes)


def test_a_copy_with_another_word_or_another_size_is_another_note(tmp_path: Path) -> None:
    from msgspec.structs import replace

    ours = world(tmp_path / "ours", READING, FAILED)
    for name in ("N03", "N04"):
        withdraw(ours, name)
    others = replace(READING, sizes=("S-2, spacer: length = 9.5 mm",)), replace(FAILED, text="stripped it")
    arrives(ours, world(tmp_path / "theirs", *others), "north")
    assert {"north: N03", "north: N04"} <= set(load_records(ours).notes)


def test_a_club_that_withdraws_its_copy_leaves_one_s_own_and_that_is_a_finding(tmp_path: Path) -> None:
    ours, theirs = (world(tmp_path / name, FAILED) for name in ("ours", "theirs"))
    withdraw(theirs, "N03")
    arrives(ours, theirs, "north")
    records = load(ours)
    assert "N03" in records.catalogue.notes
    (told,) = records.findings
    assert (told.column, told.set_aside) == ("N03", False)
    assert "north has withdrawn this note in the same words" in told.problem


def test_only_a_note_is_a_copy_of_a_note(tmp_path: Path) -> None:
    """What says the same words and only points at the class of notes is no note."""
    ours, theirs = (world(tmp_path / name, FAILED) for name in ("ours", "theirs"))
    withdraw(theirs, "N03")
    arrives(ours, theirs, "north")
    quads = read_graph(ours)[0]
    assert [f.column for f in own_copies(quads)] == ["N03"]
    see = ox.NamedNode("http://www.w3.org/2000/01/rdf-schema#seeAlso")
    own, note = ox.NamedNode(ID + "notes/N03"), ox.NamedNode(VOCAB + "Note")
    pointing = [ox.Quad(q.subject, see if (q.subject, q.object) == (own, note) else q.predicate, q.object, q.graph_name)
                for q in quads]  # fmt: skip
    assert pointing != list(quads)
    assert own_copies(pointing) == []


@pytest.mark.parametrize("withdraws", ["", "north", "south"])
def test_a_withdrawal_reaches_the_same_words_of_every_other_club_and_of_nobody_else(withdraws: str) -> None:
    """Whichever name comes first; two notes of one club are two notes, and one's own is told, not taken back."""
    notes = {(club, name): stated_note(club, name) for club in ("", "north", "south") for name in ("N03", "N04")}
    first = notes[withdraws, "N03"][0]
    withdrawn = ox.Quad(first.subject, WITHDRAWN, ox.Literal("misread"), first.graph_name)
    quads = [*(q for note in notes.values() for q in note), withdrawn]
    row = (first.subject, first.graph_name)
    others = {(q.subject, q.graph_name): row for (club, _), (q, *_) in notes.items() if club not in ("", withdraws)}
    assert taken_back(quads) == {**others, row: row}
    assert [f.column for f in own_copies(quads)] == (["N03", "N04"] if withdraws else [])


def stated_note(club: str, name: str) -> list[ox.Quad]:
    """That there is this note, and what it says."""
    at = f"{CLUBS}{club}/" if club else ID
    note, graph = ox.NamedNode(f"{at}notes/{name}"), ox.NamedNode(f"{at}sources/{name}")
    said = ox.NamedNode(VOCAB + "text"), ox.Literal("stripped")
    return [ox.Quad(note, TYPE, ox.NamedNode(VOCAB + "Note"), graph), ox.Quad(note, *said, graph)]


def test_withdrawn_copies_are_listed_with_what_was_said(tmp_path: Path) -> None:
    ours = world(tmp_path / "ours", FAILED)
    withdraw(ours, "N03")
    arrives(ours, world(tmp_path / "theirs", FAILED), "north")
    listed = json.loads(run("note", "list", "--withdrawn", "--json", "--records", str(ours)).out)["notes"]
    assert {n["note"]: (n["withdrawn"][10:], n["same_as"]) for n in listed if n["member"] == "m7"} == {
        "N03": (", m7: misread", ""), "north: N03": (", m7: misread", "N03"),
    }  # fmt: skip
