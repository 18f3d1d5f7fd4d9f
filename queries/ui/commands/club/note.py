"""``knockon note``: write down what was found, read what others found, take a note back."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, redirect_stdout
from pathlib import Path

import click
from msgspec.structs import replace

from knockon.graph.exchange.answerable import answerable
from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.view import withdrawals
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import STANDINGS
from knockon.graph.notes.outcomes import MADE_TO_FIT
from knockon.graph.notes.photographs import read_photographs
from knockon.graph.notes.readings import NoteRefused
from knockon.graph.notes.write import OUTCOMES, Draft, add_note, withdraw_note
from knockon.graph.records import load_records, read_stated
from knockon.queries.ask.outcomes import NoteWithdrawn
from knockon.queries.club.note_added import Against, Bound, bound_readings, contradicted_by
from knockon.queries.club.notes import NoteShown, Wanted, list_notes
from knockon.queries.tightening import without_torque
from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, answering, load, mistakes_told, show, write
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.document import indented
from knockon.queries.ui.groups import StrictGroup
from knockon.queries.ui.having_written import afterwards, done, having_written
from knockon.queries.ui.sentences import club as said
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.sentences.shell import RECORDS
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.terminal.plain import say_beside
from knockon.queries.ui.texts.club.note_documents import NoteAdded, NotesDocument, NotesFrom
from knockon.queries.ui.texts.club.notes import added_lines, notes_text


@click.group(cls=StrictGroup, help=say.NOTE)
@answering
@click.pass_context
def note(ctx: click.Context, settings: Settings) -> None:
    """Notes of members: add one, list them, withdraw one."""
    ctx.obj = settings


def own_folder(settings: Settings) -> Path:
    """The records folder that may be written; the demo world is not, and what is written looks at all sources."""
    if settings.without:
        raise CouldNotRun(said.NOTE_WITHOUT)
    if settings.server:
        raise CouldNotRun(said.NO_SERVER)
    if settings.records is None:
        raise CouldNotRun(said.NO_DEMO)
    return settings.records


@contextmanager
def writing() -> Iterator[None]:
    """Mistakes of a question or of records, and notes that cannot be meant, as one message."""
    try:
        with mistakes_told():
            yield
    except NoteRefused as error:
        raise CouldNotRun(str(error)) from error


@note.command("add", help=say.NOTE_ADD)
@click.option("--member", default="", help=say.MEMBER)
@click.option("--text", default="", help=say.TEXT)
@click.option("--outcome", type=click.Choice(OUTCOMES), help=say.OUTCOME)
@click.option("--part", "parts", multiple=True, help=say.PART)
@click.option("--vehicle", default="", help=say.VEHICLE)
@click.option("--condition", default="", help=say.CONDITION)
@click.option("--date", default="", help=say.DATE)
@click.option("--evidence", default="", help=say.EVIDENCE)
@click.option("--photo", "photos", multiple=True, type=click.Path(path_type=Path), metavar="FILE", help=say.PHOTO)
@click.option("--joint", default="", help=say.JOINT)
@click.option("--work-done", default="", help=say.WORK_DONE)
@click.option("--size", "sizes", multiple=True, help=say.SIZE)
@click.option("--as-read", is_flag=True, help=say.AS_READ)
@click.option("--standing", type=click.Choice(STANDINGS), help=say.STANDING)
@click.option("--licence", default="", help=say.NOTE_LICENCE)
@answering
def add(settings: Settings, member: str, text: str, outcome: str | None, parts: tuple[str, ...], vehicle: str,
        condition: str, date: str, evidence: str, photos: tuple[Path, ...], joint: str, work_done: str,
        sizes: tuple[str, ...], as_read: bool, standing: str | None, licence: str) -> int:  # fmt: skip
    """Write a note."""
    folder = own_folder(settings)
    member = member or _asked("member", said.ASK_MEMBER)
    text = text or _asked("text", said.ASK_TEXT)
    outcome = outcome or _asked("outcome", said.ASK_OUTCOME, click.Choice(OUTCOMES))
    if outcome == MADE_TO_FIT:
        work_done = work_done or _asked("work-done", said.ASK_WORK)
    draft = Draft(
        member=member,
        text=text,
        parts=parts,
        vehicle=vehicle,
        condition=condition,
        outcome=outcome,
        date=date,
        evidence=evidence,
        joint=joint,
        work_done=work_done,
        standing=standing or "",
        licence=licence,
        sizes=sizes,
        as_read=as_read,
    )
    with writing():
        name = add_note(folder, draft, lambda: load_records(folder), photographs=read_photographs(photos))
    with having_written(said.WRITTEN_ONCE.format(note=name)):
        _tell_added(settings, folder, name)
    return GOOD


def _tell_added(settings: Settings, folder: Path, name: str) -> None:
    """Say what the note that now stands does; where the records cannot be read again, that it stands."""

    def read_again() -> tuple[NoteShown, tuple[Bound, ...], tuple[Against, ...]]:
        catalogue = load_records(folder)
        shown = next(n for n in list_notes(catalogue, Wanted()).notes if n.note == name)
        return shown, bound_readings(catalogue, name), contradicted_by(catalogue, name)

    found, why = afterwards(read_again)
    if why:
        say_beside(said.EFFECT_NOT_KNOWN.format(note=name, why=why))
    notes, bound, against = (shown_notes(found[:1]), *found[1:]) if found else ((), (), ())
    if settings.json:
        write(
            indented(
                NoteAdded(
                    answer="note add",
                    records=_notes_from(settings),
                    status=GOOD,
                    written=name,
                    notes=notes,
                    bound=bound,
                    contradicts=against,
                    not_read=why,
                )
            )
        )
        return
    date = _about_date(found[0]) if found else ""
    write(said.WRITTEN_NOTE.format(note=name, date=date) + "\n")
    write("".join(f"{line}\n" for line in added_lines(*found)) if found else "")


def _about_date(note: NoteShown) -> str:
    """What the writer of a note should know of its date: that it could not be read, or can be read in two ways."""
    read = note.date_read
    if note.date and not read:
        return said.DATE_UNREAD
    if read.startswith("["):
        return said.DATE_IN_TWO_WAYS.format(dates=read.strip("[]").replace(",", said.OR))
    return ""


def _asked(option: str, question: str, allowed: click.Choice[str] | None = None) -> str:
    """The answer to a question; where nobody can answer, the option that would."""
    try:
        with redirect_stdout(sys.stderr):  # an older click writes the blank after the question beside the answer
            return str(click.prompt(question, type=allowed, err=True))
    except click.Abort as error:
        if sys.stdin is not None and sys.stdin.isatty():
            raise
        raise CouldNotRun(said.LACKS.format(option=option)) from error


@note.command("list", help=say.NOTE_LIST)
@click.option("--vehicle", default="", help=say.OF_VEHICLE)
@click.option("--part", default="", help=say.OF_PART)
@click.option("--position", default="", help=say.OF_POSITION)
@click.option("--outcome", type=click.Choice(OUTCOMES), help=say.OF_OUTCOME)
@click.option("--member", default="", help=say.OF_MEMBER)
@click.option("--withdrawn", is_flag=True, help=say.WITH_WITHDRAWN)
@detailed("full")
@answering
def list_(settings: Settings, vehicle: str, part: str, position: str, outcome: str | None, member: str,
          withdrawn: bool, shown: Shown) -> int:  # fmt: skip
    """List notes, failures first."""
    wanted = Wanted(vehicle, part, position, outcome or "", member)
    with mistakes_told():
        catalogue, taken_back = _with_withdrawn(settings) if withdrawn else (load(settings).catalogue, [])
        answer = list_notes(catalogue, wanted, taken_back)
    if settings.json:
        _write_json("note list", settings, answer.notes, GOOD)
    else:
        options = {"vehicle": vehicle, "part": part, "position": position, "outcome": outcome or "", "member": member}
        ask = as_typed(settings, "note", "list", *(["--withdrawn"] if withdrawn else []), **options)
        blocks = [Para(RECORDS.format(name=settings.named)), *notes_text(answer, shown.full, ask)]
        show(blocks)
    return GOOD


@note.command("withdraw", help=say.NOTE_WITHDRAW)
@click.argument("name")
@click.option("--member", default="", help=say.WHO_WITHDRAWS)
@click.option("--why", default="", help=say.WHY_WITHDRAWN)
@answering
def withdraw(settings: Settings, name: str, member: str, why: str) -> int:
    """Take a note back."""
    folder = own_folder(settings)
    member = member or _asked("member", said.ASK_MEMBER)
    with writing():
        taken = withdraw_note(folder, name, member, why, lambda: load_records(folder))
    told = [said.WITHDRAWN.format(note=taken.note)]
    if taken.member != member.strip():
        told.append(said.WRITTEN_BY.format(author=taken.member or said.SOMEBODY, member=member.strip()))
    return done(
        settings, "note withdraw", NoteWithdrawn(taken.note, taken.member, member.strip()), "\n".join(told) + "\n"
    )


def _with_withdrawn(settings: Settings) -> tuple[Catalogue, list[tuple[str, str]]]:
    read = read_stated(settings.folder)
    found = answerable(read, settings.without, withdrawn=True, merged=merged_clubs(settings.folder))
    return found.catalogue, withdrawals(read.quads)


def _notes_from(settings: Settings) -> NotesFrom:
    return NotesFrom(settings.invented, settings.without)


def shown_notes(notes: Sequence[NoteShown]) -> tuple[NoteShown, ...]:
    """Notes as a document holds them, without tightening values."""

    return tuple(replace(n, text=without_torque(n.text)) for n in notes)


def _write_json(name: str, settings: Settings, notes: Sequence[NoteShown], status: int) -> None:
    found = NotesDocument(answer=name, records=_notes_from(settings), status=status, notes=shown_notes(notes))
    write(indented(found))
