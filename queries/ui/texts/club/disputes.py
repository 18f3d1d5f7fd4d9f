"""Contradictions and the sizes to record as text: one page; what depends on each, and who said what, on demand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.club.disputes import DisputesAnswer, SizeDispute, SizeSide
from knockon.queries.club.note_disputes import NoteDispute, NoteSide
from knockon.queries.club.what_reads import Hanging, HangingSwap
from knockon.queries.club.wishes import Wish
from knockon.queries.tightening import without_torque
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import count, listed, sentence
from knockon.queries.ui.sentences import club as say
from knockon.queries.ui.terminal.blocks import BAD, GOOD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.texts.cautions import in_short

Dispute = SizeDispute | NoteDispute
MOST_OTHERS = 6
ON_PAGE = 5
"""So many contradictions stand on the first page."""


def disputes_pages(catalogue: Catalogue, answer: DisputesAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, what depends on each, the notes, or all. ``ask``: the command
    so far."""
    if shown.full:
        return disputes_text(answer)
    disputes: list[Dispute] = [*answer.size_disputes, *answer.note_disputes]
    blocks: list[Block] = [*_head(disputes)]
    if shown.parts:
        for one in disputes:
            blocks += [*_title(one), *_sides(one, in_full=shown.notes)]
            blocks += [*_ruling(one), *_depending(one)] if shown.why is not None else []
        return [*blocks, Gap(), in_short(catalogue, answer.cautions)]
    if len(disputes) > ON_PAGE:
        blocks.append(Para(say.DISPUTES_FIRST.format(shown=ON_PAGE)))
    for one in disputes[:ON_PAGE]:
        blocks += [*_title(one), *_sides(one, in_full=False)]
        decided = isinstance(one, SizeDispute) and one.decided  # the sides show which size is used
        blocks += [] if decided else _ruling(one)
        settle = say.SETTLE.format(how=sentence(one.settle))
        blocks.append(Para(f"{_how_many_depend(one)} {settle}"))
    blocks += [*_wishes(answer), Gap(), Para(answer.cautions[0], tone=WARN), in_short(catalogue, answer.cautions)]
    options = ["--why", "--notes"] if disputes else []
    return [*blocks, *next_blocks([f"{ask} {option}" for option in (*options, "--full")])]


def disputes_text(answer: DisputesAnswer) -> Sequence[Block]:
    """All contradictions, then the sizes to record."""
    disputes: list[Dispute] = [*answer.size_disputes, *answer.note_disputes]
    blocks: list[Block] = [*_head(disputes)]
    for one in disputes:
        blocks += dispute_blocks(one)
    return [*blocks, *_wishes(answer), *cautions(answer.cautions)]


def dispute_blocks(one: Dispute) -> Iterator[Block]:
    """One contradiction in full: who says what, how it is decided, what depends on it, what would settle it."""
    yield from (*_title(one), *_sides(one, in_full=True), *_ruling(one), *_depending(one))
    yield Para(say.SETTLE.format(how=sentence(one.settle)))


def cautions(texts: Sequence[str]) -> Iterator[Block]:
    """The cautions below an answer."""
    yield Gap()
    yield from (Para(text, tone=QUIET) for text in texts)


def _head(disputes: Sequence[Dispute]) -> Iterator[Block]:
    if disputes:
        yield Para(say.DISPUTES.format(contradictions=count(len(disputes), "contradiction")))
    else:
        yield Para(say.NO_DISPUTES, tone=GOOD)


def _title(one: Dispute) -> Iterator[Block]:
    yield Gap()
    if isinstance(one, SizeDispute):
        things = ", ".join(one.things)
        text = say.SIZE_HEAD.format(things=things, feature=one.feature, dimension=one.dimension)
    else:
        text = say.NOTES_HEAD.format(check=one.check or say.NOTES, parts=say.WITH.join(one.parts))
    yield Para(text, tone=STRONG)


def _sides(one: Dispute, in_full: bool) -> Iterator[Block]:
    """Who says what; ``in_full``: in whose words, and under which condition."""
    if isinstance(one, SizeDispute):
        yield from (_size_side(side, in_full) for side in one.sides)
    else:
        yield from (_note_side(side, in_full) for side in one.sides)


def _size_side(side: SizeSide, in_full: bool) -> Block:
    who = ", ".join(x for x in (side.source or say.NO_SOURCE, side.standing, side.member, side.date) if x)
    used = say.USED if side.computes else say.NOT_USED
    text = say.SIDE_SHORT.format(written=side.written, bounds=_bounds(side), used=used, who=who)
    if side.also:
        verb = say.SAYS if len(side.also) == 1 else say.SAY
        text += say.SIDE_ALSO.format(sources=listed(side.also), say=verb)
    if in_full:
        text += f" {sentence(without_torque(side.text))}" if side.text else ""
        text += say.CONDITION.format(condition=sentence(side.condition)) if side.condition else ""
    return Para(text, mark="-")


