"""What a note must say, what is refused, how notes are found."""

from collections.abc import Iterator
from functools import cache
from importlib import resources
from pathlib import Path

import pyoxigraph as ox
import pytest
from msgspec.structs import replace

from knockon.graph.files.rdf_files import note_files
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.notes.readings import NoteRefused, bearer_of, feature_of
from knockon.graph.notes.write import Draft, add_note, checked
from knockon.graph.rdf.provenance import provenance_of, read_when
from knockon.graph.records import load_records
from knockon.queries.club.note_added import contradicted_by
from knockon.queries.club.notes import Wanted, list_notes
from knockon.queries.club.wishes import wish_list
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.club.notes import TEXT_ONLY, added_lines, note_blocks
from tests.unit.small import with_rows, world

DRAFT = Draft(member="m080", text="did it")


@cache
def demo() -> Catalogue:
    return load_records(Path(str(resources.files("knockon.data_demo"))))


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("2012-11-02", "2012-11-02"),
        ("May 2011", "2011-05"),
        ("summer 2013", "2013-06/2013-08"),
        ("03/05/2019", "[2019-03-05,2019-05-03]"),
        ("?", ""),
        ("when I was young", ""),
    ],
)
def test_dates_are_as_exact_or_as_vague_as_written(written: str, read: str) -> None:
    assert read_when(written) == read


@pytest.mark.parametrize(
    ("draft", "said"),
    [
        (replace(DRAFT, member=" "), "has no member"),
        (replace(DRAFT, text=""), "has no text"),
        (replace(DRAFT, text="x" * 20_001), "20001 characters"),
        (replace(DRAFT, outcome="great"), "not a known outcome"),
        (replace(DRAFT, standing="gospel"), "not a known standing"),
        (replace(DRAFT, outcome="made to fit"), "Say with --work-done"),
        (replace(DRAFT, member="../../x"), "is not a member"),
        (replace(DRAFT, member="Joe Bloggs, 14 High Street"), "is not a member"),
        (replace(DRAFT, member="m" * 17), "is not a member"),
        (replace(DRAFT, text="red \x1b[31m"), "text contains a control character"),
        (replace(DRAFT, condition="two\nlines"), "condition contains a control character"),
        (replace(DRAFT, date="\u202e2020"), "date contains a control character"),
        (replace(DRAFT, parts=("ALDER-212\x00",)), "parts contains a control character"),
        (replace(DRAFT, work_done="x" * 501), "work done has 501 characters"),
    ],
)
def test_what_cannot_be_meant_is_refused(draft: Draft, said: str) -> None:
    with pytest.raises(NoteRefused, match=said):
        checked(draft, demo())


@pytest.mark.parametrize(
    "draft",
    [
        replace(DRAFT, parts=("ROWAN-999",)),
        replace(DRAFT, vehicle="nobody's"),
        replace(DRAFT, joint="no such joint"),
    ],
)
def test_names_that_the_records_do_not_hold_are_refused(draft: Draft) -> None:
    with pytest.raises(UnknownNameError):
        checked(draft, demo())


@pytest.mark.parametrize(
    "size", ["ROWAN-902 3.16 in", "ROWAN-902, wing: span = 3 in", "ROWAN-902, stub end: span = 3 in",
             "ROWAN-902, stub end: length = three"],
)  # fmt: skip
def test_readings_that_cannot_be_taken_are_refused(size: str, tmp_path: Path) -> None:
    with pytest.raises((NoteRefused, UnknownNameError)):
        add_note(tmp_path, replace(DRAFT, sizes=(size,)), demo)
    assert note_files(tmp_path) == []


def test_a_note_is_a_statement_of_its_member(tmp_path: Path) -> None:
    name = add_note(tmp_path, replace(DRAFT, date="summer 2013", parts=("rowan 902",)), demo, "2026-01-02T03:04:05Z")
    assert name == "N26"
    text = note_files(tmp_path)[0].read_text(encoding="utf-8")
    for said in (
        "<http://www.w3.org/ns/prov#wasAttributedTo> <https://knockon.example/id/members/m080>",
        '"2026-01-02T03:04:05Z"^^<http://www.w3.org/2001/XMLSchema#dateTime>',
        '"2013-06/2013-08"^^<http://id.loc.gov/datatypes/edtf/EDTF>',
        '"summer 2013"',
        "<https://knockon.example/id/parts/ROWAN-902>",
    ):
        assert said in text
    assert text.splitlines() == sorted(text.splitlines())


def test_provenance_is_said_of_notes_only() -> None:
    member = ox.NamedNode("https://knockon.example/vocab#member")
    source = ox.Quad(ox.NamedNode("https://knockon.example/id/sources/N1"), member, ox.Literal("m1"))
    assert list(provenance_of([source])) == []


def names(wanted: Wanted) -> Iterator[str]:
    return (n.note for n in list_notes(demo(), wanted).notes)


def test_failures_come_first() -> None:
    outcomes = [n.outcome for n in list_notes(demo(), Wanted()).notes]
    order = ["failed", "measured", "made to fit", "worked", "told"]
    assert [order.index(o) for o in outcomes] == sorted(order.index(o) for o in outcomes)
    assert len(outcomes) == 25


