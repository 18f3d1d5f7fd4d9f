"""The first page of ``knockon kit``: what is lacking in one table, what is wrong, and the rest on demand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import OrderLine
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.kit import PERHAPS, PRESENT, UNPROVEN, KitAnswer, KitGroup
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.sentences.plan import kit as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, Block, Grid, Heading, Para
from knockon.queries.ui.texts.fits.links import absent_line, missed_by
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks
from knockon.queries.ui.texts.plan.figures import figure_blocks
from knockon.queries.ui.texts.plan.kit import (
    at_odds,
    bare_why,
    kit_text,
    measure_blocks,
    member_blocks,
    message_blocks,
    needed,
    one_sided_blocks,
    surplus,
    title,
    verdict_blocks,
    why_blocks,
)
from knockon.queries.ui.texts.plan.swap.first_page import short_dangers
from knockon.queries.ui.texts.plan.swap.head import rules_line, short_cautions
from knockon.queries.ui.texts.plan.undecided import undecided_blocks, without_plan_blocks


def kit_pages(catalogue: Catalogue, answer: KitAnswer, shown: Shown, message: bool, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far."""
    naming = Naming.on(catalogue, answer.vehicle)
    if message:
        return message_blocks(answer.message) if answer.message else [Para(say.NO_MESSAGE)]
    if shown.full:
        return kit_text(catalogue, answer)
    head: list[Block] = [title(answer), *short_dangers(naming, answer.findings.wrong), *one_sided_blocks(answer)]
    if not answer.is_planned:
        end: list[Block] = [rules_line(naming, answer.cautions), *next_blocks([f"{ask} --full"])]
        none = without_plan_blocks(naming, answer.none, (), answer.cautions, answer.not_decided)
        return [*head, *unchecked_blocks(answer), *none, *end]
    head += [*verdict_blocks(naming, answer), *undecided_blocks(answer.not_decided)]
    short = short_cautions(naming, answer.cautions)
    if shown.parts:
        return [*head, *_parts(naming, answer, shown), *short]
    return [*head, *_page(naming, answer), *short, *next_blocks([f"{ask} {o}" for o in _options(naming, answer)])]


def _parts(naming: Naming, answer: KitAnswer, shown: Shown) -> Iterator[Block]:
    """The parts that are asked for by themselves; of one that is empty, that it is."""
    if shown.why is not None:
        yield from why_blocks(naming, answer) or [Para(say.NOTHING_WRONG)]
    if shown.measure:
        yield from measure_blocks(naming, answer) or [Para(say.NOTHING_OPEN)]
    if shown.evidence:
        yield from figure_blocks(naming, answer.figures, answer.meetings)
    if shown.notes:
        yield from member_blocks(naming, answer) or [Para(say.NO_NOTES)]


def _options(naming: Naming, answer: KitAnswer) -> Iterator[str]:
    """What else there is to show."""
    if answer.message and answer.supplier:
        yield "--message"
    if why_blocks(naming, answer):
        yield "--why"
    if measure_blocks(naming, answer):
        yield "--measure"
    yield "--full"


def _page(naming: Naming, answer: KitAnswer) -> Iterator[Block]:
    lacking = [g for g in answer.groups if g.status != PRESENT]
    if lacking:
        yield Heading(say.LACKS)
        rows = _rows(naming, lacking)
        yield Grid(tuple(rows), (say.STATE, say.NEEDED, say.IN_KIT, say.NUMBER_AND_NAME), right=(1, 2))
        if any(g.status == PERHAPS for g in lacking):
            yield Para(say.ASK_MEANS.format(item=answer.not_itemised), tone=QUIET)
    wrong = [p for p in answer.parts if p.status == "wrong"]
    if wrong:
        yield Heading(say.WRONG)
    for part in wrong:
        why = short_no(part.why[0]) if part.why else bare_why(part)
        named = f"{part.number} {part.name}".strip()
        yield Para(say.WRONG_LINE.format(quantity=part.quantity, part=named, why=why), mark="!", tone=BAD)
    clashes = dict.fromkeys(say.CLASH.format(first=e.first, second=e.second) for e in at_odds(answer))
    if clashes:
        yield Para(say.CLASHES.format(pairs="; ".join(clashes)), mark="!", tone=BAD)
    there = [line.number for g in answer.groups if g.status == PRESENT for line, _ in g.lines]
    over = surplus(naming, answer)
    if there:
        yield Para(say.HAS.format(parts=naming.hands(there)))
    if over:
        yield Para(say.NO_MORE.format(parts="; ".join(over)))


def _rows(naming: Naming, groups: Sequence[KitGroup]) -> Iterator[tuple[str, ...]]:
    """A row a line that is lacking or unproven, a left and a right one in one."""
    left = [(g.status, line, has) for s in say.ROW_STATES for g in groups if g.status == s for line, has in g.lines]
    whole = {line.number for _, line, _ in left if line.quantity}  # of a set at two positions one line says it
    left = [x for x in left if x[0] == UNPROVEN or not _enough(x[1], x[2])]
    left = [x for x in left if x[1].quantity or x[1].number not in whole]
    while left:
        status, line, has = left.pop(0)
        number, both, there = line.number, needed(line), str(has)
        known = naming.catalogue.parts.get(line.number)
        mirror = known.mirror_of if known else ""
        other = next((x for x in left if mirror and x[1].number == mirror and x[0] == status), None)
        if other is not None:
            left.remove(other)
            number = naming.hands([line.number, mirror])
            both, there = f"{line.quantity} + {other[1].quantity}", f"{has} + {other[2]}"
        yield say.ROW_STATES[status], both, there, f"{number} {line.name}".strip()


def _enough(line: OrderLine, has: int) -> bool:
    return has >= line.quantity if line.quantity else has > 0


def short_no(evidence: Evidence) -> str:
    """Why a check is a no, in a few words."""
    lacking = absent_line(evidence) if evidence.kind == "joint" else None
    lines = [x for x in evidence.lines if x.state == "no"]
    if lacking is not None:
        why = say.NO_FEATURE.format(feature=lacking.label)
    elif evidence.kind == "joint":
        why = next((x.says for x in lines if x.says), str(evidence.verdict)).partition(":")[0]
    else:
        why = missed_by(evidence.lines[0]) if evidence.lines else str(evidence.verdict)
    return say.WHY_SHORT.format(check=evidence.check, why=why)
