"""Readings corrected and taken back: those of notes, and those of imported sheets; nothing that was said is lost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date as calendar
from pathlib import Path

import msgspec

from knockon.graph.files.atomic import NotWritten
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import Note, Said, Statement, Vehicle
from knockon.graph.notes.readings import ON_THE_ITEM, NoteRefused
from knockon.graph.notes.write import Draft, put_in_place_of, withdraw_note
from knockon.graph.quarantine import read_kept
from knockon.graph.records import RecordsError
from knockon.queries.club.notes import ReadingShown, readings_by_source
from knockon.queries.intake.readings.in_tables import InTable, cells_of, take_back
from knockon.queries.intake.readings.measured import Ready, Typed, draft_of, is_on_it, reader, statements_on
from knockon.queries.intake.readings.subjects import Subject, named


class TakenBack(msgspec.Struct, frozen=True):
    """What was taken back: the ``notes`` that were withdrawn, and the ``cells`` of imported sheets that count no more;
    ``note``: the one that says so, or says again what else these notes state (blank: none does)."""

    note: str
    notes: tuple[str, ...]
    cells: tuple[InTable, ...]


def correct_readings(folder: Path, catalogue: Catalogue, ready: Ready, typed: Typed) -> TakenBack:
    """Write readings in the place of those that stand on the same things.

    What else the notes before state is said again. A reading of an imported sheet counts no more, and the note says
    where it stands. Raises NoteRefused where none stands, or not in a note or a sheet of one's own.
    """
    old, cells = _standing_in(folder, catalogue, ready.subjects)
    rest = _rest(catalogue, old, ready.subjects)
    draft = draft_of(ready, typed)
    shown_too = tuple(p for n in old for p in n.photographs) if rest else ()
    text = "; ".join((draft.text, *_of_sheets(cells)))
    draft = msgspec.structs.replace(draft, text=text, sizes=(*draft.sizes, *rest), photographs=shown_too)
    name = put_in_place_of(
        folder,
        [n.note for n in old],
        draft,
        draft.member,
        "corrected",
        lambda: catalogue,
        photographs=typed.photographs,
    )
    _take_back(folder, cells, name)
    return TakenBack(name, tuple(n.note for n in old), cells)


def _of_sheets(cells: Sequence[InTable]) -> Iterator[str]:
    """What a note says of readings of sheets that it takes the place of."""
    yield from (f"instead of {cell.written} ({cell})" for cell in cells)


def _take_back(folder: Path, cells: Sequence[InTable], note: str) -> None:
    """Let the cells of sheets count no more, after the note that says so. Raises NoteRefused where they still do."""
    try:
        if cells:
            take_back(folder, cells)
    except (RecordsError, NotWritten) as error:
        raise NoteRefused(f"note {note} is written, but what the sheet said still counts: {error}") from error


def withdraw_readings(
    folder: Path, catalogue: Catalogue, vehicle: Vehicle, subjects: Sequence[Subject], by: str
) -> TakenBack:
    """Take back the readings of these sizes. Raises as ``correct_readings`` does."""
    old, cells = _standing_in(folder, catalogue, subjects)
    rest = _rest(catalogue, old, subjects)
    member = by or reader(vehicle)
    names = tuple(n.note for n in old)
    if not rest and not cells:
        for note in names:
            withdraw_note(folder, note, member, "withdrawn", lambda: catalogue)
        return TakenBack("", names, ())
    draft = _said_again(old[0], vehicle, member) if rest else _only_withdrawn(vehicle, subjects, member)
    draft = msgspec.structs.replace(
        draft,
        text="; ".join((draft.text, *_of_sheets(cells))) if rest else draft.text + ", ".join(map(_said_in, cells)),
        sizes=rest,
        photographs=tuple(p for n in old for p in n.photographs) if rest else (),
    )
    name = put_in_place_of(folder, names, draft, member, "a reading withdrawn", lambda: catalogue)
    _take_back(folder, cells, name)
    return TakenBack(name, names, cells)


def _said_in(cell: InTable) -> str:
    return f"{cell.written} ({cell})"


def _only_withdrawn(vehicle: Vehicle, subjects: Sequence[Subject], member: str) -> Draft:
    """A note that says only which readings of a sheet count no more."""
    return Draft(
        member=member,
        text=f"Taken back, {', '.join(map(str, subjects))}: ",
        vehicle=vehicle.vehicle,
        outcome="told",
        date=calendar.today().isoformat(),
    )


def _said_again(first: Note, vehicle: Vehicle, member: str) -> Draft:
    """A note that says again what else a note states of which a reading is taken back."""
    return Draft(
        member=first.member or member,
        text=first.text,
        parts=first.parts,
        vehicle=first.vehicle or vehicle.vehicle,
        condition=first.condition,
        outcome=first.outcome,
        date=first.date,
        evidence=first.evidence,
        joint=first.joint,
        work_done=first.work_done,
        standing=ON_THE_ITEM,
        as_read=True,
    )


def _standing_in(
    folder: Path, catalogue: Catalogue, subjects: Sequence[Subject]
) -> tuple[list[Note], tuple[InTable, ...]]:
    """The notes that state these readings on their things, and the cells of imported sheets. Raises NoteRefused."""
    found: dict[str, Note] = {}
    cells: list[InTable] = []
    by_source = {n.source: n for n in catalogue.notes.values()}
    for subject in subjects:
        sources = _read_in(catalogue, subject)
        if not sources:
            raise NoteRefused(f"nobody has recorded a reading of {subject} on this vehicle")
        found |= {s: by_source[s] for s in sources if s in by_source}
        others = [s for s in sources if s not in by_source]
        cells += _cells(folder, subject, others) if others else ()
    return list(found.values()), tuple(dict.fromkeys(cells))


def _cells(folder: Path, subject: Subject, sources: Sequence[str]) -> tuple[InTable, ...]:
    """The cells of imported sheets in which sources read a size. Raises NoteRefused for what nobody imported."""
    cells = cells_of(folder, subject, sources, read_kept(folder))
    by_hand = next((c for c in cells if not c.table), None)
    if by_hand is not None:
        raise NoteRefused(
            f"the reading of {subject} stands in a table of your own: {by_hand} says {by_hand.written!r}. Open that"
            " file and type the new size into this cell, or ? to take the reading back"
        )
    if not cells:
        said = ", ".join(sources)
        raise NoteRefused(
            f"the reading of {subject} is another club's (source {said}). Leave it out with --without, or ask that club"
        )
    return cells


def _read_in(catalogue: Catalogue, subject: Subject) -> list[str]:
    """The sources that read a size on the thing itself, or that its feature is not there."""
    feature = catalogue.features_of(subject.at.thing).get(subject.feature)
    sized = (s for said in statements_on(catalogue, subject).values() for s in said)
    said: Iterable[Statement | Said] = (*sized, *(feature.absent if feature else ()))
    return sorted({s.source for s in said if is_on_it(s) and not (isinstance(s, Statement) and s.unknown)})


def _rest(catalogue: Catalogue, notes: Sequence[Note], subjects: Sequence[Subject]) -> tuple[str, ...]:
    """The readings of notes without those of these subjects, as they are typed."""
    readings = readings_by_source(catalogue)
    gone = {(s.at.thing, s.feature, s.column.name) for s in subjects}
    gone |= {(s.at.thing, s.feature, "") for s in subjects}
    kept = [r for n in notes for r in readings.get(n.source, ()) if (r.thing, r.feature, r.dimension) not in gone]
    return tuple(dict.fromkeys(_as_typed(catalogue, r) for r in kept))


def _as_typed(catalogue: Catalogue, reading: ReadingShown) -> str:
    item = catalogue.items.get(reading.thing)
    placed = item is not None and item.vehicle and item.position
    place = Place(item.position, item.side) if item is not None and placed else Place(reading.thing)
    feature = catalogue.features_of(reading.thing)[reading.feature]
    dimension = reading.dimension or catalogue.vocabulary.kinds[feature.kind].columns[0].name
    return f"{named(place, reading.feature, dimension)} = {reading.written}"
