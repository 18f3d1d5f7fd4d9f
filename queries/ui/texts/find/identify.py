"""The answer of ``knockon identify`` as text: what it is and what to measure next, the numbers left, the first two
told apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import SIDES
from knockon.queries.find.further import Expected, Measure
from knockon.queries.find.identify import Candidate, IdentifyAnswer, NearestMiss, ReadingHeld, ReadingSaid
from knockon.queries.find.tell_apart import DIFFERS
from knockon.queries.ui import units
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import identify as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.texts.find.tell_apart import difference_row, tell_apart_pages
from knockon.queries.ui.texts.plan.swap.head import short_cautions

MOST_LINES = 8
MOST_DIFFERENCES = 6
"""So many numbers, and so many differences of the first two, are shown on the first page."""
EQUALLY = 1 + 1e-6


def identify_pages(catalogue: Catalogue, answer: IdentifyAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, the evidence, or all. ``ask``: the command so far."""
    naming = Naming(catalogue)
    blocks: list[Block] = [*_head(naming, answer), *_numbers(answer, shown.full)]
    if shown.evidence or shown.full:
        blocks += _evidence(answer, shown.full)
    if answer.apart is not None and not shown.evidence:
        blocks += _apart(catalogue, answer, shown, ask)
    blocks += _readings(answer)
    if shown.full:
        return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]
    blocks += short_cautions(naming, answer.cautions)
    return blocks if shown.evidence else [*blocks, *next_blocks(list(_next(answer, ask)))]


def _head(naming: Naming, answer: IdentifyAnswer) -> Iterator[Block]:
    if answer.none is not None:
        yield from _miss(naming, answer, answer.none)
        return
    first = answer.candidates[0]
    left = sum(1 + len(c.also) for c in answer.candidates)
    part, others = naming.part(first.part), count(left, "number")
    equal = sum(1 + len(c.also) for c in answer.candidates if c.odds < EQUALLY)
    if left == 1:
        only = say.ONE_LEFT if answer.looked_at > 1 else say.THE_ONE_RECORDED
        yield Para(only.format(part=part, looked_at=answer.looked_at), tone=STRONG)
    elif equal > 1:
        of_them = say.ALL_OF_THEM if equal == left else say.SOME_OF_THEM.format(number=equal)
        yield Para(say.EQUAL.format(others=others, equal=of_them), tone=STRONG)
    else:
        yield Para(say.BEST.format(part=part, others=others), tone=STRONG)
    if len(first.unrecorded) == len(answer.readings):
        yield Para(say.NOTHING_READ_IS_RECORDED.format(part=first.part), tone=WARN)
    if answer.measure is not None:
        yield from _measure(answer.measure)
    elif left > 1:
        yield Para(say.NOTHING_HELPS, tone=WARN)


def _measure(measure: Measure) -> Iterator[Block]:
    what = _named(measure.feature, measure.dimension)
    text = say.MEASURE.format(what=what, tool=measure.tool) if measure.dimension else say.LOOK.format(what=what)
    yield Para(text, tone=STRONG)
    if measure.how:
        yield Para(say.HOW.format(how=measure.how), indent=2)
    rows = tuple((e.part, _expected(measure, e)) for e in measure.expected[:MOST_LINES])
    yield Grid(rows, ("", say.SHOULD_SHOW), indent=2)
    read = f"{measure.feature}: {measure.dimension} = " if measure.dimension else f"{measure.feature}: "
    yield Para((say.ADD_SIZE if measure.dimension else say.ADD_LOOK).format(read=read), indent=2)


def _expected(measure: Measure, expected: Expected) -> str:
    if expected.absent:
        return say.NO_SUCH
    if not measure.dimension:
        return say.THERE
    return listed(list(dict.fromkeys(map(units.size, expected.values))), "or") or say.NOT_RECORDED


def _miss(naming: Naming, answer: IdentifyAnswer, miss: NearestMiss) -> Iterator[Block]:
    yield Para(say.NONE_OF_THESE, tone=BAD)
    yield Para(say.NEAREST.format(part=naming.part(miss.part)))
    for held in (h for h in miss.held if not h.agrees):
        yield Para(_missed(answer, held), mark="-", tone=WARN)
    yield Para(say.READ_AGAIN)


def _missed(answer: IdentifyAnswer, held: ReadingHeld) -> str:
    said = answer.readings[held.reading]
    what = _named(held.feature, said.dimension)
    if held.absent:
        return say.MISSED_ABSENT.format(what=what)
    if not said.dimension:
        return say.MISSED_THERE.format(what=what)
    read, recorded = _value(said), _recorded(held)
    if held.deviations is None:
        return say.MISSED.format(what=what, read=read, recorded=recorded)
    off = _deviations(held.deviations, 1)
    return say.MISSED_BY.format(what=what, read=read, recorded=recorded, off=off)


