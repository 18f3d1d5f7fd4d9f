"""The answer of ``knockon kit`` as text, in full and its parts: what is lacking, wrong, unproven, and the message."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import OrderLine
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.plan.kit import MISSING, PERHAPS, PRESENT, SHORT, UNPROVEN, KitAnswer, KitGroup, KitPart
from knockon.queries.ui.naming import Naming, asked_words, count, listed
from knockon.queries.ui.sentences.plan import kit as say
from knockon.queries.ui.sentences.plan.verdict import BOTH_SIDES, NOTHING_ASKED
from knockon.queries.ui.terminal.blocks import BAD, GOOD, WARN, Block, Grid, Heading, Para, bullets
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.evidence import measured_words
from knockon.queries.ui.texts.fits.links import no_sentence
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.figures import figure_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions
from knockon.queries.ui.texts.plan.swap.order_list import money
from knockon.queries.ui.texts.plan.undecided import undecided_blocks, without_plan_blocks

HEADINGS = {MISSING: say.MISSING, SHORT: say.SHORT, PERHAPS: say.PERHAPS, UNPROVEN: say.UNPROVEN}


def kit_text(catalogue: Catalogue, answer: KitAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming.on(catalogue, answer.vehicle)
    end = cautions(answer.cautions, unchecked_told(answer))
    blocks: list[Block] = [title(answer), *danger_blocks(naming, answer.findings.wrong), *one_sided_blocks(answer)]
    if not answer.is_planned:
        none = without_plan_blocks(naming, answer.none, (), answer.cautions, answer.not_decided)
        blocks += [*unchecked_blocks(answer), *none]
        return [*blocks, *end]
    blocks += [*verdict_blocks(naming, answer), Para(answer.cautions[0], tone=WARN)]
    blocks += undecided_blocks(answer.not_decided)
    for status in HEADINGS:
        blocks += _groups(answer, status)
    blocks += [*measure_blocks(naming, answer), *why_blocks(naming, answer), *_rest(naming, answer)]
    blocks += [*figure_blocks(naming, answer.figures, answer.meetings), *member_blocks(naming, answer)]
    if answer.message and answer.supplier:  # nobody asks a shelf
        blocks += [Heading(say.MESSAGE), *message_blocks(answer.message, 2)]
    return [*blocks, *end]


def one_sided_blocks(answer: KitAnswer) -> list[Block]:
    """Two parts for one side, where a pair was meant."""
    return [
        Para(
            say.ONE_SIDED.format(
                quantity=one.quantity, part_type=one.part_type, hand=one.hand, parts=listed(list(one.parts))
            ),
            mark="!",
            tone=WARN,
        )
        for one in answer.one_sided
    ]


def title(answer: KitAnswer) -> Block:
    """Which kit, who sells it, for which vehicle, and what was asked."""
    price = money(answer.price) if answer.price is not None else ""
    sold = ", ".join(x for x in (answer.supplier, price) if x)
    sold = ", ".join(x for x in (say.ONE_SIDE if answer.per == "side" else "", sold) if x)
    kit = f"{answer.kit} {answer.title}".strip()
    kit = say.SOLD_AS.format(kit=kit, sold=sold) if sold else kit
    asked = asked_words(answer.asked) or NOTHING_ASKED
    return Para(say.TITLE.format(kit=kit, vehicle=answer.vehicle, asked=asked))


def verdict_blocks(naming: Naming, answer: KitAnswer) -> list[Block]:
    """Whether the kit is complete, what is lacking or wrong, and which checks nobody could make."""
    wrong = [p for p in answer.parts if p.status == "wrong"]
    whole = all(g.status == PRESENT for g in answer.groups)
    said = [_complete(naming, answer), *_counted(answer)]
    if wrong:
        are, them = ("is", "it") if len(wrong) == 1 else ("are", "them")
        said.append(say.WRONG_LINES.format(lines=count(len(wrong), "line"), are=are, them=them))
    short = [g for g in answer.groups if g.status == SHORT]
    if answer.per == "side" and short and all(2 * has >= line.quantity for g in short for line, has in g.lines):
        said.append(say.SECOND_KIT.format(groups=f"the {count(len(short), 'short group')}"))
    good = whole and not wrong
    return [
        Para(" ".join(said), tone=BAD if not good else WARN if answer.set_aside else GOOD),
        *unchecked_blocks(answer),
    ]


def _complete(naming: Naming, answer: KitAnswer) -> str:
    if not answer.groups:
        return say.NOT_NEEDED.format(machine=naming.machine)
    groups = count(len(answer.groups), "order group")
    groups = BOTH_SIDES.format(groups=groups) if naming.has_sides(answer.vehicle) else groups
    there = answer.count(PRESENT)
    if there == len(answer.groups):
        return (say.AS_FAR_AS_READ if answer.set_aside else say.COMPLETE).format(groups=groups)
    if there + answer.count(UNPROVEN) == len(answer.groups):
        return say.NOT_PROVEN.format(groups=groups)
    return say.NOT_COMPLETE.format(there=there, groups=groups)


def _counted(answer: KitAnswer) -> list[str]:
    """How many groups are in each state that is not ``there``."""
    numbers = [(answer.count(status), say.STATES[status]) for status in HEADINGS]
    said = [
        say.COUNTED.format(number=number, are="is" if number == 1 else "are", state=state)
        for number, state in numbers
        if number
    ]
    return [f"{listed(said)}."] if said else []


def message_blocks(message: str, indent: int = 0) -> list[Block]:
    """The message to the seller, ready to send."""
    lines = (line.partition("- ") for line in message.splitlines())
    return [
        Para(text, mark="-", indent=indent) if dash and not before else Para(before + dash + text, indent=indent)
        for before, dash, text in lines
    ]


def why_blocks(naming: Naming, answer: KitAnswer) -> list[Block]:
    """Why lines of the kit are wrong, and which do not go together among themselves beyond that."""
    wrong = [p for p in answer.parts if p.status == "wrong"]
    blocks: list[Block] = [Heading(say.WRONG_COUNT.format(lines=count(len(wrong), "line")))] if wrong else []
    for part in wrong:
        named = say.WRONG_PART.format(part=f"{part.number} {part.name}".strip(), quantity=part.quantity)
        why = [say.REASON.format(check=e.check, why=no_sentence(naming, e)) for e in part.why]
        blocks += [Para(named, mark="!", tone=BAD), *bullets(why or [f"{bare_why(part)}."], indent=4)]
    said = [say.REASON.format(check=e.check, why=no_sentence(naming, e)) for e in at_odds(answer)]
    return [*blocks, *([Heading(say.AT_ODDS), Para(say.AT_ODDS_TOO), *bullets(said, tone=BAD)] if said else [])]


def bare_why(part: KitPart) -> str:
    """Why a part is wrong that no check rules out."""
    return say.OTHER_ASKED if part.unasked else say.IN_NO_PLAN


def at_odds(answer: KitAnswer) -> list[Evidence]:
    """Joints between lines of the kit that are a no, beyond those that rule one of them out."""
    told = {(e.check, frozenset((e.first, e.second))) for p in answer.parts for e in p.why}
    return [e for e in answer.own if (e.check, frozenset((e.first, e.second))) not in told]


def member_blocks(naming: Naming, answer: KitAnswer) -> list[Block]:
    """What members found with parts of the kit."""
    checks = (*(e for p in answer.parts for e in p.why), *answer.own)
    notes = note_blocks(naming.catalogue, checks, beside=answer.notes)
    return [Heading(say.MEMBERS), *notes] if notes else []


def _groups(answer: KitAnswer, status: str) -> list[Block]:
    groups = [g for g in answer.groups if g.status == status]
    if not groups:
        return []
    rows: list[tuple[str, ...]] = []
    for group in groups:
        for i, (line, has) in enumerate(group.lines):
            rows.append((named(group) if i == 0 else "", f"{line.number} {line.name}".strip(), needed(line), str(has)))
    head = (say.GROUP, say.NUMBER_AND_NAME, say.NEEDED, say.IN_KIT)
    blocks: list[Block] = [Heading(HEADINGS[status].format(groups=count(len(groups), "group")))]
    if status == PERHAPS:
        blocks.append(Para(say.ASK_MEANS.format(item=answer.not_itemised)))
    return [*blocks, Grid(tuple(rows), head, right=(2, 3))]


def named(group: KitGroup) -> str:
    """An order group with its hand."""
    return " ".join(x for x in (group.group, group.hand) if x)


def needed(line: OrderLine) -> str:
    """How many of a line are needed."""
    return str(line.quantity) if line.quantity else say.IN_SET


def open_sizes(naming: Naming, answer: KitAnswer) -> list[str]:
    """What to measure on the kit's parts, or to ask for; a dispute between sources as it stands."""
    sizes = dict.fromkeys(size for g in answer.groups if g.status == UNPROVEN for size in g.to_measure)
    disputes = [s for s in sizes if not isinstance(s, SizeOf)]
    words = measured_words(naming, [s for s in sizes if isinstance(s, SizeOf)])
    return [*(say.PLEASE_MEASURE.format(size=w) for w in words), *(say.SETTLE.format(dispute=d) for d in disputes)]


def measure_blocks(naming: Naming, answer: KitAnswer) -> list[Block]:
    """What to measure on the kit's parts, or to ask for."""
    sizes = open_sizes(naming, answer)
    return [Heading(say.TO_MEASURE), *bullets(sizes)] if sizes else []


def surplus(naming: Naming, answer: KitAnswer) -> list[str]:
    """What there is more of than is needed."""
    over = [(p.number, p.over) for p in answer.parts if p.status == "surplus" or (p.over and p.status != "wrong")]
    return [say.OVER.format(part=naming.part(number), over=number_over) for number, number_over in over]


def _rest(naming: Naming, answer: KitAnswer) -> list[Block]:
    there = [g for g in answer.groups if g.status == PRESENT]
    blocks: list[Block] = []
    if there:
        said = [say.THERE_GROUP.format(group=named(g), numbers=", ".join(x.number for x, _ in g.lines)) for g in there]
        heading = say.THERE.format(groups=count(len(there), "group"))
        blocks += [Heading(heading), Para(f"{'; '.join(said)}.")]
    over = surplus(naming, answer)
    if over:
        blocks += [Heading(say.MORE), Para(f"{'; '.join(over)}.")]
    return blocks
