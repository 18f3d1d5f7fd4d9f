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
from knockon.graph.notes.readings import NoteRefused
from knockon.graph.notes.write import Draft, add_note, withdraw_note
from knockon.graph.records import load_records, read_stated
from knockon.queries.ask.outcomes import NoteWithdrawn
from knockon.queries.club.note_added import Against, Bound, bound_readings, contradicted_by
from knockon.queries.club.notes import NotesAnswer, NoteShown, Wanted, list_notes
from knockon.queries.tightening import without_torque
from knockon.queries.ui.asking import GOOD, CouldNotRun, Settings, answering, load, mistakes_told, write
from knockon.queries.ui.blocks import BAD, PLAIN, QUIET, Block, Para
from knockon.queries.ui.document import indented
from knockon.queries.ui.groups import StrictGroup
from knockon.queries.ui.having_written import afterwards, done, having_written
from knockon.queries.ui.naming import sentence
from knockon.queries.ui.plain import say_beside
from knockon.queries.ui.screen import Screen, render
from knockon.queries.ui.texts.club.note_documents import NoteAdded, NotesDocument, NotesFrom
from knockon.queries.ui.texts.club.notes import TEXT_ONLY, added_lines, text_only

OUTCOMES = ("worked", "failed", "made to fit", "measured", "told")
STANDINGS = ("on the item", "drawing", "same number, new", "worn", "seller", "hearsay")


@click.group(cls=StrictGroup)
@answering
@click.pass_context
def note(ctx: click.Context, settings: Settings) -> None:
    """Notes of members: add one, list them, withdraw one."""
    ctx.obj = settings


def own_folder(settings: Settings) -> Path:
    """The records folder that may be written; the demo world is not, and what is written looks at all sources."""
    if settings.without:
        raise CouldNotRun("--without leaves sources out of an answer; a note is written beside all that there is")
    if settings.server:
        raise CouldNotRun("a server is asked, never written to: name your own records with --records DIR")
    if settings.records is None:
        raise CouldNotRun("the demo world is not written to: name your own records with --records DIR")
    return settings.records


@contextmanager
def writing() -> Iterator[None]:
    """Mistakes of a question or of records, and notes that cannot be meant, as one message."""
    try:
        with mistakes_told():
            yield
    except NoteRefused as error:
        raise CouldNotRun(str(error)) from error


@note.command("add")
@click.option("--member", default="", help="Who says it: initials or member number only. Asked for if not given.")
@click.option("--text", default="", help="In your own words; kept as written. Asked for if not given.")
@click.option("--outcome", type=click.Choice(OUTCOMES), help="What came of it. Asked for if not given.")
@click.option("--part", "parts", multiple=True, help="A part number; may be given more than once.")
@click.option("--vehicle", default="", help="The vehicle, as found or as made.")
@click.option("--condition", default="", help="Under what condition: what else was fitted, new or worn.")
@click.option("--date", default="", help="When, as exact or as vague as you know it: 2026-05-03, summer 2013, ?")
@click.option("--evidence", default="", help="What shows it: a photograph, a gauge, where it is kept.")
@click.option("--joint", default="", help="The joint, stack or figure that it speaks of.")
@click.option("--work-done", default="", help="What was done to make it fit.")
@click.option(
    "--size",
    "sizes",
    multiple=True,
    help="A reading: 'PART, FEATURE: DIMENSION = VALUE'; instead of "
    "PART a place of the vehicle ('left track rod end') or an item; may be repeated.",
)
@click.option("--as-read", is_flag=True, help="Write a size as it was read, also one far from the usual sizes.")
@click.option(
    "--standing",
    type=click.Choice(STANDINGS),
    help="How good its readings are; without it: on the item if each names a place or an item, else worn, or hearsay.",
)
@click.option("--licence", default="", help="Licence of what it states.")
@answering
def add(settings: Settings, member: str, text: str, outcome: str | None, parts: tuple[str, ...], vehicle: str,
        condition: str, date: str, evidence: str, joint: str, work_done: str, sizes: tuple[str, ...],
        as_read: bool, standing: str | None, licence: str) -> int:  # fmt: skip
    """Write a note: whole or not at all, also beside another writer.

    Asks for what a note cannot do without and was not given: who, what, the outcome; what was done if it was made to
    fit.
    """
    folder = own_folder(settings)
    member = member or _asked("member", "Your initials or member number")
    text = text or _asked("text", "What did you find")
    outcome = outcome or _asked("outcome", "What came of it", click.Choice(OUTCOMES))
    if outcome == "made to fit":
        work_done = work_done or _asked("work-done", "What was done")
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
        name = add_note(folder, draft, lambda: load_records(folder))
    with having_written(f"Written: {name}. Do not write it again."):
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
        say_beside(f"knockon: {name} is written; do not write it again. Its effect is not known: {why}")
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
    write(f"Written: {name}.{_about_date(found[0]) if found else ''}\n")
    write("".join(f"{line}\n" for line in added_lines(*found)) if found else "")


