"""A record in words: what changed, and what that rests on. Screens and prints say the same."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from knockon.graph.jobs.events import CheckBuilt, PlaceBuilt
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.job.record import RecordAnswer, StepTaken
from knockon.queries.plan.changes import FREED, KEPT_AFTER_WORK, NEW
from knockon.queries.tightening import without_torque
from knockon.queries.ui.naming import Naming, count, listed, places_in_words
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.steps_in_words import limits, tightened

MOST_CHECKS = 6
"""So many checks that are not proven are named on the first page, of each verdict."""
_PROVEN = (Verdict.FITS.value, Verdict.FITS_WITH_WORK.value)


def named(answer: RecordAnswer) -> str:
    """The vehicle with its title."""
    return say.NAMED.format(title=answer.title, vehicle=answer.vehicle) if answer.title else answer.vehicle


def facts(answer: RecordAnswer) -> Iterator[str]:
    """What was asked, who did and checked it, and which arrangement it had and has."""
    if answer.asked:
        yield say.RECORD_ASKED.format(asked=listed([f"{option} {words}" for option, words in answer.asked]))
    if answer.closed is not None:
        closed = answer.closed
        yield say.RECORD_CLOSED.format(by=closed.by, second=closed.read, at=day_of(closed.at))
    if answer.was != answer.now:
        yield say.ARRANGED.format(was=answer.was or say.NOT_RECORDED, now=answer.now)
    if answer.note:
        yield say.NOTE_THERE.format(note=answer.note)


def day_of(at: str) -> str:
    """The day of a time."""
    return at[:10]


def changed(answer: RecordAnswer) -> Iterator[tuple[str, str, str]]:
    """Each place that changed with what it had and has, both sides at once where they are alike."""
    alike: dict[tuple[str, str, str, str], list[PlaceBuilt]] = {}
    for place in answer.places:
        alike.setdefault((place.position, place.old, place.new, place.status), []).append(place)
    for (position, old, new, status), places in alike.items():
        before = old or (say.NOTHING if status == NEW else say.NOT_RECORDED)
        after = new or next((p.thing for p in places if p.thing), "")
        after = after or (say.NOTHING if status == FREED else say.NOT_RECORDED)
        if status == KEPT_AFTER_WORK:
            after = say.REWORKED.format(thing=after)
        yield places_in_words([Place(position, p.side) for p in places]), before, after


def changed_lines(naming: Naming, answer: RecordAnswer) -> list[str]:
    """The same as sentences, with the new parts' names."""
    return [
        say.PLACE_LINE.format(place=place, old=old, new=new_in_words(naming, old, new))
        for place, old, new in changed(answer)
    ]


def new_in_words(naming: Naming, old: str, new: str) -> str:
    """What a place has now, with its name; a new one of the number that was there is called so."""
    words = naming.part(new) if new in naming.catalogue.parts else new
    return say.A_NEW.format(part=words) if old == new and new in naming.catalogue.parts else words


def changed_in_short(naming: Naming, answer: RecordAnswer) -> list[str]:
    """What changed, a line for each new number; what came off and what was renewed by its own number in one line."""
    lines: dict[str, list[str]] = {}
    renewed, off = [], []
    for place, old, new in changed(answer):
        if new == say.NOTHING:
            off.append(place)
        elif new == old:
            renewed.append(place)
        else:
            lines.setdefault(new_in_words(naming, old, new), []).append(place)
    said = [say.NOW_THERE.format(places=listed(places), new=new) for new, places in lines.items()]
    said += [say.RENEWED_ALIKE.format(places=listed(renewed))] if renewed else []
    return said + ([say.CAME_OFF.format(places=listed(off))] if off else [])


def note_text(answer: RecordAnswer) -> str:
    """What a club note says of it."""
    lines = [say.NOTE_CHANGE.format(places=place, old=old, new=new) for place, old, new in changed(answer)]
    by, second = (answer.closed.by, answer.closed.read) if answer.closed is not None else ("", "")
    return say.NOTE_TEXT.format(plan=answer.plan, changes="; ".join(lines), by=by, second=second)


