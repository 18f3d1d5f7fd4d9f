"""What a merge imported, and what changed between two states of the records, as text."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TypeVar

from knockon.graph.exchange.foreign import Foreign
from knockon.graph.exchange.versions import How, NoLonger
from knockon.queries.club.merging import MergeAnswer, Taken
from knockon.queries.intake.changed import ChangedAnswer
from knockon.queries.ui.naming import count, listed
from knockon.queries.ui.sentences import club as say
from knockon.queries.ui.terminal.blocks import GOOD, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.texts.club.disputes import Dispute, cautions, dispute_blocks
from knockon.queries.ui.texts.findings import finding_line

T = TypeVar("T")
ON_PAGE, DISPUTES_ON_PAGE = 8, 2
"""So many lines of one sort, and contradictions, stand on the first page."""


def merge_text(answer: MergeAnswer, full: bool = True) -> Sequence[Block]:
    """What came in and what came of it; the first page or, ``full``, all."""
    blocks: list[Block] = []
    for club in answer.own:
        blocks += [Para(say.OWN_FILE.format(club=club), tone=WARN), Para(say.OWN_FILE_OUT.format(club=club), tone=WARN)]
    for taken, added in zip(answer.taken, answer.added, strict=True):
        blocks += _one(answer, taken, added)
    for taken, foreign in zip(answer.taken, answer.foreign, strict=True):
        blocks += _foreign(taken.club, foreign)
    blocks += [*_shares(answer), *_photographs(answer)]
    for club, *names in answer.namesakes:
        blocks.append(Para(say.NAMESAKES.format(club=club, names=listed(names)), tone=WARN))
    blocks += _contradictions(answer, full)
    blocks += [Heading(say.FLIPS), *_flips(answer, full)]
    gone = [n for t in answer.taken for n in t.no_longer]
    if gone:
        blocks.append(Heading(say.NO_LONGER))
        blocks += _some(gone, _gone, full, sum(t.more_no_longer for t in answer.taken), tone=WARN)
    if answer.differences:
        blocks += [Heading(say.DIFFERENCES), Para(say.YOURS_USED)]
        blocks += _some(
            answer.differences,
            lambda d: say.DIFFERENCE.format(thing=d.thing, column=d.column, ours=d.ours, club=d.club, theirs=d.theirs),
            full,
        )
    if answer.findings:
        blocks.append(Heading(say.SKIPPED))
        blocks += _some(answer.findings, lambda f: say.FILE_FINDING.format(file=f.file, finding=finding_line(f)), full)
    return [*blocks, *cautions(answer.cautions if full else answer.cautions[:1])]


def _photographs(answer: MergeAnswer) -> Iterator[Block]:
    if answer.photographs is not None and answer.photographs.there:
        yield Para(say.PHOTOGRAPHS_TAKEN.format(there=answer.photographs.there, copied=answer.photographs.copied))
    if answer.photographs is not None and answer.photographs.missing:
        yield Para(say.PHOTOGRAPHS_LACKING.format(missing=answer.photographs.missing), tone=WARN)


def changed_text(answer: ChangedAnswer, full: bool = True) -> Sequence[Block]:
    """What differs between two states of the records: the plan first, then verdicts and contradictions."""
    news = [(say.NEW_PARTS, answer.parts_new), (say.PARTS_GONE, answer.parts_gone)]
    news += [(say.NEW_NOTES, answer.notes_new), (say.NOTES_GONE, answer.notes_gone)]
    blocks: list[Block] = [Para(say.NEWS.format(label=label, names=", ".join(n))) for label, n in news if n]
    blocks += _contradictions(answer, full)
    if answer.settled:
        settled = say.SETTLED_ONE if answer.settled == 1 else say.SETTLED
        blocks.append(Para(settled.format(contradictions=count(answer.settled, "earlier contradiction"))))
    blocks += [Heading(say.FLIPS), *_flips(answer, full)]
    if answer.vehicle:
        blocks += [Heading(say.PLAN_FOR.format(vehicle=answer.vehicle)), *_plan_changes(answer)]
    return [*blocks, *cautions(answer.cautions if full else answer.cautions[:1])]


def _contradictions(answer: MergeAnswer | ChangedAnswer, full: bool) -> Iterator[Block]:
    disputes: list[Dispute] = [*answer.size_disputes, *answer.note_disputes]
    yield Gap()
    if not disputes:
        yield Para(say.NO_CONTRADICTIONS, tone=GOOD)
        return
    yield Para(say.CONTRADICTIONS.format(contradictions=count(len(disputes), "new contradiction")), tone=WARN)
    shown = len(disputes) if full else DISPUTES_ON_PAGE
    for one in disputes[:shown]:
        yield from dispute_blocks(one)
    if len(disputes) > shown:
        yield Para(say.AND_MORE_FULL.format(number=len(disputes) - shown))


def _some(things: Sequence[T], line: Callable[[T], str], full: bool, more: int = 0, tone: str = "") -> Iterator[Block]:
    """A line for each, or for the first of them; ``more`` are not at hand."""
    shown = len(things) if full else ON_PAGE
    yield from (Para(line(one), mark="-", tone=tone) for one in things[:shown])
    left = len(things[shown:]) + more
    if left:
        yield Para((say.AND_MORE if full else say.AND_MORE_FULL).format(number=left))


def _plan_changes(answer: ChangedAnswer) -> Iterator[Block]:
    was_planned, is_planned = answer.planned
    if was_planned and not is_planned:
        yield Para(say.PLAN_GONE, tone=WARN)
    elif is_planned and not was_planned:
        yield Para(say.PLAN_NEW, tone=WARN)
    elif not is_planned:
        yield Para(say.PLAN_NEVER)
    elif not answer.lines and not answer.places:
        yield Para(say.PLAN_SAME, tone=GOOD)
    for line in answer.lines:
        text = say.LINE_CHANGED.format(number=line.number, before=line.before, after=line.after)
        yield Para(text, mark="-", tone=WARN)
    for place, before, after in answer.places:
        text = say.LINE_CHANGED.format(number=place, before=before or say.NOTHING, after=after or say.NOTHING)
        yield Para(text, mark="-", indent=2)


def _flips(answer: MergeAnswer | ChangedAnswer, full: bool) -> Iterator[Block]:
    if not answer.flips:
        yield Para(say.NO_FLIPS, tone=GOOD)
    yield from _some(
        answer.flips,
        lambda f: say.FLIP.format(check=f.check, part=f.part, other=f.other, before=f.before, after=f.after),
        full,
        answer.more_flips,
        tone=WARN,
    )


def _shares(answer: MergeAnswer) -> Iterator[Block]:
    """Who shared what came in, when, and under what licence."""
    for share in answer.shares:
        name = say.CLUB_TITLE.format(club=share.club, title=share.title) if share.title else share.club
        member = say.BY_MEMBER.format(member=share.member) if share.member else ""
        when = say.ON_DAY.format(day=share.at) if share.at else say.UNDATED
        licence = say.LICENCE.format(licence=share.licence) if share.licence else say.NO_LICENCE
        yield Para(say.SHARED_BY.format(club=name, member=member, when=when, licence=licence))


def _foreign(club: str, foreign: Foreign) -> Iterator[Block]:
    """What is understood of statements in other vocabularies, and what does nothing."""
    if foreign.understood:
        rows = listed([count(n, w.removesuffix("s")) for w, n in foreign.rows])
        money = say.CURRENCY.format(currency=foreign.currency) if foreign.currency else ""
        statements = count(foreign.understood, "statement")
        yield Para(say.UNDERSTOOD.format(club=club, statements=statements, rows=rows, money=money))
    if foreign.not_understood:
        statements = count(foreign.not_understood, "statement")
        yield Para(say.NOT_UNDERSTOOD.format(club=club, statements=statements), tone=WARN)
        for example in foreign.examples:
            yield Para(say.EXAMPLE.format(statement=example.statement, reason=example.reason), mark="-")


def _gone(gone: NoLonger) -> str:
    what = say.THING_COLUMN.format(thing=gone.thing, column=gone.column) if gone.column else gone.thing
    now = gone.now or say.NOT_STATED
    return say.GONE.format(what=what, before=gone.before, now=now, source=gone.source or gone.club)


def _one(answer: MergeAnswer, taken: Taken, added: int) -> Iterator[Block]:
    club = taken.club
    if taken.in_future:
        yield Para(say.SHARED_IN_FUTURE.format(club=club, day=taken.in_future), tone=WARN)
        yield Para(say.COUNTS_UNDATED, tone=WARN)
    if not taken.taken:
        yield from (Para(text, tone=WARN) for text in _not_taken(taken))
        return
    if not answer.written:
        yield Para(say.LOOKED_AT.format(club=club))
    elif added:
        yield Para(say.IMPORTED.format(club=club, statements=count(added, "new statement")), tone=GOOD)
    elif taken.how is not How.NEWER:
        yield Para(say.NOTHING_NEW.format(club=club), tone=GOOD)
    if taken.how is How.NEWER:
        older = say.OLDER_OF.format(day=taken.before) if taken.before else say.OLDER_UNDATED
        less = say.SAYS_LESS.format(statements=count(taken.replaced, "earlier statement"))
        gone = less if taken.replaced else say.SAYS_ALL
        yield Para(say.REPLACES.format(club=club, day=taken.shared_at, older=older, gone=gone))
    elif taken.how is How.KEPT:
        yield Para(say.KEPT_BOTH.format(club=club), tone=WARN)
    elif taken.how is How.SAME_TIME:
        yield Para(say.SAME_TIME.format(club=club, day=taken.shared_at), tone=WARN)
    elif taken.how is How.UNDATED:
        yield Para(say.BOTH_UNDATED.format(club=club), tone=WARN)
        yield Para(say.MERGE_AGAIN, tone=WARN)


def _not_taken(taken: Taken) -> tuple[str, ...]:
    """Why a file was not imported, and what to do about it."""
    club = taken.club
    if taken.how is How.NOT_WRITTEN:
        return (say.NOT_WRITTEN.format(club=club),)
    if taken.how is How.NAMESAKE:
        return say.OTHER_NAME.format(club=club), say.REMOVE_FIRST
    if taken.how is How.OLDER:
        return say.OLDER.format(club=club, day=taken.shared_at, before=taken.before), say.OLDER_KEPT_OUT
    return say.NO_TIME.format(club=club, before=taken.before), say.NO_TIME_WAYS