def test_notes_are_found_by_what_they_are_about() -> None:
    assert {"N02", "N03"} <= set(names(Wanted(part="ALDER-212")))
    assert "N15" in names(Wanted(vehicle="tansy-m080"))
    assert set(names(Wanted(position="lower ball pin"))) >= {"N06", "N07"}
    assert list(names(Wanted(member="m055"))) == ["N19"]
    assert set(names(Wanted(outcome="made to fit"))) == {"N25"}


def test_a_note_on_a_set_is_found_at_each_position_that_the_set_fills() -> None:
    catalogue = world(with_rows("notes.csv", "N2,2021,m2,all went on,PAIR-25,,worked,N1"))
    places = ("axle", "hub", "stud", "cap")
    found = {p: [n.note for n in list_notes(catalogue, Wanted(position=p)).notes] for p in places}
    assert [p for p in places if "N2" in found[p]] == ["hub", "cap"]


def test_a_note_shows_what_it_read_once_and_not_on_what_only_shares_the_drawing() -> None:
    catalogue = world(with_rows("features/register_bore.csv", "HUB-25L,bore,25.02 mm,N1"))
    (note,) = list_notes(catalogue, Wanted()).notes
    assert note.readings == ("HUB-25L, bore: diameter = 25.02 mm",)


def test_what_a_note_contradicts_is_said_with_its_dimension_or_that_the_feature_is_there() -> None:
    """The book states the bore of 25 mm; a note says another size, or that there is no bore."""
    for written, said in (
        ("26 mm", "Contradicts what is recorded: bore: diameter 25 mm, not 26 mm (book, drawing)."),
        ("absent", "Contradicts what is recorded: bore recorded, not absent (book, drawing)."),
    ):
        catalogue = world(with_rows("features/register_bore.csv", f"HUB-25L,bore,{written},N1"))
        (note,) = list_notes(catalogue, Wanted()).notes
        assert list(added_lines(note, (), contradicted_by(catalogue, "N1"))) == [said]


@pytest.mark.parametrize("wanted", [Wanted(part="x"), Wanted(vehicle="x"), Wanted(position="x"), Wanted(outcome="x")])
def test_a_filter_that_names_nothing_is_an_error(wanted: Wanted) -> None:
    with pytest.raises(UnknownNameError):
        list_notes(demo(), wanted)


@pytest.mark.parametrize("member", ["m080", "JM", "J.M.", "Jö", "m-2", "7"])
def test_initials_and_numbers_are_members(member: str) -> None:
    assert checked(replace(DRAFT, member=f" {member} "), demo()).member == member


def test_a_text_may_have_lines(tmp_path: Path) -> None:
    add_note(tmp_path, replace(DRAFT, text="first\n\tsecond"), demo)
    assert '"first\\n\\tsecond"' in note_files(tmp_path)[0].read_text(encoding="utf-8")


def test_names_in_a_reading_may_be_written_in_any_case(tmp_path: Path) -> None:
    add_note(tmp_path, replace(DRAFT, sizes=("rowan 902, Stub End: Length = 3.16 in",)), demo)
    assert "<https://knockon.example/id/features/ROWAN-902/stub%20end>" in note_files(tmp_path)[0].read_text("utf-8")


def test_a_note_may_say_that_a_feature_is_absent(tmp_path: Path) -> None:
    add_note(tmp_path, replace(DRAFT, sizes=("ALDER-201L, caliper lugs: bolt pitch = absent",)), demo)
    text = note_files(tmp_path)[0].read_text(encoding="utf-8")
    assert 'vocab#knownAbsent> "true"' in text and '"absent"' not in text


def test_each_size_of_the_wish_list_can_be_given_by_a_note() -> None:
    """What the program asks to be measured, it takes when it has been measured: its thing, feature and dimension."""
    catalogue = demo()
    for wish in wish_list(catalogue, 0).wishes:
        _, thing = bearer_of(wish.thing, catalogue)
        feature, kind = feature_of(thing, wish.feature, catalogue)
        assert feature == wish.feature
        assert wish.dimension in {c.name for c in catalogue.vocabulary.kinds[kind].columns}, wish


def test_a_measured_note_that_states_no_size_says_that_it_stands_in_its_text_only() -> None:
    """A size or that a feature is not there: either is stated as a size is."""
    measured = [f"{n},2020,m2,measured it,HUB-25L,hub on axle,measured,{n}" for n in ("SIZED", "LACKING", "TOLD")]
    spigots = ("HUB-25L,boss,30 mm,SIZED", "HUB-20L,boss,absent,LACKING")
    sources = [f"{n},a note,worn,m2" for n in ("SIZED", "LACKING", "TOLD")]
    tables = ("notes.csv", measured), ("features/spigot.csv", spigots), ("sources.csv", sources)
    catalogue = world({name: text for table, rows in tables for name, text in with_rows(table, *rows).items()})
    told = [b.text for b in note_blocks(catalogue, (), beside=("SIZED", "LACKING", "TOLD")) if isinstance(b, Para)]
    assert [t.split()[0] for t in told if TEXT_ONLY in t] == ["TOLD"] and len(told) == 3
