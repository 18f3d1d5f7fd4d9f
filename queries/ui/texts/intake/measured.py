"""Readings as text: what was written or asked back, how it compares, and what it changes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.queries.answers import with_article
from knockon.queries.intake.readings.effects import (
    ASKED,
    CORRECTED,
    STAYS,
    THERE,
    WITHDRAWN,
    CheckChange,
    MeasuredAnswer,
    PlanChange,
)
from knockon.queries.intake.readings.measured import AS_EXPECTED, NOBODY, NOT_EXPECTED, AskedBack, Taken
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.ui import units
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import Naming, listed, places_in_words
from knockon.queries.ui.sentences import readings as say
from knockon.queries.ui.terminal.blocks import GOOD, PLAIN, WARN, Block, Heading, Para
from knockon.queries.ui.texts.plan.turning import turning_lines

ON_PAGE = 20
"""So many changes stand on the first page."""


def measured_text(naming: Naming, answer: MeasuredAnswer, full: bool, commands: Sequence[str]) -> Iterator[Block]:
    """What became of readings, and what they change; ``commands`` to paste next."""
    if answer.done == ASKED:
        yield from _asked(answer.asked)
        yield from next_blocks(commands)
        return
    yield from _done(answer)
    for reading in answer.readings:
        yield from _reading(answer, reading)
    if answer.done != THERE:
        yield from _changes(naming, answer, full)
    yield from next_blocks(commands)


def _asked(asked: Sequence[AskedBack]) -> Iterator[Block]:
    for one in asked:
        offered = listed([f'"{o}"' for o in one.offered], "or")
        text = say.UNUSUAL.format(written=one.written, offered=offered) if one.offered else ""
        yield Para(text or say.UNUSUAL_NONE.format(written=one.written), tone=WARN)
        unit = f" {one.unit}" if one.unit else ""
        low, high = f"{one.low:.4g}", f"{one.high:.4g}"
        usual = say.USUAL.format(
            kind=with_article(one.kind), dimension=one.dimension, low=low, high=high, unit=unit, what=one.what
        )
        yield Para(usual, indent=2)
    yield Para(f"{say.ASKED} {say.INSIST}")


def _done(answer: MeasuredAnswer) -> Iterator[Block]:
    if answer.done == WITHDRAWN:
        yield Para(say.TAKEN_BACK.format(what=listed(answer.withdrawn)), tone=GOOD)
        said = [say.TAKEN_NOTES.format(notes=listed(answer.notes_before))] if answer.notes_before else []
        if answer.note:
            says = say.NOW_IN_NOTE if answer.cells_before else say.SAID_AGAIN
            said.append(says.format(note=answer.note, member=answer.by))
        yield Para(" ".join(said))
    elif answer.done == THERE:
        yield Para(say.THERE.format(note=listed(answer.notes_before)), tone=GOOD)
    elif answer.done == CORRECTED:
        said = [say.CORRECTED.format(note=answer.note, member=answer.by)]
        said += [say.BEFORE.format(before=listed(answer.notes_before))] if answer.notes_before else []
        yield Para(" ".join(said), tone=GOOD)
    else:
        said_by = say.WRITTEN_UNNAMED if answer.by == NOBODY else say.WRITTEN
        yield Para(said_by.format(note=answer.note, member=answer.by), tone=GOOD)
    for file in answer.photographs:
        yield Para(say.PHOTOGRAPH.format(file=file), mark="-")
    for cell in answer.cells_before:
        yield Para(say.OF_SHEET.format(cell=cell, written=cell.written), mark="-")


def _reading(answer: MeasuredAnswer, reading: Taken) -> Iterator[Block]:
    if reading.written == "absent":
        said = [say.ABSENT.format(what=reading.what)]
    else:
        said = [say.READING.format(what=reading.what, written=reading.written)]
    said += [say.WITH_TOOL.format(tool=reading.tool)] if reading.tool and "±" in reading.written else []
    yield Para(" ".join((*said, _compared(reading, answer.done == CORRECTED))), mark="-")
    if reading.both_sides:
        yield Para(say.BOTH_SIDES.format(vehicle=answer.vehicle), indent=2, tone=WARN)
    if reading.against and answer.done not in (CORRECTED, THERE):
        yield Para(say.AGAINST.format(sources=listed(reading.against)), indent=2, tone=WARN)


def _compared(reading: Taken, corrected: bool) -> str:
    """How a reading compares with what the records said; of one that is ``corrected``, with the reading before."""
    absent = say.ABSENT_TEXT
    sizes = listed([absent if e == "absent" else units.written_length(e) for e in reading.expected], "or")
    if reading.compared == NOT_EXPECTED or not sizes:
        return say.NOTHING_EXPECTED
    if reading.differs and (reading.unit or float(reading.differs).is_integer()):
        size = f"{abs(reading.differs):.6g} {reading.unit}".strip()
        says = say.DIFFERS_BEFORE if corrected else say.DIFFERS
        return says.format(sizes=sizes, size=size, more=say.MORE if reading.differs > 0 else say.LESS)
    if corrected:
        return say.BEFORE_SIZES.format(sizes=sizes)
    return (say.EXPECTED if reading.compared == AS_EXPECTED else say.OTHERWISE).format(sizes=sizes)


def _changes(naming: Naming, answer: MeasuredAnswer, full: bool) -> Iterator[Block]:
    yield Heading(say.CHANGES)
    if not answer.checks:
        yield Para(say.NO_CHECK.format(machine=naming.machine))
    yield from _checks(answer.checks, full)
    if answer.plan is not None:
        yield Heading(say.THE_PLAN)
        yield from _plan(answer.plan, full)


def _checks(changes: Sequence[CheckChange], full: bool) -> Iterator[Block]:
    for change in changes if full else changes[:ON_PAGE]:
        before, after = (str(v) if v is not None else say.NOT_JUDGED for v in (change.before, change.after))
        places = places_in_words(change.places)
        yield Para(
            say.CHECK.format(check=change.check, places=places, before=before, after=after),
            mark="-",
            tone=_tone(change),
        )


def _tone(change: CheckChange) -> str:
    return WARN if change.after is not None and (change.after.is_no or change.after.is_unproven) else PLAIN


def _unproven(changes: Sequence[CheckChange], full: bool) -> Iterator[Block]:
    """The checks of a plan that are unproven in another way, no longer, or only now."""
    for change in changes if full else changes[:ON_PAGE]:
        says = say.PLAN_CHECK if change.before and change.after else say.NOT_UNPROVEN
        says = says if change.before else say.NOW_UNPROVEN
        said = says.format(
            check=change.check, places=places_in_words(change.places), before=change.before, after=change.after
        )
        yield Para(said, mark="-", tone=_tone(change))


def _plan(plan: PlanChange, full: bool) -> Iterator[Block]:
    before, after = plan.planned
    if not (before and after):
        yield Para(say.LOST if before else say.FOUND if after else say.STILL_NONE, tone=PLAIN if after else WARN)
    else:
        yield Para(say.PLAN_SAME if plan.is_same else say.PLAN_OTHER, tone=GOOD if plan.is_same else WARN)
        says = say.PLAN_CHECKS_SAME if len(set(plan.unproven)) == 1 else say.PLAN_CHECKS
        yield Para(says.format(before=plan.unproven[0], after=plan.unproven[1]))
        yield from _unproven(plan.checks, full)
    for of in plan.turns:
        lines = list(turning_lines([of]))
        yield Para(" ".join((say.OF_READING.format(what=of.of), *lines)))
    for line in plan.lines if full else plan.lines[:ON_PAGE]:
        yield Para(_line(line), mark="-", tone=WARN)
    for place, was, now in plan.places if full else plan.places[:ON_PAGE]:
        yield Para(_place(place, was, now), mark="-", indent=2)


def _line(line: LineChange) -> str:
    says = say.LINE if line.before and line.after else say.LINE_NEW if line.after else say.LINE_GONE
    return says.format(number=line.number, before=line.before, after=line.after)


def _place(place: Place, was: str, now: str) -> str:
    """What stands in a place of the plan now, and what stood there before."""
    number = now.removesuffix(STAYS)
    if number and number == was.removesuffix(STAYS):
        return (say.STAYS_NOW if now.endswith(STAYS) else say.NEW_OF_SAME).format(place=place, number=number)
    before, after = (
        (say.THE_ONE_THERE if n.endswith(STAYS) else say.A_NEW_ONE).format(number=n.removesuffix(STAYS)) if n else ""
        for n in (was, now)
    )
    says = say.PLACE if before and after else say.PLACE_FILLED if after else say.PLACE_EMPTY
    return says.format(place=place, before=before, after=after)