def _note_side(side: NoteSide, in_full: bool) -> Block:
    who = ", ".join(x for x in (side.date, side.member, side.standing) if x)
    said = sentence(without_torque(side.text))
    text = say.NOTE_SIDE.format(note=side.note, who=who, outcome=side.outcome, text=said)
    text += say.CONDITION.format(condition=sentence(side.condition)) if side.condition and in_full else ""
    text += say.COPIES.format(notes="; ".join(side.also)) if side.also else ""
    return Para(text, mark="-", tone=BAD if side.outcome == "failed" else "")


def _bounds(side: SizeSide) -> str:
    """The size in the unit in which it was not written."""
    if side.low is None or side.high is None or not side.unit:
        return ""
    ends = [side.low] if side.low == side.high else [side.low, side.high]
    if side.unit == "mm" and "mm" in side.written:
        return say.BOUNDS.format(bounds=_from_to([f"{x / 25.4:.4f}" for x in ends], "in"))
    return say.BOUNDS.format(bounds=_from_to([f"{x:.6g}" for x in ends], side.unit))


def _from_to(ends: Sequence[str], unit: str) -> str:
    span = say.TO.format(low=ends[0], high=ends[-1]) if len(ends) > 1 else ends[0]
    return f"{span} {unit}"


def _ruling(one: Dispute) -> Iterator[Block]:
    if isinstance(one, SizeDispute):
        yield Para(sentence(one.ruling), tone="" if one.decided else WARN)
        return
    yield Para(say.SIZES_SAY.format(verdict=one.sizes_say or say.NOTHING, ruling=sentence(one.ruling)))
    if one.explained is not None:
        for thing, written, verdict in one.explained.cases:
            text = say.CASE.format(size=one.explained.size, written=written, thing=thing, verdict=verdict)
            yield Para(text, mark="-", indent=2)


def _depending(one: Dispute) -> Iterator[Block]:
    """The answers that depend on whom one believes."""
    if isinstance(one, SizeDispute):
        yield from _hanging(one.answers, one.swaps)
    else:
        yield Para(say.DEPENDS_ON.format(answers=sentence("; ".join(_of_notes(one)))))


def _of_notes(one: NoteDispute) -> list[str]:
    plans = (say.THE_PLAN.format(swap=s) for s in one.swaps)
    return [*one.answers, *(say.THE_KIT.format(kit=k) for k in one.kits), *plans]


def _how_many_depend(one: Dispute) -> str:
    number = len(one.answers) + len(one.swaps) if isinstance(one, SizeDispute) else len(_of_notes(one))
    if not number:
        return say.NOTHING_DEPENDS
    return (say.DEPENDS_ONE if number == 1 else say.DEPENDING).format(number=count(number, "answer"))


def _hanging(answers: tuple[Hanging, ...], swaps: tuple[HangingSwap, ...]) -> Iterator[Block]:
    if not answers and not swaps:
        yield Para(say.NOTHING_DEPENDS)
        return
    yield Para(say.DEPENDS)
    for one in answers:
        more = len(one.others) - MOST_OTHERS
        others = [*one.others[:MOST_OTHERS], *([say.MORE.format(number=more)] if more > 0 else [])]
        text = say.CHECK_DEPENDS.format(check=one.check, part=one.part, others=listed(others), verdicts=_ifs(one))
        text += say.KITS_WITH.format(kits=listed(one.kits)) if one.kits else ""
        yield Para(text, mark="-", indent=2)
    for swap in swaps:
        text = say.SWAP_DEPENDS.format(swap=swap.swap, part=swap.part, check=swap.check, verdicts=_ifs(swap))
        yield Para(text, mark="-", indent=2)


def _ifs(hanging: Hanging | HangingSwap) -> str:
    ifs = (say.IF_RIGHT.format(source=source, verdict=verdict) for source, verdict in hanging.if_right)
    return "; ".join((say.NOW.format(verdict=hanging.now), *ifs))


def _wishes(answer: DisputesAnswer) -> Iterator[Block]:
    """The sizes that nobody recorded, those first that open most plans."""
    yield Heading(say.WISHES)
    if not answer.wishes:
        yield Para(say.NO_WISHES, tone=GOOD)
        return
    wait = say.WAITS if answer.unknown_answers == 1 else say.WAIT
    yield Para(say.WAITING.format(answers=wait.format(answers=count(answer.unknown_answers, "answer"))))
    rows = ((str(len(w.plans)), str(w.unlocks), str(w.helps), _wished(w), _where(w)) for w in answer.wishes)
    yield Grid(tuple(rows), say.WISH_HEADS, (0, 1, 2))
    if answer.swaps_planned:
        yield Para(say.PLANS_READ.format(swaps="; ".join(answer.swaps_planned)), tone=QUIET)
    if answer.swaps_without_plan:
        yield Para(say.NO_PLAN.format(swaps="; ".join(answer.swaps_without_plan)), tone=QUIET)
    if answer.swaps_passed_over:
        swaps = count(answer.swaps_passed_over, "more swap")
        yield Para(say.PLANS_SKIPPED.format(swaps=swaps), tone=QUIET)


def _wished(wish: Wish) -> str:
    return say.WISH.format(thing=wish.thing, feature=wish.feature, dimension=wish.dimension)


def _where(wish: Wish) -> str:
    return listed(wish.checks) + (say.SAFETY if wish.safety_critical else "")