def _numbers(answer: IdentifyAnswer, whole: bool) -> Iterator[Block]:
    """The numbers left; of one alone the head says all."""
    if len(answer.candidates) > 1:
        shown = answer.candidates if whole else answer.candidates[:MOST_LINES]
        yield Heading(say.NUMBERS_LEFT)
        rows = tuple((c.part, _name(c), _likely(c), _worst(answer, c), _lacking(answer, c)) for c in shown)
        yield Grid(rows, ("", "", say.HOW_LIKELY, say.OFF, say.LACKING), indent=2)
        more = len(answer.candidates) - len(shown)
        if more:
            yield Para(say.MORE.format(numbers=count(more, "more number")), indent=2, tone=QUIET)
    for c in (c for c in answer.candidates[:MOST_LINES] if c.also):
        yield Para(say.ALSO.format(part=c.part, also=_several(c.also, whole)), indent=2)


def _several(numbers: Sequence[str], whole: bool) -> str:
    if whole or len(numbers) <= MOST_LINES:
        return listed(numbers)
    return say.AND_MORE.format(numbers=", ".join(numbers[:MOST_LINES]), more=len(numbers) - MOST_LINES)


def _name(candidate: Candidate) -> str:
    return ", ".join((candidate.name, *([candidate.hand] if candidate.hand in SIDES else [])))


def _likely(candidate: Candidate) -> str:
    if candidate.odds < EQUALLY:
        return say.LIKELIEST
    return say.LESS.format(times=units.number(candidate.odds, 1 if candidate.odds < 100 else 0))


def _deviations(number: float, places: int) -> str:
    shown = units.number(number, places)
    return say.DEVIATIONS[shown != "1"].format(number=shown)


def _worst(answer: IdentifyAnswer, candidate: Candidate) -> str:
    if len(candidate.unrecorded) == len(answer.readings):
        return say.NOT_RECORDED
    if round(candidate.deviations, 2) == 0:
        return say.WITHIN
    return say.WORST.format(deviations=_deviations(candidate.deviations, 2))


def _lacking(answer: IdentifyAnswer, candidate: Candidate) -> str:
    return ", ".join(dict.fromkeys(_of(answer.readings[i]) for i in candidate.unrecorded))


def _readings(answer: IdentifyAnswer) -> Iterator[Block]:
    yield Heading(say.YOUR_READINGS)
    yield Grid(tuple((_of(r), _value(r)) for r in answer.readings), ("", say.UNDERSTOOD), indent=2)
    if any(len(h.teeth) and h.teeth[0] % 2 for c in answer.candidates for h in c.held):
        yield Para(say.JAWS, tone=QUIET)
    if answer.assumed_limits:
        yield Para(say.ASSUMED, tone=QUIET)


def _of(said: ReadingSaid) -> str:
    return say.ACROSS.format(name=said.name) if said.across else _named(said.name, said.dimension)


def _named(feature: str, dimension: str) -> str:
    return ", ".join(x for x in (feature, dimension.replace(".major", " diameter").replace(".", " ")) if x)


def _value(said: ReadingSaid) -> str:
    """A reading as it was understood, with how far off it may be."""
    if said.value is None or not said.unit:
        return said.written if said.value is None else units.number(said.value)
    value = units.amount(said.value, said.value, said.unit)
    within = f"{units.number(said.within, 4)} {said.unit}".strip()
    template = say.WITH_TOOL if said.tool else say.WITH_SPREAD
    return template.format(value=value, within=within, tool=said.tool)


def _recorded(held: ReadingHeld) -> str:
    sizes = listed(list(dict.fromkeys(map(units.size, held.recorded))), "or") or say.NOT_RECORDED
    return say.OF_TEETH.format(size=sizes, teeth=listed([str(n) for n in held.teeth], "or")) if held.teeth else sizes


def _evidence(answer: IdentifyAnswer, whole: bool) -> Iterator[Block]:
    """Each reading beside what is recorded of each number left, or of the nearest."""
    shown: Sequence[Candidate | NearestMiss] = [answer.none] if answer.none else answer.candidates
    for one in shown if whole else shown[:MOST_LINES]:
        rows = [(_of(answer.readings[h.reading]), _recorded(h), _judged(h)) for h in one.held]
        yield Heading(one.part)
        yield Grid(tuple(rows), ("", say.RECORDED, ""), indent=2)


def _judged(held: ReadingHeld) -> str:
    if held.deviations is not None and held.recorded:
        off = _deviations(held.deviations, 2)
        return say.AGREES if held.deviations == 0 else off
    if not held.agrees:
        return say.NO_SUCH if held.absent else say.OTHER
    return ""


def _apart(catalogue: Catalogue, answer: IdentifyAnswer, shown: Shown, ask: str) -> Iterator[Block]:
    """What tells the first two apart for certain; with --full all of it."""
    apart = answer.apart
    assert apart is not None
    first, second = apart.parts
    yield Heading(say.TOLD_APART)
    if shown.full:
        yield from tell_apart_pages(catalogue, apart, shown, ask)
        return
    found = [d for d in apart.differences if d.word == DIFFERS and d.what != "evidence"]
    if found:
        yield Grid(tuple(difference_row(d) for d in found[:MOST_DIFFERENCES]), ("", first, second), indent=2)
    else:
        yield Para(say.NOT_TOLD_APART.format(first=first, second=second), indent=2)


def _next(answer: IdentifyAnswer, ask: str) -> Iterator[str]:
    """What else there is to show."""
    if answer.apart is not None:
        command = ask.partition(" identify ")[0]
        yield f"{command} tell-apart {answer.apart.parts[0]} {answer.apart.parts[1]}"
    yield f"{ask} --evidence"
