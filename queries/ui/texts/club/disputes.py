"""Contradictions, wish list and merges as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.club.disputes import DisputesAnswer, SizeDispute, SizeSide
from knockon.queries.club.merging import MergeAnswer
from knockon.queries.club.note_disputes import NoteDispute
from knockon.queries.club.what_reads import Hanging, HangingSwap
from knockon.queries.club.wishes import Wish
from knockon.queries.intake.changed import ChangedAnswer
from knockon.queries.tightening import without_torque
from knockon.queries.ui.blocks import BAD, GOOD, QUIET, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.naming import count, listed, sentence
from knockon.queries.ui.texts.club.merge import taken_text
from knockon.queries.ui.texts.findings import finding_line

MOST_OTHERS = 6


def disputes_text(answer: DisputesAnswer) -> Sequence[Block]:
    """All contradictions, then the wish list."""
    total = len(answer.size_disputes) + len(answer.note_disputes)
    if not total:
        blocks: list[Block] = [Para("Nothing contradicts: no two statements of a size, no two notes.", tone=GOOD)]
    else:
        blocks = [Para(f"{count(total, 'contradiction')}. Nothing is averaged; better evidence computes, visibly.")]
    for size in answer.size_disputes:
        blocks += _size(size)
    for notes in answer.note_disputes:
        blocks += _notes(notes)
    return [*blocks, *_wishes(answer), *_cautions(answer.cautions)]


def _cautions(texts: Sequence[str]) -> Iterator[Block]:
    yield Gap()
    yield from (Para(text, tone=QUIET) for text in texts)


def _size(dispute: SizeDispute) -> Iterator[Block]:
    yield Heading(f"{', '.join(dispute.things)}: {dispute.feature}, {dispute.dimension}")
    for side in dispute.sides:
        who = ", ".join(x for x in (side.source or "no source", side.standing, side.member, side.date) if x)
        under = f" Condition: {sentence(side.condition)}" if side.condition else ""
        said = f" {sentence(without_torque(side.text))}" if side.text else ""
        who += f"; so does {listed(side.also, 'and')}, in the same words" if side.also else ""
        computes = "computes" if side.computes else "does not compute"
        yield Para(f"{side.written}{_bounds(side)}: {who}; {computes}.{said}{under}", mark="-")
    yield Para(sentence(dispute.ruling), tone=WARN if not dispute.decided else "")
    yield from _hanging(dispute.answers, dispute.swaps)
    yield Para(f"To settle it: {sentence(dispute.settle)}")


def _bounds(side: SizeSide) -> str:
    if side.low is None or side.high is None or not side.unit:
        return ""
    ends = [side.low] if side.low == side.high else [side.low, side.high]
    inch = f" = {' to '.join(f'{x / 25.4:.4f}' for x in ends)} in" if side.unit == "mm" else ""
    return f" ({' to '.join(f'{x:.6g}' for x in ends)} {side.unit}{inch})"


def _hanging(answers: tuple[Hanging, ...], swaps: tuple[HangingSwap, ...]) -> Iterator[Block]:
    if not answers and not swaps:
        yield Para("No answer hangs on it.")
        return
    yield Para("What hangs on it:")
    for h in answers:
        others = [
            *h.others[:MOST_OTHERS],
            *([f"{len(h.others) - MOST_OTHERS} more"] if len(h.others) > MOST_OTHERS else []),
        ]
        kits = f" Kits with them: {listed(h.kits, 'and')}." if h.kits else ""
        text = f"{h.check}, {h.part} with {listed(others, 'and')}: {_ifs(h)}.{kits}"
        yield Para(text, mark="-", indent=2)
    for swap in swaps:
        yield Para(
            f"the swap {swap.swap}: {swap.part} at {swap.check} is in its plan; {_ifs(swap)}.", mark="-", indent=2
        )


def _ifs(hanging: Hanging | HangingSwap) -> str:
    ifs = "; ".join(f"if {source} is right: {verdict}" for source, verdict in hanging.if_right)
    return f"now {hanging.now}; {ifs}"


def _notes(dispute: NoteDispute) -> Iterator[Block]:
    yield Heading(f"{dispute.check or 'Notes'}: {' with '.join(dispute.parts)}")
    for side in dispute.sides:
        who = ", ".join(x for x in (side.date, side.member, side.standing) if x)
        under = f" Condition: {sentence(side.condition)}" if side.condition else ""
        tone = BAD if side.outcome == "failed" else ""
        copies = f" The same note: {'; '.join(side.also)}." if side.also else ""
        text = f"{side.note} ({who}), {side.outcome}: {sentence(without_torque(side.text))}{under}{copies}"
        yield Para(text, mark="-", tone=tone)
    yield Para(f"What the sizes say: {dispute.sizes_say or 'nothing'}. {sentence(dispute.ruling)}")
    if dispute.explained is not None:
        for thing, written, verdict in dispute.explained.cases:
            yield Para(f"{dispute.explained.size} {written} ({thing}): {verdict}.", mark="-", indent=2)
    hangs = [*dispute.answers, *(f"the kit {k}" for k in dispute.kits)]
    hangs += [f"the plan of the swap {s}" for s in dispute.swaps]
    yield Para(f"What hangs on it: {sentence('; '.join(hangs))}")
    yield Para(f"To settle it: {sentence(dispute.settle)}")


def _wishes(answer: DisputesAnswer) -> Iterator[Block]:
    yield Heading("Wish list")
    if not answer.wishes:
        yield Para("No answer waits for a size.", tone=GOOD)
        return
    yield Para(
        f"{count(answer.unknown_answers, 'answer')} wait for a size. Those come first that open a check in most plans, "
        "then those that unlock most answers."
    )
    yield Grid(
        tuple(
            (str(len(w.plans)), str(w.unlocks), str(w.helps), f"{w.thing}, {w.feature}: {w.dimension}", _where(w))
            for w in answer.wishes
        ),
        ("plans", "unlocks", "helps", "measure", "decides"),
        (0, 1, 2),
    )
    planned = [f"Plans looked through: {'; '.join(answer.swaps_planned)}."] if answer.swaps_planned else []
    planned += [f"No plan: {'; '.join(answer.swaps_without_plan)}."] if answer.swaps_without_plan else []
    if answer.swaps_passed_over:
        planned.append(f"For {count(answer.swaps_passed_over, 'more swap')} no plan was made here (see --plans).")
    yield from (Para(text, tone=QUIET) for text in planned)


def _where(wish: Wish) -> str:
    return listed(wish.checks, "and") + (" (safety-critical)" if wish.safety_critical else "")


def _shares(answer: MergeAnswer) -> Iterator[Block]:
    """Who shared what came in, when, and under what licence."""
    for share in answer.shares:
        name = f"{share.club} ({share.title})" if share.title else share.club
        who = f" by {share.member}" if share.member else ""
        when = f" on {share.at}" if share.at else ", undated"
        licence = f"licence {share.licence}" if share.licence else "no licence is named"
        yield Para(f"{name}: shared{who}{when}; {licence}.")


def merge_text(answer: MergeAnswer) -> Sequence[Block]:
    """What came in and what came of it."""
    blocks: list[Block] = []
    for club in answer.own:
        text = f"{club}: all of it is word for word what your own records say."
        out = f"If it is your own file come back, take it out again: knockon merge --remove {club}"
        blocks.append(Para(f"{text} {out}", tone=WARN))
    blocks += taken_text(answer)
    blocks += _shares(answer)
    for club, *names in answer.namesakes:
        said = f"{club} calls itself {listed(names, 'and')}. If these are two clubs, one name would mix them"
        blocks.append(Para(f"{said}: ask one of them for another short name.", tone=WARN))
    if answer.findings:
        blocks += [
            Heading("Set aside or doubtful"),
            *(Para(f"{f.file}: {finding_line(f)}", mark="-") for f in answer.findings),
        ]
    if answer.differences:
        blocks.append(Heading("Described otherwise (yours is used, both are kept)"))
        blocks += [
            Para(f"{d.thing}, {d.column}: {d.ours}; {d.club} says {d.theirs}.", mark="-") for d in answer.differences
        ]
    contradictions = len(answer.size_disputes) + len(answer.note_disputes)
    blocks += [Gap(), Para(f"{count(contradictions, 'new contradiction')}.", tone=WARN if contradictions else GOOD)]
    for size in answer.size_disputes:
        blocks += _size(size)
    for notes in answer.note_disputes:
        blocks += _notes(notes)
    blocks += [Heading("Answers that flip"), *_flips(answer)]
    return [*blocks, *_cautions(answer.cautions)]


def changed_text(answer: ChangedAnswer) -> Sequence[Block]:
    """What differs between two states of the records, the plan last."""
    news = [("New parts", answer.parts_new), ("Parts gone", answer.parts_gone)]
    news += [("New notes", answer.notes_new), ("Notes gone", answer.notes_gone)]
    blocks: list[Block] = [Para(f"{label}: {', '.join(names)}.") for label, names in news if names]
    contradictions = len(answer.size_disputes) + len(answer.note_disputes)
    blocks.append(Para(f"{count(contradictions, 'new contradiction')}; {answer.settled} are gone or told otherwise."))
    for size in answer.size_disputes:
        blocks += _size(size)
    for notes in answer.note_disputes:
        blocks += _notes(notes)
    blocks += [Heading("Answers that flip"), *_flips(answer)]
    if answer.vehicle:
        blocks += [Heading(f"The plan for {answer.vehicle}"), *_plan_changes(answer)]
    return [*blocks, *_cautions(answer.cautions)]


def _plan_changes(answer: ChangedAnswer) -> Iterator[Block]:
    was_planned, is_planned = answer.planned
    if was_planned and not is_planned:
        yield Para("There was a plan before and there is none now.", tone=WARN)
    elif is_planned and not was_planned:
        yield Para("There is a plan now.", tone=WARN)
    elif not is_planned:
        yield Para("There is no plan, before and now.")
    elif not answer.lines and not answer.places:
        yield Para("The plan is the same: same parts, same places.", tone=GOOD)
    for line in answer.lines:
        yield Para(f"{line.number}: {line.before} before, {line.after} now.", mark="-", tone=WARN)
    for place, before, after in answer.places:
        yield Para(f"{place}: {before or 'nothing'} before, {after or 'nothing'} now.", mark="-", indent=2)


def _flips(answer: MergeAnswer | ChangedAnswer) -> Iterator[Block]:
    if not answer.flips:
        yield Para("No verdict between your own parts is another one now.", tone=GOOD)
    for f in answer.flips:
        yield Para(f"{f.check}, {f.part} with {f.other}: {f.before} before, {f.after} now.", mark="-", tone=WARN)
    if answer.more_flips:
        yield Para(f"and {answer.more_flips} more.")
