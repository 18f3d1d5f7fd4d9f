"""The fewest readings that decide a plan, as text: in the order in which you reach them, each with what to type."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from knockon.queries.plan.deciding import MeasureAnswer, ReadingWanted, StaysOpen
from knockon.queries.plan.measure import Expected, what_to_type
from knockon.queries.ui.details import command_blocks, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, places_in_words
from knockon.queries.ui.sentences.plan import measure as say
from knockon.queries.ui.sentences.plan import verdict as says
from knockon.queries.ui.terminal.blocks import GOOD, WARN, Block, Heading, Para
from knockon.queries.ui.texts.plan.measure import expected, hands_together, subject
from knockon.queries.ui.texts.plan.turning import turning_lines


def measure_text(
    naming: Naming, answer: MeasureAnswer, full: bool, command: Callable[[str], str], commands: Sequence[str]
) -> Iterator[Block]:
    """The readings; ``command``: what to type for one that is named so; ``commands`` to paste next."""
    if not answer.planned:
        yield Para(say.NO_PLAN, tone=WARN)
        yield from next_blocks(commands)
        return
    if answer.record_first:
        yield Para(says.RECORD.format(places=places_in_words(answer.record_first)), tone=WARN)
    if answer.readings:
        template = say.DECIDE if answer.decides else say.DECIDE_ALL_BUT
        readings = count(len(answer.readings), "reading")
        yield Para(template.format(readings=readings, machine=naming.machine), tone=GOOD)
    else:
        yield Para(say.NOTHING_TO_MEASURE.format(machine=naming.machine), tone=GOOD)
    yield from _readings(naming, answer, full, command)
    if answer.stays_open:
        yield Heading(say.STAYS_OPEN)
        for alike in _alike(answer.stays_open):
            places = listed([places_in_words(o.places) for o in alike])
            text = say.OPEN_CHECK.format(check=alike[0].check, places=places, why=say.WHY_OPEN[alike[0].why])
            yield Para(text, mark="-")
    yield from next_blocks(commands)


def _readings(naming: Naming, answer: MeasureAnswer, full: bool, command: Callable[[str], str]) -> Iterator[Block]:
    stage = ""
    for number, alike in enumerate(together(answer.readings), 1):
        if alike[0].reached != stage:
            stage = alike[0].reached
            yield Heading(say.READINGS.format(stage=naming.words.get(stage, stage)))
        shown = [r.turns for r in alike if r.turns is not None]
        yield Para(_line(alike, full or bool(shown)), mark=f"{number}.")
        if shown or full:
            yield from (Para(line, indent=4) for line in turning_lines(shown))
            what = what_to_type([r.place for r in alike], alike[0].feature, [alike[0].dimension])
            yield from command_blocks(say.TYPE, command(what), 4)
    worked_out = sum(r.turns is not None for r in answer.readings)
    if worked_out < len(answer.readings):
        yield Para(say.REST.format(number=worked_out))


def together(readings: Sequence[ReadingWanted]) -> list[list[ReadingWanted]]:
    """Both hands of one reading together, where the same is expected of them."""
    found: list[list[ReadingWanted]] = []
    for reading in readings:
        last = found[-1][0] if found else None
        same = last is not None and (last.place.position, last.feature, last.dimension, last.expected) == (
            reading.place.position, reading.feature, reading.dimension, reading.expected,
        )  # fmt: skip
        if same:
            found[-1].append(reading)
        else:
            found.append([reading])
    return found


def _line(alike: Sequence[ReadingWanted], whole: bool) -> str:
    one = alike[0]
    places = places_in_words([r.place for r in alike])
    said = [say.SIZE.format(places=places, what=subject(one.feature, [one.dimension]))]
    if one.expected:
        said.append(say.EXPECT.format(sizes=expected([Expected(one.dimension, e) for e in one.expected])))
    elif one.usual:
        low, high = (f"{u:.4g}" for u in one.usual)
        said.append(say.USUAL.format(low=low, high=f"{high} {one.unit}".strip()))
    if whole:
        if one.tool:
            off = say.OFF.format(tool=one.tool, within=f"{one.within:g}", unit=one.unit)
            said.append(say.WITH_TOOL.format(tool=off if one.within and one.unit else one.tool))
        groups = dict.fromkeys(g for r in alike for g in r.decides)
        said.append(say.DECIDES.format(groups=listed(hands_together(list(groups)))))
        said += [one.how] if one.how else []
    return " ".join(said)


def _alike(stays_open: Sequence[StaysOpen]) -> list[list[StaysOpen]]:
    found: dict[tuple[str, str], list[StaysOpen]] = {}
    for one in stays_open:
        found.setdefault((one.check, one.why), []).append(one)
    return list(found.values())
