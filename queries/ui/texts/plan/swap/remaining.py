"""What becomes of the parts that are not on the order list: stays, moves over, stays after work, leaves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from knockon.queries.plan.changes import FREED, KEPT, KEPT_AFTER_WORK, MOVED_OVER, TAKEN_OFF, Change
from knockon.queries.plan.swap import SwapAnswer
from knockon.queries.ui.naming import Naming, listed, places_in_words
from knockon.queries.ui.sentences.plan import order as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para
from knockon.queries.ui.texts.fits.links import no_sentence


def grouped(naming: Naming, changes: Iterable[Change], new: bool = False) -> list[str]:
    """Changes as ``position: numbers``, both hands together, positions of one number together."""
    numbers: dict[str, list[str]] = {}
    for change in changes:
        numbers.setdefault(change.position, []).append(change.new if new else change.old)
    by_number: dict[str, list[str]] = {}
    for position, found in numbers.items():
        by_number.setdefault(naming.hands(found), []).append(position)
    return [
        say.PARTS.format(positions=listed(positions), numbers=number).strip() for number, positions in by_number.items()
    ]


def with_status(answer: SwapAnswer, *statuses: str) -> list[Change]:
    """The changes that are one of these."""
    return [c for c in answer.changes if c.status in statuses]


def by_cause(changes: Sequence[Change]) -> dict[str, list[Change]]:
    """Changes by their cause, in order."""
    said: dict[str, list[Change]] = {}
    for change in changes:
        said.setdefault(change.cause, []).append(change)
    return said


def remaining_blocks(naming: Naming, answer: SwapAnswer) -> list[Block]:
    """What becomes of everything that is not on the order list."""
    return [Heading(say.OTHER_PARTS), *_staying(naming, answer), *_worked_on(naming, answer), *_leaving(naming, answer)]


def _staying(naming: Naming, answer: SwapAnswer) -> list[Block]:
    blocks: list[Block] = []
    for template, status in ((say.STAY, KEPT), (say.MOVE, MOVED_OVER)):
        found = grouped(naming, [c for c in with_status(answer, status) if not c.not_recorded])
        blocks += [Para(template.format(parts="; ".join(found)), mark="-")] if found else []
    for cause, changes in by_cause(with_status(answer, TAKEN_OFF)).items():
        found = grouped(naming, [c for c in changes if not c.not_recorded])
        blank = [c.place for c in changes if c.not_recorded]
        found += [say.NOT_RECORDED_AT.format(places=places_in_words(blank))] if blank else []
        blocks.append(Para(say.OFF_AND_ON.format(parts="; ".join(found), cause=cause), mark="-"))
    blank = [c.place for c in with_status(answer, KEPT, MOVED_OVER) if c.not_recorded]
    if blank:
        blocks.append(Para(say.TAKEN_TO_STAY.format(places=places_in_words(blank)), mark="-", tone=WARN))
    return blocks


def after_work(naming: Naming, answer: SwapAnswer) -> list[tuple[str, str, list[Change]]]:
    """(parts, the work after which they stay, their changes)."""
    found = by_cause(with_status(answer, KEPT_AFTER_WORK)).items()
    return [(f"{places_in_words([c.place for c in cs])} {naming.hands(c.old for c in cs)}", w, cs) for w, cs in found]


def _worked_on(naming: Naming, answer: SwapAnswer) -> list[Block]:
    blocks: list[Block] = []
    for parts, work, changes in after_work(naming, answer):
        noes = dict.fromkeys(f"{e.check}: {no_sentence(naming, e)}" for c in changes for e in c.evidence)
        text = say.AFTER_WORK.format(parts=parts, work=work)
        text += f" {say.WITHOUT_WORK.format(noes='; '.join(noes))}" if noes else ""
        blocks.append(Para(text, mark="-"))
    return blocks


def _leaving(naming: Naming, answer: SwapAnswer) -> list[Block]:
    replaced = [c for c in answer.changes if c.old and c.old != c.new and c.status not in (FREED, KEPT_AFTER_WORK)]
    both = ((say.LEAVE, with_status(answer, FREED)), (say.REPLACED, replaced))
    said = ((template, "; ".join(grouped(naming, changes))) for template, changes in both)
    return [Para(template.format(parts=parts), mark="-") for template, parts in said if parts]
