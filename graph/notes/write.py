"""Adding and withdrawing notes: one new file each under ``notes/``, so that nothing that was written is ever changed.

Each note is one file of sorted N-Quads, a withdrawal a file of its own beside it. A name counts on from those in the
folder, so two copies of one folder may both give the next one: what two people keep apart is shared and merged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from urllib.parse import quote

import msgspec
import pyoxigraph as ox
from msgspec.structs import asdict

from knockon.graph.files.atomic import AlreadyThere, sole_writer, write_whole
from knockon.graph.files.rdf_files import NOTES, note_files
from knockon.graph.judge.usual_sizes import usual_sizes
from knockon.graph.model import names
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import VOCAB
from knockon.graph.model.things import STANDINGS, Note
from knockon.graph.notes.photographs import Photograph, keep
from knockon.graph.notes.readings import (
    ON_THE_ITEM,
    NoteRefused,
    Reading,
    names_a_thing,
    readings_of,
    said_in,
)
from knockon.graph.quantity import no_such_day
from knockon.graph.rdf.canonical import to_bytes
from knockon.graph.rdf.provenance import DATE_TIME, GENERATED, INVALIDATED, TYPE, WITHDRAWN, provenance_of
from knockon.graph.tables.files import read_table
from knockon.graph.tables.stated import ABSENT, TRUE
from knockon.graph.triples.datatypes import cell_literal

OUTCOMES = ("worked", "failed", "made to fit", "measured", "told")
LONGEST_TEXT, LONGEST_LINE = 20_000, 500
_MEMBER = re.compile(r"\w(?:[\w.-]{0,14}[\w.])?")


class Draft(msgspec.Struct, frozen=True):
    """What a member has to say. ``sizes`` are readings, ``PART, FEATURE: DIMENSION = VALUE``, as written; where PART
    stands a PLACE of the vehicle or an ITEM may stand. ``as_read``: also a size that is far from the usual ones.
    ``photographs``: the names under which they are kept."""

    member: str
    text: str
    parts: tuple[str, ...] = ()
    vehicle: str = ""
    condition: str = ""
    outcome: str = ""
    date: str = ""
    evidence: str = ""
    joint: str = ""
    work_done: str = ""
    standing: str = ""
    licence: str = ""
    sizes: tuple[str, ...] = ()
    as_read: bool = False
    photographs: tuple[str, ...] = ()


def now() -> str:
    """The time of writing, in UTC, to the second."""
    return datetime.now(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def add_note(
    folder: Path,
    draft: Draft,
    read: Callable[[], Catalogue],
    written_at: str = "",
    *,
    beside: Sequence[ox.Quad] = (),
    before: Callable[[], None] | None = None,
    photographs: Sequence[Photograph] = (),
) -> str:
    """Write a note and give its name. ``read`` reads the records.

    What is to be written is worked out before other writers are held off; the name is taken while they are.
    ``beside``: statements written in the same file; ``before`` looks once more, while others are held off.
    ``photographs`` that the draft does not name yet are kept beside the records, before the note stands. Raises
    NoteRefused for what cannot be meant, UnknownNameError for a part, vehicle or joint that the records do not
    hold, NotWritten when nothing could be written.
    """
    catalogue = read()
    named = (*draft.photographs, *(p.name for p in photographs))
    draft = checked(msgspec.structs.replace(draft, photographs=named), catalogue)
    vehicle = catalogue.vehicles.get(draft.vehicle)
    stated = None if draft.as_read else usual_sizes(folder)
    readings = list(readings_of(draft.sizes, vehicle, draft.standing, catalogue, draft.as_read, stated))
    by_notes = {n.source for n in catalogue.notes.values()} | {""}
    in_tables = frozenset(i.item for i in catalogue.items.values() if i.source not in by_notes)
    known = {*catalogue.notes, *catalogue.sources}
    with sole_writer(folder):
        if before is not None:
            before()
        taken = {*known, *_named_in_tables(folder), *(p.name.split(".")[0] for p in note_files(folder))}
        name = _next_name(taken)
        quads = quads_of(name, draft, readings, written_at or now(), in_tables)
        content = to_bytes([*quads, *beside], "nq")
        keep(folder, photographs)
        write_whole(folder / NOTES / f"{name}.nq", content, only_new=True)
    return name


def put_in_place_of(
    folder: Path,
    old: Sequence[str],
    draft: Draft,
    by: str,
    why: str,
    read: Callable[[], Catalogue],
    written_at: str = "",
    photographs: Sequence[Photograph] = (),
) -> str:
    """Write a note that says what others should have said, and withdraw these, in one file: all stands, or nothing.

    Gives the new note's name. Raises as ``add_note`` and ``withdraw_note`` do.
    """
    when = written_at or now()
    catalogue = read()
    notes: list[Note] = [catalogue.find("note", name) for name in old]
    taken_back = [quad for note in notes for quad in _taken_back(note, by, why, when)]
    said = {f"{q.subject} {WITHDRAWN} ".encode() for q in taken_back}

    def still_stand() -> None:
        lines = (line for path in note_files(folder) for line in path.read_bytes().splitlines())
        if any(line.startswith(tuple(said)) for line in lines):
            raise NoteRefused(f"note {notes[0].note} is withdrawn already")

    return add_note(
        folder, draft, lambda: catalogue, when, beside=taken_back, before=still_stand, photographs=photographs
    )


def _taken_back(note: Note, member: str, why: str, when: str) -> list[ox.Quad]:
    """The statements that withdraw a note. Raises NoteRefused."""
    if ": " in note.note:
        raise NoteRefused(f"note {note.note} is another club's. Leave it out with --without, or ask that club")
    if not member.strip():
        raise NoteRefused("the member is missing. Give the initials of the member who withdraws the note")
    check_member(member.strip())
    _check_characters(Draft(member, "", condition=why))
    graph = ox.NamedNode(names.source_graph(note.source))
    node = ox.NamedNode(names.iri("notes", note.note))
    told = f"{when[:10]}, {member.strip()}" + (f": {why.strip()}" if why.strip() else "")
    return [
        ox.Quad(node, WITHDRAWN, ox.Literal(told), graph),
        ox.Quad(node, INVALIDATED, ox.Literal(when, datatype=DATE_TIME), graph),
    ]


def _named_in_tables(folder: Path) -> Iterator[str]:
    """The names of notes and sources in the tables as they stand now."""
    for name in ("notes", "sources"):
        table = read_table(folder / f"{name}.csv", f"{name}.csv", [], folder)
        column = name.removesuffix("s")
        if table is not None and column in table.header:
            at = table.header.index(column)
            yield from (cells[at] for _, cells in table.rows)


def withdraw_note(
    folder: Path, name: str, member: str, why: str, read: Callable[[], Catalogue], written_at: str = ""
) -> Note:
    """Mark a note as withdrawn; it stays in the records and no longer counts. Gives the note.

    Raises NoteRefused where it is withdrawn already, UnknownNameError, NotWritten.
    """
    if _withdrawal(name) in {p.name for p in note_files(folder)}:
        raise NoteRefused(f"note {name} is withdrawn already")
    note: Note = read().find("note", name)
    quads = _taken_back(note, member, why, written_at or now())
    with sole_writer(folder):
        try:
            write_whole(folder / NOTES / _withdrawal(note.note), to_bytes(quads, "nq"), only_new=True)
        except AlreadyThere as error:
            raise NoteRefused(f"note {note.note} is withdrawn already") from error
    return note


def _withdrawal(name: str) -> str:
    """The file of a note's withdrawal; a name in one's own tables may hold anything, also a slash."""
    return f"{quote(name, safe='')}.withdrawn.nq"


def checked(draft: Draft, catalogue: Catalogue) -> Draft:
    """The draft with names as the records spell them. Raises NoteRefused, UnknownNameError."""
    for label, text in (("member", draft.member), ("text", draft.text)):
        if not text.strip():
            raise NoteRefused(f"the note has no {label}")
    check_member(draft.member.strip())
    if len(draft.text) > LONGEST_TEXT:
        raise NoteRefused(f"the text has {len(draft.text)} characters. Write at most {LONGEST_TEXT}")
    _check_characters(draft)
    why = no_such_day(draft.date)
    if why:
        raise NoteRefused(f"{draft.date!r} is no date: {why}. Write the day as in 2026-02-28, or the month or year")
    for label, text, known in (("outcome", draft.outcome, OUTCOMES), ("standing", draft.standing, STANDINGS)):
        if text and text not in known:
            raise NoteRefused(f"{text!r} is not a known {label}. Write one of {', '.join(known)}")
    if draft.outcome == "made to fit" and not draft.work_done.strip():
        raise NoteRefused("the work is missing. Say with --work-done what made it fit")
    return Draft(
        member=draft.member.strip(),
        text=draft.text.strip(),
        parts=tuple(dict.fromkeys(catalogue.find("part", p).part for p in draft.parts)),
        vehicle=catalogue.find("vehicle", draft.vehicle).vehicle if draft.vehicle else "",
        condition=draft.condition.strip(),
        outcome=draft.outcome,
        date=draft.date.strip(),
        evidence=draft.evidence.strip(),
        joint=_check_name(draft.joint.strip(), catalogue),
        work_done=draft.work_done.strip(),
        standing=draft.standing or standing_of(draft, catalogue),
        licence=draft.licence.strip(),
        sizes=draft.sizes,
        as_read=draft.as_read,
        photographs=tuple(sorted(dict.fromkeys(draft.photographs))),
    )


def check_member(member: str) -> None:
    """Refuse what is no initials and no member number: notes go to other clubs, and names are not theirs to know.

    Raises NoteRefused.
    """
    if member and not _MEMBER.fullmatch(member):
        raise NoteRefused(
            f"{member!r:.60} is not a member. Write initials or a member number of at most 16 letters and digits"
        )


def _check_characters(draft: Draft) -> None:
    """Refuse control characters, and lines beyond measure in all but the text."""
    texts = {k: v for k, v in asdict(draft).items() if not isinstance(v, bool)}
    for label, text in texts.items():
        for line in (text,) if isinstance(text, str) else text:
            strange = next((c for c in line if not c.isprintable() and not (label == "text" and c in "\n\t")), "")
            if strange:
                raise NoteRefused(f"the {label.replace('_', ' ')} contains a control character ({strange!r})")
            if label != "text" and len(line) > LONGEST_LINE:
                raise NoteRefused(
                    f"the {label.replace('_', ' ')} has {len(line)} characters. Write at most {LONGEST_LINE}"
                )


def standing_of(draft: Draft, catalogue: Catalogue) -> str:
    """The standing of a note whose writer names none: readings on particular things are on the item, a reading on a
    number counts as worn, a report of use as hearsay."""
    vehicle = catalogue.find("vehicle", draft.vehicle) if draft.vehicle else None
    if draft.sizes and all(names_a_thing(said_in(size), vehicle, catalogue) for size in draft.sizes):
        return ON_THE_ITEM
    return "worn" if draft.outcome == "measured" or draft.sizes else "hearsay"


def _check_name(wanted: str, catalogue: Catalogue) -> str:
    known = {j.joint for layout in catalogue.layouts.values() for j in layout.joints}
    known |= {f.figure for layout in catalogue.layouts.values() for f in layout.figures}
    found = {k.casefold(): k for k in sorted(known)}.get(wanted.casefold())
    if wanted and found is None:
        raise UnknownNameError("joint or figure", wanted, nearest(wanted, known))
    return found or ""


def _next_name(taken: Iterable[str]) -> str:
    numbers = [int(m[1]) for n in taken if (m := re.fullmatch(r"N(\d{1,9})", n))]
    return f"N{max(numbers, default=0) + 1:02}"


def quads_of(
    name: str, draft: Draft, readings: Sequence[Reading], when: str, tables: frozenset[str] = frozenset()
) -> list[ox.Quad]:
    """All statements of a note; ``tables``: the things that a table names, which it need not name again."""
    graph = ox.NamedNode(names.source_graph(name))
    note = ox.NamedNode(names.iri("notes", name))
    row = [ox.Quad(note, TYPE, ox.NamedNode(VOCAB + "Note"), graph)]
    texts = {"note": name, "date": draft.date, "member": draft.member, "condition": draft.condition}
    texts |= {"text": draft.text, "joint": draft.joint, "outcome": draft.outcome}
    texts |= {"workDone": draft.work_done, "evidence": draft.evidence}
    row += [ox.Quad(note, ox.NamedNode(VOCAB + k), ox.Literal(v), graph) for k, v in texts.items() if v]
    row += [ox.Quad(note, ox.NamedNode(VOCAB + "photographs"), ox.Literal(p), graph) for p in draft.photographs]
    things = [("parts", names.iri("parts", p)) for p in draft.parts] + [("source", names.iri("sources", name))]
    things += [("vehicle", names.iri("vehicles", draft.vehicle))] if draft.vehicle else []
    row += [ox.Quad(note, ox.NamedNode(VOCAB + k), ox.NamedNode(v), graph) for k, v in things]
    row += [ox.Quad(note, GENERATED, ox.Literal(when, datatype=DATE_TIME), graph)]
    return [
        *row,
        *provenance_of(row),
        *_source_row(name, draft),
        *_items(name, readings, tables),
        *_sizes(readings, graph),
    ]


def _source_row(name: str, draft: Draft) -> Iterator[ox.Quad]:
    source, graph = ox.NamedNode(names.iri("sources", name)), ox.NamedNode(names.RECORDS_GRAPH)
    texts = {"source": name, "title": f"Note {name}", "standing": draft.standing, "member": draft.member}
    texts |= {"date": draft.date, "licence": draft.licence}
    yield ox.Quad(source, TYPE, ox.NamedNode(VOCAB + "Source"), graph)
    for key, value in texts.items():
        if value:
            yield ox.Quad(source, ox.NamedNode(VOCAB + key), ox.Literal(value), graph)


def _items(name: str, readings: Sequence[Reading], tables: frozenset[str]) -> Iterator[ox.Quad]:
    """The names that things get as they are read: each note brings its own, so that any may be withdrawn.

    They name no source: a thing that is read twice would have two, and has one. Their graph says where they come from.
    ``tables``: the things that a table names, which no note need name again.
    """
    graph = ox.NamedNode(names.source_graph(name))
    for item in dict.fromkeys(r.item for r in readings if r.item and r.item.vehicle and r.item.item not in tables):
        node = ox.NamedNode(names.iri("items", item.item))
        yield ox.Quad(node, TYPE, ox.NamedNode(VOCAB + "Item"), graph)
        texts = {"item": item.item, "title": item.title, "position": item.position, "side": item.side}
        yield from (ox.Quad(node, ox.NamedNode(VOCAB + k), ox.Literal(v), graph) for k, v in texts.items() if v)
        things = {"vehicle": names.iri("vehicles", item.vehicle)}
        if item.part:
            things["part"] = names.iri("set_members" if item.member else "parts", item.member or item.part)
        yield from (ox.Quad(node, ox.NamedNode(VOCAB + k), ox.NamedNode(v), graph) for k, v in things.items())


def _sizes(readings: Sequence[Reading], graph: ox.NamedNode) -> Iterator[ox.Quad]:
    for reading in readings:
        yield from _size(reading, graph)


def _size(reading: Reading, graph: ox.NamedNode) -> Iterator[ox.Quad]:
    node = ox.NamedNode(names.iri("features", reading.thing, reading.feature))
    yield ox.Quad(node, TYPE, ox.NamedNode(reading.kind), graph)
    yield ox.Quad(node, ox.NamedNode(VOCAB + "of"), ox.NamedNode(reading.bearer), graph)
    yield ox.Quad(node, ox.NamedNode(VOCAB + "featureName"), ox.Literal(reading.feature), graph)
    if reading.path == ABSENT.value:
        yield ox.Quad(node, ABSENT, TRUE, graph)
        return
    yield ox.Quad(node, ox.NamedNode(reading.path), cell_literal(reading.datatype, reading.written), graph)
