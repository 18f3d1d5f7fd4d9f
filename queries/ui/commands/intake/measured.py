"""``knockon measured``: write down what was read on a vehicle, and see at once what it changes."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from pathlib import Path

import click
from msgspec.structs import replace

from knockon.graph.files.atomic import PHOTOGRAPHS
from knockon.graph.judge.usual_sizes import usual_sizes
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.notes.photographs import read_photographs
from knockon.graph.records import Records
from knockon.graph.records import load as load_folder
from knockon.queries.intake.readings.effects import (
    ASKED,
    CORRECTED,
    THERE,
    WITHDRAWN,
    WRITTEN,
    MeasuredAnswer,
    plan_change,
    told,
    vehicle_changes,
)
from knockon.queries.intake.readings.measured import (
    Typed,
    already_there,
    expected_of,
    read_typed,
    reader,
    write_readings,
)
from knockon.queries.intake.readings.subjects import subject_of, subjects_of
from knockon.queries.intake.readings.taken_back import correct_readings, withdraw_readings
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load
from knockon.queries.ui.commands.club.note import own_folder, writing
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.having_written import afterwards, having_written
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.option_types import Signed
from knockon.queries.ui.patient import patient, time_limited
from knockon.queries.ui.sentences import readings as said
from knockon.queries.ui.sentences.help import club as club_help
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.sentences.help import plan as plan_help
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.plain import say_beside
from knockon.queries.ui.texts.intake.measured import measured_text


@click.command(cls=Signed, help=say.MEASURED)
@click.argument("vehicle", metavar="VEHICLE")
@click.argument("words", nargs=-1, metavar="WHAT [VALUE] ...", required=True)
@click.option("--tool", default="", metavar="TOOL", help=say.TOOL)
@click.option("--by", default="", metavar="MEMBER", help=say.BY)
@click.option("--date", default="", metavar="DATE", help=say.READ_ON)
@click.option("--photo", "photos", multiple=True, type=click.Path(path_type=Path), metavar="FILE", help=club_help.PHOTO)
@click.option("--as-read", is_flag=True, help=say.AS_READ)
@click.option("--correct", is_flag=True, help=say.CORRECT)
@click.option("--withdraw", is_flag=True, help=say.WITHDRAW)
@click.option("--want", metavar="WISH", multiple=True, help=say.MEASURED_WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=plan_help.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=plan_help.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=plan_help.RENEW)
@time_limited()
@detailed("full", says={"full": say.MEASURED_FULL})
@answering
def measured(settings: Settings, vehicle: str, words: tuple[str, ...], tool: str, by: str, date: str,
             photos: tuple[Path, ...], as_read: bool, correct: bool, withdraw: bool, want: tuple[str, ...],
             keep: tuple[str, ...], avoid: tuple[str, ...], renew: tuple[str, ...], time_limit: float,
             shown: Shown) -> int:  # fmt: skip
    """Write down what was read on a vehicle, and see at once what it changes."""
    if withdraw and photos:
        raise click.UsageError(said.NO_PHOTO)
    if correct and withdraw:
        raise click.UsageError(said.NOT_BOTH)
    folder = own_folder(settings)
    before = load(settings).catalogue
    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew}
    with writing():
        if withdraw:
            answer = _withdraw(settings, before, vehicle, words, by)
        else:
            pairs = tuple(_pairs(before, vehicle, words))
            typed = Typed(pairs, tool, by, date, as_read, read_photographs(photos))
            answer = _write(settings, before, vehicle, typed, correct)
    found = before.vehicles[answer.vehicle].vehicle
    if answer.done in (ASKED, THERE):
        return _shown(settings, answer, Records(before, ()), shown, asked, ())

    def read_again() -> tuple[MeasuredAnswer, Records]:
        records = load_folder(folder)
        changes = vehicle_changes(before, records.catalogue, found)
        plan = None
        if want or renew:
            with patient(time_limit) as patience:
                plan = plan_change(before, records.catalogue, found, answer.readings, patience, **asked)
        return without_torque_in(replace(answer, checks=changes, plan=plan)), records

    with having_written(said.WRITTEN_ONCE.format(note=answer.note or listed(answer.notes_before))):
        read, why = afterwards(read_again)
        if why:
            say_beside(said.NO_TIME.format(why=why))
        answer, records = read or (answer, Records(before, ()))
        return _shown(settings, answer, records, shown, asked, words)


def _shown(settings: Settings, answer: MeasuredAnswer, records: Records, shown: Shown,
           asked: dict[str, tuple[str, ...]], words: Sequence[str]) -> int:  # fmt: skip
    if answer.done == ASKED:
        words_again = [w for a in answer.asked for w in (a.what, a.offered[0] if a.offered else a.written)]
        insisted = "" if all(a.offered for a in answer.asked) else " --as-read"
        commands = [as_typed(settings, "measured", answer.vehicle, *words_again, **asked) + insisted]
    elif asked["want"] or asked["renew"]:
        commands = [f"{as_typed(settings, 'swap', answer.vehicle, **asked)} --measure"]
    else:
        vehicles = records.catalogue.vehicles
        layout = vehicles[answer.vehicle].layout
        has_model = any(v.as_made and v.layout == layout for v in vehicles.values())  # else there is none to compare
        commands = [as_typed(settings, "vehicle", answer.vehicle) if has_model else as_typed(settings, "check")]

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return list(measured_text(Naming.on(catalogue, answer.vehicle), answer, shown.full, commands))

    return deliver(settings, "measured", told(answer, records.catalogue), answer.is_done, text, records)


def _write(settings: Settings, before: Catalogue, vehicle: str, typed: Typed, correct: bool) -> MeasuredAnswer:
    """Write readings, unless they are asked back or stand there already."""
    ready = read_typed(before, vehicle, typed, usual_sizes(own_folder(settings)))
    answer = MeasuredAnswer(
        vehicle=ready.vehicle.vehicle, done=WRITTEN, readings=ready.taken, by=reader(ready.vehicle, typed.by)
    )
    kept = tuple(f"{PHOTOGRAPHS}/{p.name}" for p in typed.photographs)
    if ready.asked:
        return replace(answer, done=ASKED, asked=ready.asked)
    folder = own_folder(settings)
    if correct:
        gone = correct_readings(folder, before, ready, typed)
        return replace(answer, done=CORRECTED, note=gone.note, notes_before=gone.notes, cells_before=gone.cells,
                       photographs=kept)  # fmt: skip
    there = already_there(before, ready)
    if there:
        return replace(answer, done=THERE, notes_before=there)
    return replace(answer, note=write_readings(folder, ready, typed, lambda: before), photographs=kept)


def _withdraw(settings: Settings, before: Catalogue, vehicle: str, words: Sequence[str], by: str) -> MeasuredAnswer:
    known = before.find("vehicle", vehicle)
    subjects = [subject_of(before, known, what) for what in words]
    gone = withdraw_readings(own_folder(settings), before, known, subjects, by)
    return MeasuredAnswer(
        vehicle=known.vehicle,
        done=WITHDRAWN,
        note=gone.note,
        notes_before=gone.notes,
        cells_before=gone.cells,
        withdrawn=tuple(map(str, subjects)),
        by=reader(known, by),
    )


def _pairs(catalogue: Catalogue, vehicle: str, words: Sequence[str]) -> Iterator[tuple[str, str]]:
    """What was read and its value, pair by pair; values that were left out are asked for. Raises CouldNotRun."""
    if len(words) == 1 and "=" in words[0]:
        what, _, value = words[0].rpartition("=")
        if not value.strip():
            raise CouldNotRun(said.NOTHING_TYPED)
        yield what.strip(), value.strip()
        return
    if len(words) == 1:
        found = list(_asked_for(catalogue, vehicle, words[0]))
        if not found:
            raise CouldNotRun(said.NOTHING_TYPED)
        yield from found
        return
    if len(words) % 2:
        raise CouldNotRun(said.PAIRS.format(number=len(words)))
    if not all(value.strip() for value in words[1::2]):
        raise CouldNotRun(said.NOTHING_TYPED)
    yield from zip(words[::2], words[1::2], strict=True)


def _asked_for(catalogue: Catalogue, vehicle: str, what: str) -> Iterator[tuple[str, str]]:
    """Each size that a text names, asked for; what is left blank is left out."""
    known = catalogue.find("vehicle", vehicle)
    for subject in subjects_of(catalogue, known, what):
        sizes = listed(list(map(str, expected_of(catalogue, subject))), "or")
        expect = said.ASK_EXPECT.format(sizes=sizes) if sizes else ""
        question = said.ASK_VALUE.format(what=subject, expect=expect)
        try:
            with redirect_stdout(sys.stderr):
                value = str(click.prompt(question, default="", show_default=False, err=True))
        except click.Abort as error:
            if sys.stdin is not None and sys.stdin.isatty():
                raise
            example = as_typed(Settings(), "measured", known.vehicle, str(subject), "25.4 mm")
            raise CouldNotRun(said.VALUE_MISSING.format(what=subject, example=example)) from error
        if value.strip():
            yield str(subject), value.strip()
