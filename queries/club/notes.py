"""Notes: has anyone done this, and what went wrong? Filtered, failures first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue, UnknownNameError, name_meant
from knockon.graph.model.drawings import both_sides_of
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature, Note
from knockon.graph.notes.outcomes import OUTCOME_ORDER, outcome_rank
from knockon.graph.rdf.provenance import read_when
from knockon.queries.answers import Answer


class NoteShown(msgspec.Struct, frozen=True):
    """A note as it was written. ``date_read`` is the date in EDTF (ISO 8601-2), blank where it cannot be read.

    ``withdrawn`` says when and by whom it was taken back; blank: it stands. ``same_as``: another note in the list that
    is the same in all that it says (one's own, or the first by name): the same note in two clubs' files. ``readings``
    are the sizes that it states, ``THING, FEATURE: DIMENSION = VALUE``. ``photographs``: names of files in the folder
    ``photographs`` of the records, each made of the SHA-256 of its bytes.
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
    readings: tuple[str, ...] = ()
    photographs: tuple[str, ...] = ()


class ReadingShown(msgspec.Struct, frozen=True, order=True):
    """One size as a note states it; without a dimension: that the feature is not there."""

    thing: str
    feature: str
    dimension: str
    written: str

    def __str__(self) -> str:
        size = f"{self.dimension} = {self.written}" if self.dimension else self.written
        return f"{self.thing}, {self.feature}: {size}"


class Wanted(msgspec.Struct, frozen=True):
    """Which notes are wanted; what is blank filters nothing."""

    vehicle: str = ""
    part: str = ""
    position: str = ""
    outcome: str = ""
    member: str = ""


class NotesAnswer(Answer, frozen=True):
    """The notes found, failures first, then those with readings, then by outcome, date and name."""

    wanted: Wanted
    notes: tuple[NoteShown, ...]


def list_notes(catalogue: Catalogue, wanted: Wanted, withdrawn: Sequence[tuple[str, str]] = ()) -> NotesAnswer:
    """The notes that are wanted. ``withdrawn``: those taken back (still in ``catalogue``), and what was said then.

    Raises UnknownNameError for a vehicle, part, position or outcome that does not exist.
    """
    taken_back = dict(withdrawn)
    readings = readings_by_source(catalogue)
    about = {
        n.note: {*n.parts, *_numbers_read(catalogue, readings.get(n.source, ()))} for n in catalogue.notes.values()
    }
    vehicles = _vehicles(catalogue, wanted.vehicle)
    numbers = _numbers(catalogue, wanted.part)
    joints, here = _at_position(catalogue, wanted.position)
    if wanted.outcome and wanted.outcome not in OUTCOME_ORDER:
        raise UnknownNameError("outcome", wanted.outcome, nearest(wanted.outcome, OUTCOME_ORDER))
    found = [
        n
        for n in catalogue.notes.values()
        if (not vehicles or n.vehicle in vehicles)
        and (not numbers or numbers & about[n.note])
        and (not wanted.position or n.joint in joints or here & about[n.note])
        and (not wanted.outcome or (n.outcome or "told") == wanted.outcome)
        and (not wanted.member or n.member.casefold() == wanted.member.casefold())
    ]
    shown = [
        replace(_shown(catalogue, n, taken_back.get(n.note, "")), readings=tuple(map(str, readings.get(n.source, ()))))
        for n in found
    ]
    return NotesAnswer(wanted, tuple(sorted(_told_once(shown), key=_order)))


def _told_once(notes: Sequence[NoteShown]) -> Iterator[NoteShown]:
    """The notes, each copy of another one marked: the same note often stands in the files of several clubs.

    Two notes of one club are two notes. A copy has the same readings, or one of the two has none.
    """
    firsts: dict[tuple[object, ...], list[NoteShown]] = defaultdict(list)
    for note in sorted(notes, key=lambda n: (": " in n.note, n.note)):
        words = (
            note.member, note.date, note.condition, note.text, note.parts, note.joint, note.outcome, note.work_done,
            _unprefixed(note, note.vehicle), note.evidence, bool(note.withdrawn),
        )  # fmt: skip
        known = [n for n in firsts[words] if _club(n) != _club(note)]
        same = [n for n in known if _without_club(n) == _without_club(note)]
        same = same or [n for n in known if not n.readings or not note.readings]
        if not same:
            firsts[words].append(note)
        yield replace(note, same_as=same[0].note) if same else note


def _club(note: NoteShown) -> str:
    return note.note.rpartition(": ")[0]


def _unprefixed(note: NoteShown, name: str) -> str:
    """A club's own name for a thing, without the club's."""
    club, colon, _ = note.note.rpartition(": ")
    return name.removeprefix(club + colon)


def _without_club(note: NoteShown) -> tuple[str, ...]:
    """The readings with the names of a club's own things as that club writes them."""
    club, colon, _ = note.note.rpartition(": ")
    return tuple(r.removeprefix(club + colon) for r in note.readings) if colon else note.readings


def _order(note: NoteShown) -> tuple[bool, int, str, str]:
    return bool(note.withdrawn), outcome_rank(note.outcome), note.date_read.lstrip("["), note.note


def _shown(catalogue: Catalogue, note: Note, withdrawn: str) -> NoteShown:
    source = catalogue.sources.get(note.source)
    return NoteShown(
        note=note.note,
        date=note.date,
        date_read=read_when(note.date),
        member=note.member,
        vehicle=note.vehicle,
        condition=note.condition,
        text=note.text,
        parts=note.parts,
        joint=note.joint,
        outcome=note.outcome,
        work_done=note.work_done,
        says=note.says,
        evidence=note.evidence,
        source=note.source,
        standing=source.standing if source else "",
        withdrawn=withdrawn,
        photographs=note.photographs,
    )


def _vehicles(catalogue: Catalogue, name: str) -> set[str]:
    """The vehicle, and the model that it was made as."""
    if not name:
        return set()
    vehicle = catalogue.find("vehicle", name)
    return {vehicle.vehicle, vehicle.made_as} - {""}


def readings_by_source(catalogue: Catalogue) -> dict[str, tuple[ReadingShown, ...]]:
    """What each source reads on which thing, each once: not on what merely shares a drawing or a number."""
    things: dict[tuple[str, str, str, str], set[str]] = defaultdict(set)
    for thing, features in catalogue.features.items():
        for name, feature in features.items():
            for source, dimension, written in _said_of(feature):
                things[(source, name, dimension, written)].add(thing)
    found: dict[str, list[ReadingShown]] = defaultdict(list)
    for (source, name, dimension, written), bearers in things.items():
        first_hand = {t for t in bearers if not _takes_from(catalogue, t) & bearers} or bearers
        found[source] += [ReadingShown(thing, name, dimension, written) for thing in first_hand]
    return {source: tuple(sorted(readings)) for source, readings in found.items()}


def _said_of(feature: Feature) -> Iterator[tuple[str, str, str]]:
    """Source, dimension (a thread is one) and what was written; a blank dimension: the feature is not there."""
    for dimension, statements in feature.dimensions.items():
        yield from ((s.source, column_of(dimension), s.written) for s in statements if not s.of_number)
    yield from ((said.source, "", "absent") for said in feature.absent if not said.of_number)


def _takes_from(catalogue: Catalogue, thing: str) -> set[str]:
    """Whose features a thing has beside its own: its drawing's, the part's that a member is, the item's before work."""
    part, item = catalogue.parts.get(thing), catalogue.items.get(thing)
    members = catalogue.members_beside(thing)
    return {
        part.drawn_as if part else "",
        item.after_work_on if item else "",
        *(both_sides_of(m) for m in members),
        *(m.as_part for m in members),
    } - {"", thing}


def _numbers_read(catalogue: Catalogue, readings: Iterable[ReadingShown]) -> Iterator[str]:
    """The part numbers, sets and items that readings are about."""
    for reading in readings:
        item, members = catalogue.items.get(reading.thing), catalogue.members.get(reading.thing, ())
        yield from (reading.thing, *(m.set for m in members[:1]), *([item.part] if item else []))


def _numbers(catalogue: Catalogue, number: str) -> set[str]:
    """The part, its mirror, and those whose drawing it is or shares; of an item, the item."""
    if not number or number in catalogue.items:
        return {number} - {""}
    part = catalogue.find("part", number)
    same = {p.part for p in catalogue.parts.values() if p.drawn_as == part.part}
    return {part.part, part.mirror_of, part.drawn_as, *same} - {""}


def _at_position(catalogue: Catalogue, name: str) -> tuple[set[str], set[str]]:
    """The joints and figures at a position, and the parts that may stand there."""
    if not name:
        return set(), set()
    called = {p.position: p.also_called for layout in catalogue.layouts.values() for p in layout.positions}
    wanted = name_meant("position", name, called, called)
    checks = {c for layout in catalogue.layouts.values() for c in _checks_at(layout, wanted)}
    return checks, set(_parts_at(catalogue, wanted))


def _checks_at(layout: Layout, position: str) -> Iterator[str]:
    yield from (j.joint for j in layout.joints if any(e.position == position for e in j.ends))
    yield from (f.figure for f in layout.figures if any(t.position == position for t in f.terms))


def _parts_at(catalogue: Catalogue, position: str) -> Iterator[str]:
    positions = [p for layout in catalogue.layouts.values() for p in layout.positions if p.position == position]
    for number, part in catalogue.parts.items():
        stands = any(catalogue.vocabulary.is_a(part.part_type, p.part_type) for p in positions)
        if stands or any(m.position == position for m in catalogue.set_members.get(number, ())):
            yield number