def _about_date(note: NoteShown) -> str:
    """What the writer of a note should know of its date: that it could not be read, or can be read in two ways."""
    read = note.date_read
    if note.date and not read:
        return " The date is kept as written; it could not be read as a day, month, season or year."
    if read.startswith("["):
        return f" The date is kept as written; it can be read as {read.strip('[]').replace(',', ' or ')}."
    return ""


def _asked(option: str, question: str, allowed: click.Choice[str] | None = None) -> str:
    """The answer to a question; where nobody can answer, the option that would."""
    try:
        with redirect_stdout(sys.stderr):  # an older click writes the blank after the question beside the answer
            return str(click.prompt(question, type=allowed, err=True))
    except click.Abort as error:
        if sys.stdin is not None and sys.stdin.isatty():
            raise
        raise CouldNotRun(f"the note lacks its {option}: give --{option}") from error


@note.command("list")
@click.option("--vehicle", default="", help="Only notes on this vehicle, or on the model that it was made as.")
@click.option("--part", default="", help="Only notes on this part, its mirror, or parts of the same drawing.")
@click.option("--position", default="", help="Only notes on what stands in this position.")
@click.option("--outcome", type=click.Choice(OUTCOMES), help="Only notes with this outcome.")
@click.option("--member", default="", help="Only this member's notes.")
@click.option("--withdrawn", is_flag=True, help="Show withdrawn notes too, last.")
@answering
def list_(settings: Settings, vehicle: str, part: str, position: str, outcome: str | None, member: str,
          withdrawn: bool) -> int:  # fmt: skip
    """List notes, failures first."""
    wanted = Wanted(vehicle, part, position, outcome or "", member)
    with mistakes_told():
        catalogue, taken_back = _with_withdrawn(settings) if withdrawn else (load(settings).catalogue, [])
        answer = list_notes(catalogue, wanted, taken_back)
    if settings.json:
        _write_json("note list", settings, answer.notes, GOOD)
    else:
        _write_text(settings, answer)
    return GOOD


@note.command("withdraw")
@click.argument("name")
@click.option("--member", default="", help="Who withdraws it. Asked for if not given.")
@click.option("--why", default="", help="Why; kept with the note.")
@answering
def withdraw(settings: Settings, name: str, member: str, why: str) -> int:
    """Take the note NAME back: it stays in the records and no longer counts."""
    folder = own_folder(settings)
    member = member or _asked("member", "Your initials or member number")
    with writing():
        taken = withdraw_note(folder, name, member, why, lambda: load_records(folder))
    said = f"Withdrawn: {taken.note}. It stays in the records (note list --withdrawn).\n"
    if taken.member != member.strip():
        said += f"It was written by {taken.member or 'somebody unnamed'}, and you are {member.strip()}: tell them.\n"
    return done(settings, "note withdraw", NoteWithdrawn(taken.note, taken.member, member.strip()), said)


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
    write(indented(NotesDocument(name, _notes_from(settings), status, shown_notes(notes))))


def _write_text(settings: Settings, answer: NotesAnswer) -> None:
    once = [n for n in answer.notes if not n.same_as]
    blocks: list[Block] = [Para(f"Records: {settings.named}"), Para(f"Notes: {len(once)}, failures first.")]
    for n in once:
        same = [c for c in answer.notes if c.same_as == n.note]
        copies = "; ".join(c.note for c in same)
        readings = dict.fromkeys(n.readings or (r for c in same for r in c.readings))
        about = ", ".join(x for x in (n.date or "no date", n.member, n.vehicle, n.condition) if x)
        lines = [f"{n.note} ({about}), {n.outcome or 'told'}: {sentence(without_torque(n.text))}"]
        lines += [TEXT_ONLY] if text_only(n.outcome, bool(readings)) else []
        lines += [f"{label}: {text if label == 'The same note' else sentence(text)}" for label, text in (
            ("About", ", ".join([*n.parts, *([n.joint] if n.joint else [])])), ("Readings", "; ".join(readings)),
            ("Work done", n.work_done),
            ("Read as", n.says), ("Evidence", n.evidence), ("Standing", n.standing), ("Withdrawn", n.withdrawn),
            ("The same note", f"{copies}." if copies else ""),
        ) if text]  # fmt: skip
        tone = QUIET if n.withdrawn else BAD if n.outcome == "failed" else PLAIN
        blocks.append(Para(" ".join(lines), mark="-", tone=tone))
    write(render(blocks, Screen.of_stdout()))
