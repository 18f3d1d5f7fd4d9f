"""Readings written down as they are taken: each bound to the thing in its place, compared with what was expected, asked
back where it makes no sense; and taken back again.

A reading is a note (``graph/notes``): a file of its own, so that two people may write at once and nothing is lost. A
correction is one file too, which says the new reading and withdraws the old one.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date as calendar
from pathlib import Path

import msgspec

from knockon.graph.judge.beliefs import computing, share_a_value
from knockon.graph.judge.sense import Doubt, UsualSizes
from knockon.graph.judge.usual_sizes import Ranges
from knockon.graph.model.bound import named_in_place
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Said, Statement, Vehicle
from knockon.graph.notes.photographs import Photograph
from knockon.graph.notes.readings import ON_THE_ITEM, NoteRefused
from knockon.graph.notes.write import Draft, add_note, check_member
from knockon.graph.quantity import DATATYPES, CellError, Quantity, read_cell
from knockon.graph.tables.cells import BadCellError, read_size
from knockon.queries.as_typed import RequestError, fold
from knockon.queries.fits.checking.size_names import WrittenSize
from knockon.queries.intake.readings.subjects import NotOne, Subject, subject_of
from knockon.queries.intake.readings.tools import tool_for, with_its_tool

NOBODY = "unnamed"
"""The member of a reading of which nobody says who took it, of a vehicle whose owner is not recorded."""
ABSENT = ("absent", "none", "none there", "not there", "missing")
AS_EXPECTED, OTHERWISE, NOT_EXPECTED = "as expected", "otherwise", "nothing expected"
READ = "Read on the vehicle"


class Taken(msgspec.Struct, frozen=True):
    """One reading: which size of which ``thing``, as it is kept; the tool whose ± it has (blank: as written).

    ``expected`` is what the records said before, with what is said of the comparison; ``differs`` the reading less the
    expected size, middle to middle, in ``unit`` (None: no sizes to compare). ``against``: readings on this very thing
    that contradict it, by their sources. ``both_sides``: the place holds the things of both sides.
    """

    what: str
    place: Place
    thing: str
    feature: str
    dimension: str
    written: str
    tool: str = ""
    expected: tuple[WrittenSize, ...] = ()
    compared: str = NOT_EXPECTED
    differs: float | None = None
    unit: str = ""
    against: tuple[str, ...] = ()
    both_sides: bool = False


class AskedBack(msgspec.Struct, frozen=True):
    """A reading outside the usual sizes, which is not written: what is usual, in ``unit``, and what may be meant."""

    what: str
    written: str
    kind: str
    dimension: str
    low: float
    high: float
    unit: str
    offered: tuple[str, ...]


class Typed(msgspec.Struct, frozen=True):
    """Readings as they are typed: pairs of what was read and the reading; by whom, with what, when.

    ``as_read``: also what is far from the usual sizes. ``photographs`` show them.
    """

    pairs: tuple[tuple[str, str], ...]
    tool: str = ""
    by: str = ""
    date: str = ""
    as_read: bool = False
    photographs: tuple[Photograph, ...] = ()


class Ready(msgspec.Struct, frozen=True):
    """Readings that can be written: their subjects, how they are kept, and what is asked back instead."""

    vehicle: Vehicle
    subjects: tuple[Subject, ...]
    taken: tuple[Taken, ...]
    asked: tuple[AskedBack, ...] = ()


def read_typed(catalogue: Catalogue, vehicle_name: str, typed: Typed, stated: Ranges | None = None) -> Ready:
    """What was typed, understood and compared with the records; ``stated``: the usual sizes of a records folder, where
    it states its own. Raises RequestError, UnknownNameError."""
    _check_date(typed.date)
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    every = (f for own in catalogue.features.values() for f in own.values())
    usual = UsualSizes.of(every, catalogue.vocabulary, stated=stated)
    subjects, taken, asked = [], [], []
    for what, value in typed.pairs:
        subject = _one(catalogue, vehicle, what, value)
        sizes = _sizes(subject, value)
        doubt = usual.doubt(subject.kind, subject.column, value, sizes) if sizes and not typed.as_read else None
        if doubt is not None:
            asked.append(_asked_back(str(subject), doubt))
        subjects.append(subject)
        taken.append(_taken(catalogue, subject, value, sizes, typed.tool))
    return Ready(vehicle, tuple(subjects), tuple(taken), tuple(asked))


def _check_date(written: str) -> None:
    """Raises RequestError for what is no date."""
    if written:
        try:
            read_cell(written, "date")
        except CellError as error:
            raise RequestError(f"--date: {error}") from error


def _one(catalogue: Catalogue, vehicle: Vehicle, what: str, value: str) -> Subject:
    try:
        return subject_of(catalogue, vehicle, what)
    except NotOne as error:
        fitting = [
            s for s in (_meant(catalogue, vehicle, m) for m in error.meant) if s is not None and _can_be(s, value)
        ]
        if len(fitting) == 1:
            return fitting[0]
        raise NotOne(what, [f'{m}" "{value}' for m in error.meant]) from error


def _meant(catalogue: Catalogue, vehicle: Vehicle, what: str) -> Subject | None:
    try:
        return subject_of(catalogue, vehicle, what)
    except (RequestError, UnknownNameError):
        return None


def _can_be(subject: Subject, value: str) -> bool:
    """Whether a value can be read as this size: ``1:8`` is a taper and no diameter."""
    try:
        return bool(_sizes(subject, value)) and not all(q.unknown for q in _sizes(subject, value).values())
    except RequestError:
        return False


def _sizes(subject: Subject, value: str) -> Mapping[str, Quantity]:
    """A reading as its column reads it, nothing where the feature is not there. Raises RequestError."""
    if _is_absent(value):
        return {}
    try:
        return read_size(subject.column, value)
    except CellError as error:
        raise RequestError(f"{subject}: {error}") from error
    except BadCellError as error:
        raise RequestError(f"{subject}: {value!r} is {error.problem}. Enter {error.expected}") from error


def _is_absent(value: str) -> bool:
    return fold(value) in ABSENT


def _asked_back(what: str, doubt: Doubt) -> AskedBack:
    return AskedBack(
        what=what,
        written=doubt.written,
        kind=doubt.kind,
        dimension=doubt.dimension,
        low=doubt.low,
        high=doubt.high,
        unit=doubt.unit,
        offered=doubt.offered,
    )


def _taken(catalogue: Catalogue, subject: Subject, value: str, sizes: Mapping[str, Quantity], named_tool: str) -> Taken:
    tool = tool_for(catalogue.vocabulary, subject.kind, subject.column, named_tool)
    unit = catalogue.vocabulary.shown_unit(subject.kind, subject.column.name)
    written = with_its_tool(value.strip(), sizes, DATATYPES[subject.column.datatype], tool, unit) if sizes else "absent"
    before = statements_on(catalogue, subject)
    on_it = [s for said in before.values() for s in said if is_on_it(s)]
    own = [s.source for s in on_it if not _agrees(s, before, sizes)]
    item = named_in_place(catalogue.things, subject.at)
    compared, differs = _compared(before, sizes)
    return Taken(
        what=str(subject),
        place=subject.place,
        thing=item.item,
        feature=subject.feature,
        dimension=subject.column.name,
        written=written,
        tool=tool.name if tool is not None and (written != value.strip() or named_tool) else "",
        expected=expected_of(catalogue, subject),
        compared=compared,
        differs=differs,
        unit=unit if differs is not None else "",
        against=tuple(dict.fromkeys(own)),
        both_sides=bool(subject.one_of_several),
    )


def statements_on(catalogue: Catalogue, subject: Subject) -> dict[str, tuple[Statement, ...]]:
    """What is recorded of the column, by its part (``major`` of a thread; blank: the whole)."""
    feature = catalogue.features_of(subject.at.thing).get(subject.feature)
    found = feature.dimensions.items() if feature else ()
    return {d.partition(".")[2]: s for d, s in found if column_of(d) == subject.column.name}


def is_on_it(said: Statement | Said) -> bool:
    """Whether something was read on the very thing, and is not of its number."""
    return said.rank == 1 and not said.of_number


def expected_of(catalogue: Catalogue, subject: Subject) -> tuple[WrittenSize, ...]:
    """What the records say of a size that counts, as it is written, each once."""
    feature = catalogue.features_of(subject.at.thing).get(subject.feature)
    if feature is not None and feature.absent:
        return (WrittenSize("absent"),)
    is_length = subject.column.datatype == "length"
    said = (s for statements in statements_on(catalogue, subject).values() for s in computing(statements))
    return tuple(dict.fromkeys(WrittenSize(s.written, *((s.low, s.high) if is_length else ())) for s in said))


def _agrees(said: Statement, before: Mapping[str, tuple[Statement, ...]], sizes: Mapping[str, Quantity]) -> bool:
    part = next((p for p, statements in before.items() if said in statements), "")
    read = sizes.get(part)
    return read is not None and (read.unknown or share_a_value(said, _as_statement(read)))


def _as_statement(read: Quantity) -> Statement:
    return Statement("", "", 1, low=read.low, high=read.high, code=read.code)


def _compared(before: Mapping[str, tuple[Statement, ...]], sizes: Mapping[str, Quantity]) -> tuple[str, float | None]:
    """Whether a reading agrees with what computes in the records, and by how much it differs from middle to middle."""
    known = {part: computing(statements) for part, statements in before.items()}
    if not any(known.values()):
        return NOT_EXPECTED, None
    if not sizes:
        return OTHERWISE, None
    same, differs = True, None
    for part, read in sizes.items():
        for said in known.get(part, ())[:1] if not read.unknown else ():
            same = same and share_a_value(said, _as_statement(read))
            if part == "" and None not in (said.low, said.high, read.low, read.high):
                differs = round((read.low + read.high - said.low - said.high) / 2, 6)  # type: ignore[operator]
    return (AS_EXPECTED if same else OTHERWISE), differs


def already_there(catalogue: Catalogue, ready: Ready) -> tuple[str, ...]:
    """The notes, or the sources in the tables, that say all these readings already, word for word."""
    found: list[str] = []
    for subject, taken in zip(ready.subjects, ready.taken, strict=True):
        before = statements_on(catalogue, subject)
        same = {s.source for said in before.values() for s in said if is_on_it(s) and s.written == taken.written}
        notes = [n.note for n in catalogue.notes.values() if n.source in same]
        if not same:
            return ()
        found += [*notes, *sorted(same)][:1]
    return tuple(dict.fromkeys(found))


def write_readings(folder: Path, ready: Ready, typed: Typed, read: Callable[[], Catalogue]) -> str:
    """Write readings as one note; its name. Raises as ``add_note`` does."""
    return add_note(folder, draft_of(ready, typed), read, photographs=typed.photographs)


def reader(vehicle: Vehicle, by: str = "") -> str:
    """Who took a reading: as said, else the vehicle's owner where that is a member."""
    if by:
        return by
    try:
        check_member(vehicle.owner)
    except NoteRefused:
        return NOBODY
    return vehicle.owner or NOBODY


def draft_of(ready: Ready, typed: Typed) -> Draft:
    """The note that says readings."""
    sizes = tuple(f"{s} = {t.written}" for s, t in zip(ready.subjects, ready.taken, strict=True))
    tools = tuple(dict.fromkeys(t.tool for t in ready.taken if t.tool))
    sides = tuple(f"on the {s.one_of_several} one" for s in ready.subjects if s.one_of_several)
    return Draft(
        member=reader(ready.vehicle, typed.by),
        text=f"{READ}: {'; '.join((*sizes, *sides))}",
        vehicle=ready.vehicle.vehicle,
        outcome="measured",
        date=typed.date or calendar.today().isoformat(),
        evidence=", ".join(tools),
        standing=ON_THE_ITEM,
        sizes=sizes,
        as_read=True,  # it was asked back already, in its own way
    )
