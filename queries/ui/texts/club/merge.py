"""What a merge took in, as text: how a club's file stands to what the club said before, and what it says no longer."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.exchange.foreign import Foreign
from knockon.graph.exchange.versions import How, NoLonger
from knockon.queries.club.merging import MergeAnswer, Taken
from knockon.queries.ui.blocks import GOOD, WARN, Block, Heading, Para
from knockon.queries.ui.naming import count, listed

MOST_SHOWN = 20


def taken_text(answer: MergeAnswer) -> Iterator[Block]:
    """For each club: what came of its file, and what stood there before."""
    for taken, added in zip(answer.taken, answer.added, strict=True):
        yield from _one(answer, taken, added)
    for taken, foreign in zip(answer.taken, answer.foreign, strict=True):
        yield from _foreign(taken.club, foreign)
    gone = [n for t in answer.taken for n in t.no_longer]
    if gone:
        yield Heading("Said no longer")
    yield from (Para(_line(n), mark="-", tone=WARN) for n in gone[:MOST_SHOWN])
    more = len(gone) + sum(t.more_no_longer for t in answer.taken) - MOST_SHOWN
    if more > 0:
        yield Para(f"and {more} more: --json lists them.")


def _foreign(club: str, foreign: Foreign) -> Iterator[Block]:
    """What is understood of statements in other vocabularies, and what does nothing."""
    if foreign.understood:
        what = listed([count(n, w.removesuffix("s")) for w, n in foreign.rows], "and")
        said = f"{club}: {count(foreign.understood, 'statement')} in other vocabularies are understood, as {what}."
        money = f" Prices are in {foreign.currency}: check that yours are too." if foreign.currency else ""
        yield Para(said + money)
    if foreign.not_understood:
        said = f"{club}: {count(foreign.not_understood, 'statement')} in other vocabularies are not understood"
        yield Para(f"{said} and change no answer.", tone=WARN)
        yield from (Para(f"{e.statement}: {e.reason}.", mark="-") for e in foreign.examples)


def _line(gone: NoLonger) -> str:
    what = f"{gone.thing}, {gone.column}" if gone.column else gone.thing
    now = gone.now or "not stated"
    return f"{what}: {gone.before} before, {now} now ({gone.source or gone.club})."


def _one(answer: MergeAnswer, taken: Taken, added: int) -> Iterator[Block]:
    club = taken.club
    if taken.in_future:
        told = f"{club}: this file says that it was shared on {taken.in_future}, which is in the future."
        yield Para(f"{told} It counts as undated: give the right time with --date.", tone=WARN)
    if not taken.taken:
        yield Para(_not_taken(taken), tone=WARN)
        return
    if not answer.written:
        yield Para(f"{club}: looked at only; nothing was written.")
    elif added:
        yield Para(f"{club}: {count(added, 'new statement')} taken in. Your own records are as they were.", tone=GOOD)
    elif taken.how is not How.NEWER:
        yield Para(f"{club}: everything was there already.", tone=GOOD)
    if taken.how is How.NEWER:
        said = count(taken.replaced, "earlier statement")
        since = f"the one shared on {taken.before}" if taken.before else "what was there, which is undated"
        what = f"It no longer makes {said}, listed below." if taken.replaced else "It still says all of that."
        yield Para(f"{club}: this file, shared on {taken.shared_at}, replaces {since}. {what}")
    elif taken.how is How.KEPT:
        yield Para(f"{club}: what the club said before stays beside what this file says, as you asked.", tone=WARN)
    elif taken.how is How.SAME_TIME:
        told = f"{club}: this file says the same time of sharing as what was there, {taken.shared_at}. Both are kept."
        yield Para(told, tone=WARN)
    elif taken.how is How.UNDATED:
        told = f"{club}: neither this file nor what was there says when it was shared. Both are kept."
        yield Para(f"{told} If this file corrects the other, merge it again with --date.", tone=WARN)


def _not_taken(taken: Taken) -> str:
    if taken.how is How.NOT_WRITTEN:
        return f"{taken.club}: its file could not be written, and the others could. Merge the file again for the rest."
    if taken.how is How.NAMESAKE:
        said = f"{taken.club}: this file gives the club another full name than what is there. Nothing was taken in."
        return f"{said} If the club is the same, take its old file out with --remove first."
    if taken.how is How.OLDER:
        said = f"{taken.club}: this file, shared on {taken.shared_at}, is older than what is there ({taken.before})."
        return f"{said} Nothing was taken in, so that old values do not come back. Use --keep-old to have both."
    said = f"{taken.club}: this file does not say when it was shared, and what is there was shared on {taken.before}."
    ways = "If it is newer, say when with --date. If it only adds to what is there, use --keep-old."
    return f"{said} Nothing was taken in. {ways} Another name (--club) keeps the two apart."
