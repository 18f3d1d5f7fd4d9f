"""Notes: has anyone done this, and what went wrong? Filtered, failures first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from knockon.graph.catalogue import Catalogue, UnknownNameError
from knockon.graph.model import Layout, Note
from knockon.graph.nearest import nearest
from knockon.graph.notes.provenance import read_when

OUTCOME_ORDER = {"failed": 0, "measured": 1, "made to fit": 2, "worked": 3, "told": 4}


@dataclass(frozen=True, slots=True)
class NoteShown:
    """A note as it was written. ``date_read`` is the date in EDTF (ISO 8601-2), blank where it cannot be read.

    ``withdrawn`` says when and by whom it was taken back; blank: it stands. ``same_as``: another note in the list that
    is the same in member, date and words (one's own, or the first by name): the same note in two clubs' files.
    """

    note: str
    date: str
    date_read: str
    member: str
    vehicle: str
    condition: str
    text: str
    parts: tuple[str, ...]
    joint: str
    outcome: str
    work_done: str
    says: str
    evidence: str
    source: str
    standing: str
    withdrawn: str = ""
    same_as: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which notes are wanted; what is blank filters nothing."""

    vehicle: str = ""
    part: str = ""
    position: str = ""
    outcome: str = ""
    member: str = ""


@dataclass(frozen=True, slots=True)
class NotesAnswer:
    """The notes found, failures first, then those with readings, then by outcome, date and name."""

    wanted: Wanted
    notes: tuple[NoteShown, ...]


def list_notes(catalogue: Catalogue, wanted: Wanted, withdrawn: Sequence[tuple[str, str]] = ()) -> NotesAnswer:
    """The notes that are wanted. ``withdrawn``: those taken back (still in ``catalogue``), and what was said then.

    Raises UnknownNameError for a vehicle, part, position or outcome that does not exist.
    """
    taken_back = dict(withdrawn)
    vehicles = _vehicles(catalogue, wanted.vehicle)
    numbers = _numbers(catalogue, wanted.part)
    joints, here = _at_position(catalogue, wanted.position)
    if wanted.outcome and wanted.outcome not in OUTCOME_ORDER:
        raise UnknownNameError("outcome", wanted.outcome, nearest(wanted.outcome, OUTCOME_ORDER))
    found = [
        n
        for n in catalogue.notes.values()
        if (not vehicles or n.vehicle in vehicles)
        and (not numbers or numbers & set(n.parts))
        and (not wanted.position or n.joint in joints or here & set(n.parts))
        and (not wanted.outcome or (n.outcome or "told") == wanted.outcome)
        and (not wanted.member or n.member == wanted.member)
    ]
    shown = [_shown(catalogue, n, taken_back.get(n.note, "")) for n in found]
    return NotesAnswer(wanted, tuple(sorted(_told_once(shown), key=_order)))


def _told_once(notes: Sequence[NoteShown]) -> Iterator[NoteShown]:
    """The notes, each copy of another one marked: the same note often stands in the files of several clubs."""
    first: dict[tuple[object, ...], str] = {}
    for note in sorted(notes, key=lambda n: (": " in n.note, n.note)):
        words = (note.member, note.date, note.text, note.parts, note.joint, note.outcome, bool(note.withdrawn))
        yield replace(note, same_as=first[words]) if words in first else note
        first.setdefault(words, note.note)


def _order(note: NoteShown) -> tuple[bool, int, str, str]:
    return bool(note.withdrawn), OUTCOME_ORDER.get(note.outcome, 4), note.date_read.lstrip("["), note.note


def _shown(catalogue: Catalogue, note: Note, withdrawn: str) -> NoteShown:
    source = catalogue.sources.get(note.source)
    return NoteShown(
        note.note, note.date, read_when(note.date), note.member, note.vehicle, note.condition, note.text, note.parts,
        note.joint, note.outcome, note.work_done, note.says, note.evidence, note.source,
        source.standing if source else "", withdrawn,
    )  # fmt: skip


def _vehicles(catalogue: Catalogue, name: str) -> set[str]:
    """The vehicle, and the model that it was made as."""
    if not name:
        return set()
    vehicle = catalogue.find("vehicle", name)
    return {vehicle.vehicle, vehicle.made_as} - {""}


def _numbers(catalogue: Catalogue, number: str) -> set[str]:
    """The part, its mirror, and those whose drawing it is or shares."""
    if not number:
        return set()
    part = catalogue.find("part", number)
    same = {p.part for p in catalogue.parts.values() if p.drawn_as == part.part}
    return {part.part, part.mirror_of, part.drawn_as, *same} - {""}


def _at_position(catalogue: Catalogue, name: str) -> tuple[set[str], set[str]]:
    """The joints and figures at a position, and the parts that may stand there."""
    if not name:
        return set(), set()
    known = {p.position for layout in catalogue.layouts.values() for p in layout.positions}
    wanted = {k.casefold(): k for k in sorted(known)}.get(name.casefold())
    if wanted is None:
        raise UnknownNameError("position", name, nearest(name, known))
    checks = {c for layout in catalogue.layouts.values() for c in _checks_at(layout, wanted)}
    return checks, set(_parts_at(catalogue, wanted))


def _checks_at(layout: Layout, position: str) -> Iterator[str]:
    yield from (j.joint for j in layout.joints if position in (j.position, j.other_position))
    yield from (f.figure for f in layout.figures if any(t.position == position for t in f.terms))


def _parts_at(catalogue: Catalogue, position: str) -> Iterator[str]:
    positions = [p for layout in catalogue.layouts.values() for p in layout.positions if p.position == position]
    for number, part in catalogue.parts.items():
        stands = any(catalogue.vocabulary.is_a(part.part_type, p.part_type) for p in positions)
        if stands or any(m.position == position for m in catalogue.set_members.get(number, ())):
            yield number