def short_sections(answer: RecordAnswer) -> Iterator[tuple[str, list[str]]]:
    """What the first page shows: checks not proven, readings, steps that nobody ticked."""
    open_ones = _unproven(answer)
    if open_ones:
        yield say.CHECKS_HEAD, [say.BY_VERDICT.format(verdict=v, checks=_some(n)) for v, n in open_ones.items()]
    elif answer.checks:
        yield say.CHECKS_ALL_HEAD, [say.CHECKS_PROVEN.format(count=count(len(answer.checks), say.CHECKS))]
    yield say.READINGS_HEAD, list(_readings(answer)) or [say.NO_READINGS]
    if answer.not_ticked:
        yield say.NOT_TICKED_HEAD, [listed([_step(s) for s in answer.not_ticked])]


def whole_sections(answer: RecordAnswer) -> Iterator[tuple[str, list[str]]]:
    """All of the record, a heading and its lines each."""
    if answer.checks:
        yield say.CHECKS_ALL_HEAD, [check_line(c, with_sources=True) for c in answer.checks]
    yield say.READINGS_HEAD, list(_readings(answer)) or [say.NO_READINGS]
    if answer.goods:
        yield (
            say.GOODS_HEAD,
            [
                say.GOODS_LINE.format(
                    quantity=g.quantity,
                    part=g.part,
                    verdict=g.verdict,
                    by=g.by,
                    readings="".join(f", {without_torque(r)}" for r in g.readings),
                )
                for g in answer.goods
            ],
        )
    done = [s for s in answer.steps if s.done is not None]
    if done:
        yield say.STEPS_DONE_HEAD, [_done_line(s) for s in done]
    tight = [tightened(t) for s in answer.steps for t in s.tightening if t.source]
    if tight:
        yield say.TIGHTENING_HEAD, tight
    if answer.not_ticked:
        yield say.NOT_TICKED_HEAD, [_step(s) for s in answer.not_ticked]


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_CHECKS
    shown = [*names[:MOST_CHECKS], *([say.MORE_CHECKS.format(count=count(more, say.CHECKS))] if more > 0 else [])]
    return "; ".join(shown)


def _step(step: StepTaken) -> str:
    return f"{step.side} {step.step}".strip()


def _done_line(step: StepTaken) -> str:
    assert step.done is not None
    read = say.STEP_READ.format(read=step.done.read) if step.done.read else ""
    return say.STEP_LINE.format(step=_step(step), by=step.done.by, at=day_of(step.done.at), read=read)


def _readings(answer: RecordAnswer) -> Iterator[str]:
    for step in answer.steps:
        if step.done is not None and step.done.read:
            r = step.reading
            yield say.READING_LINE.format(
                step=_step(step),
                read=step.done.read,
                limits=limits(r.low, r.high, r.unit) if r is not None else "",
                by=step.done.by,
                at=day_of(step.done.at),
            )


def check_line(check: CheckBuilt, with_sources: bool) -> str:
    """A check with its verdict, what is missing, and its sources."""
    positions = dict.fromkeys(p.removeprefix("left ").removeprefix("right ") for p in check.places)
    return say.CHECK_LINE.format(
        check=check.check,
        places=listed(list(positions)),
        verdict=check.verdict,
        missing=say.MISSING.format(sizes=listed(list(check.missing))) if check.missing else "",
        sources=say.SOURCES.format(sources="; ".join(check.sources)) if with_sources and check.sources else "",
    )


def inspector_sections(answer: RecordAnswer) -> Iterator[tuple[str, list[str]]]:
    """What the change rests on, what is not proven, and what to ask; never a verdict on the law."""
    counted = Counter(c.verdict for c in answer.checks)
    lines = [say.COUNTED.format(count=count(n, say.CHECKS), verdict=v) for v, n in sorted(counted.items())]
    lines += [say.RECORDS_OF.format(sources=listed(list(answer.sources)))] if answer.sources else []
    yield say.EVIDENCE_HEAD, lines
    unproven = _unproven(answer)
    if unproven:
        yield say.CHECKS_HEAD, [say.BY_VERDICT.format(verdict=v, checks="; ".join(n)) for v, n in unproven.items()]
    yield say.ASK_HEAD, [*say.ASK_THESE.splitlines(), *([say.ASK_UNPROVEN] if unproven else [])]


def _unproven(answer: RecordAnswer) -> dict[str, list[str]]:
    """The checks that are not proven, by verdict."""
    found: dict[str, list[str]] = {}
    for check in (c for c in answer.checks if c.verdict not in _PROVEN):
        found.setdefault(check.verdict, []).append(check.check)
    return found
