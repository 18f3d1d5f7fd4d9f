"""Adding notes: none lost beside another writer, nothing broken by a kill, a clear word on a full disk."""

import os
import resource
import signal
from functools import partial
from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.files.atomic import NotWritten, sole_writer
from knockon.graph.files.rdf_files import note_files
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.notes.readings import NoteRefused
from knockon.graph.notes.write import Draft, add_note, withdraw_note
from knockon.graph.records import load, load_records
from knockon.queries.club.wishes import wish_list
from tests.exchange.faults import at_once, dies_at_line
from tests.exchange.world import write_world

DRAFT = Draft(member="m3", text="did it", parts=("S-1",), outcome="worked", date="May 2011")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "records")


def add(folder: Path, draft: Draft = DRAFT, known: Catalogue | None = None) -> str:
    return add_note(folder, draft, (lambda: known) if known else partial(load_records, folder))


def test_two_writers_lose_nothing(folder: Path) -> None:
    known = load_records(folder)

    def ten() -> None:
        for _ in range(10):
            add(folder, known=known)

    assert at_once([ten, ten, ten]) == [0, 0, 0]
    records = load(folder)
    assert set(records.catalogue.notes) == {"N1", "N2", *(f"N{i:02}" for i in range(3, 33))}
    assert records.findings == ()


def test_a_kill_at_any_line_leaves_the_old_or_the_new(folder: Path) -> None:
    known = load_records(folder)
    seen = set()
    number = 1
    while dies_at_line(number, partial(add, folder, DRAFT, known)):
        records = load(folder)
        assert records.findings == ()
        notes = set(records.catalogue.notes) - {"N1", "N2"}
        seen.add(len(notes))
        for path in note_files(folder):
            path.unlink()
        number += 1
    assert number > 30
    assert seen == {0, 1}
    assert set(load(folder).catalogue.notes) == {"N1", "N2", "N03"}
    assert list((folder / "notes").glob(".*")) == []


def test_a_kill_while_a_note_is_withdrawn_leaves_it_or_not(folder: Path) -> None:
    known = load_records(folder)
    seen, number = set(), 1
    while dies_at_line(number, partial(withdraw_note, folder, "N2", "m2", "", lambda: known)):
        records = load(folder)
        assert records.findings == ()
        seen.add("N2" in records.catalogue.notes)
        for path in note_files(folder):
            path.unlink()
        number += 1
    assert number > 30
    assert seen == {True, False}
    assert "N2" not in load_records(folder).notes


def test_a_full_disk_is_said_and_changes_nothing(folder: Path) -> None:
    """The process may write no byte more: the system refuses as it does on a full disk."""
    known = load_records(folder)
    before = {p: p.read_bytes() for p in folder.rglob("*.*") if p.is_file()}

    def write_where_nothing_can_be_written() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0))
        with pytest.raises(NotWritten, match="Nothing was changed"):
            add(folder, known=known)

    assert at_once([write_where_nothing_can_be_written]) == [0]
    after = {p: p.read_bytes() for p in folder.rglob("*.*") if p.is_file() and p.name != ".knockon.lock"}
    assert after == before


def test_the_words_for_a_full_disk(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match=r": the disk is full\. Nothing was changed$"):
        add(folder)
    assert note_files(folder) == []


def test_a_writer_that_never_ends_is_not_waited_for(folder: Path) -> None:
    with sole_writer(folder):

        def impatient() -> None:
            with pytest.raises(NotWritten, match="another program"), sole_writer(folder, patience=0.1):
                pass

        assert at_once([impatient]) == [0]


def test_a_withdrawn_note_stays_but_does_not_count(folder: Path) -> None:
    draft = Draft(member="m3", text="12.9", outcome="measured", sizes=("S-2, spacer: length = 12.9 mm",))
    name = add(folder, draft)
    written = note_files(folder)[0].read_bytes()
    sizes = load_records(folder).features_of("S-2")["spacer"].dimensions["length"]
    assert {s.source for s in sizes} == {"drawings", name}
    withdraw_note(folder, name, "m3", "misread", partial(load_records, folder))
    assert note_files(folder)[0].read_bytes() == written
    catalogue = load_records(folder)
    assert name not in catalogue.notes
    assert {s.source for s in catalogue.features_of("S-2")["spacer"].dimensions["length"]} == {"drawings"}


def test_a_note_of_the_tables_can_be_withdrawn(folder: Path) -> None:
    withdraw_note(folder, "N2", "m2", "", partial(load_records, folder))
    assert set(load_records(folder).notes) == {"N1"}
    assert "stripped" in (folder / "notes.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["2024/7", "../../escape", "a b%2F", "N7 (told)"])
def test_a_note_of_any_name_is_withdrawn_within_the_folder(folder: Path, name: str) -> None:
    notes = folder / "notes.csv"
    text = notes.read_text(encoding="utf-8")
    notes.write_text(text.replace("N2,2012", f"{name},2012"), encoding="utf-8")
    assert name in load_records(folder).notes
    outside = sorted(folder.parent.iterdir())
    withdraw_note(folder, name, "m2", "", partial(load_records, folder))
    assert name not in load_records(folder).notes
    assert len(note_files(folder)) == 1 and sorted(folder.parent.iterdir()) == outside
    with pytest.raises(NoteRefused, match="withdrawn already"):
        withdraw_note(folder, name, "m2", "", partial(load_records, folder))


def test_an_unknown_note_of_a_long_name_is_an_unknown_note(folder: Path) -> None:
    with pytest.raises(UnknownNameError):
        withdraw_note(folder, "x" * 5_000, "m2", "", partial(load_records, folder))


def test_other_programs_files_are_left_alone(folder: Path) -> None:
    """What a killed writer of these records left is cleared away; what somebody else loads down is not."""
    (folder / "notes").mkdir(exist_ok=True)
    own, other = folder / "notes" / ".N9.nq.abcd_123.part", folder / "notes" / ".film.mp4.part"
    for path in (own, other):
        path.write_text("half", encoding="utf-8")
    add(folder, Draft(member="m3", text="went on", parts=("S-2",), outcome="worked"))
    assert not own.exists() and other.exists()


def test_a_broken_note_file_is_a_finding_and_the_rest_goes_on(folder: Path) -> None:
    add(folder)
    (folder / "notes" / "N99.nq").write_bytes(b"\x00 not rdf at all")
    (folder / "notes" / "N98.nq").write_bytes(b'<https://knockon.example/id/notes/N98> '
        b'<http://www.w3.org/1999/02/22-rdf-syntax-ns#type> <https://knockon.example/vocab#Note> '
        b'<https://knockon.example/id/sources/N98> .\n')  # fmt: skip
    records = load(folder)
    assert set(records.catalogue.notes) == {"N1", "N2", "N03"}
    assert [(f.file, f.problem.split(":")[0]) for f in records.findings if f.file.startswith("notes/")] == [
        ("notes/N98.nq", "nothing is stated"),
        ("notes/N98.nq", "nothing is stated"),
        ("notes/N99.nq", "cannot be read"),
    ]


def test_a_size_that_nobody_recorded_can_be_given_where_a_joint_calls_for_it(folder: Path) -> None:
    """F-2 has no feature at all, and the wish list asks for its spline."""
    (folder / "features" / "internal_spline.csv").unlink()
    known = load_records(folder)
    wish = next(w for w in wish_list(known, 0).wishes if w.thing == "F-2" and w.dimension == "pitch")
    name = add(folder, replace(DRAFT, sizes=(f"{wish.thing}, {wish.feature}: {wish.dimension} = 24/48",)))
    (stated,) = load_records(folder).features_of("F-2")["spline"].dimensions["pitch"]
    assert (stated.source, stated.written) == (name, "24/48")


def test_a_feature_that_no_place_of_the_part_calls_for_is_refused(folder: Path) -> None:
    with pytest.raises(UnknownNameError, match="no feature of F-2 'stub splines'"):
        add(folder, replace(DRAFT, sizes=("F-2, stub splines: pitch = 24/48",)))


@pytest.mark.parametrize("outcome", ["worked", "failed", "measured", "told"])
def test_a_reading_counts_as_worn_whatever_came_of_it(folder: Path, outcome: str) -> None:
    read = add(folder, replace(DRAFT, outcome=outcome, sizes=("S-2, spacer: length = 12.9 mm",)))
    plain = add(folder, replace(DRAFT, outcome=outcome))
    sources = load_records(folder).sources
    assert sources[read].standing == "worn"
    assert sources[plain].standing == ("worn" if outcome == "measured" else "hearsay")


def test_eight_writers_that_read_anew_are_all_served(folder: Path) -> None:
    """A note that arrives while the records are read is no reason to read them again, for ever."""

    def some() -> None:
        for _ in range(4):
            add(folder)

    assert at_once([some] * 8) == [0] * 8
    assert len(note_files(folder)) == 32
    assert load(folder).findings == ()


def test_no_other_writer_waits_while_a_note_is_thought_out(folder: Path) -> None:
    def read() -> Catalogue:
        with sole_writer(folder, patience=0.5):  # another writer, while this one still reads
            return load_records(folder)

    assert add_note(folder, DRAFT, read) == "N03"


def test_a_name_taken_while_the_records_were_read_is_not_taken_again(folder: Path) -> None:
    def read() -> Catalogue:
        known = load_records(folder)
        add(folder)
        notes = folder / "notes.csv"
        notes.write_text(notes.read_text(encoding="utf-8") + "N7,2013,m1,van,again,J-1,,told,N1\n", encoding="utf-8")
        return known

    assert add_note(folder, DRAFT, read) == "N08"
