"""The first page of ``knockon swap``: on one screen what is dangerous, the verdict, what to order and why, what to
measure, what it does, what it costs; and the parts of the long answer by themselves."""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout_words import DANGER
from knockon.queries.answers import OrderLine
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.cheapest_order import CheapestOrder
from knockon.queries.plan.measure import is_absence, looks
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.swap import FIRST_PAGE, Plan, SwapAnswer
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import measure as measuring
from knockon.queries.ui.sentences.plan import no_plan, order
from knockon.queries.ui.sentences.plan import verdict as say
from knockon.queries.ui.terminal.blocks import BAD, PLAIN, STRONG, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.terminal.screen import WIDEST
from knockon.queries.ui.texts.fits.dangers import dangers_first, remark_within
from knockon.queries.ui.texts.fits.hands import hand_blocks
from knockon.queries.ui.texts.fits.links import no_sentence, sizes_of
from knockon.queries.ui.texts.fits.number_chain import chain_blocks, now_blocks
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks
from knockon.queries.ui.texts.plan.cheapest_order import order_in_short
from knockon.queries.ui.texts.plan.figures import estimate_text
from knockon.queries.ui.texts.plan.measure import expected, looked_at
from knockon.queries.ui.texts.plan.no_plan import unknown_blocks
from knockon.queries.ui.texts.plan.swap.head import changes_nothing, rules_line, title, verdict_blocks, what_else
from knockon.queries.ui.texts.plan.swap.order_list import money, not_offered, order_heading
from knockon.queries.ui.texts.plan.swap.order_tree import Branch, order_tree
from knockon.queries.ui.texts.plan.swap.others import other_plans
from knockon.queries.ui.texts.plan.swap.remaining import after_work
from knockon.queries.ui.texts.plan.swap.whole import found_by_members, measured_first, swap_text
from knockon.queries.ui.texts.plan.swap.why_blocks import stop_blocks, why_at, why_blocks
from knockon.queries.ui.texts.plan.turning import short_turning
from knockon.queries.ui.texts.plan.undecided import undecided_blocks, without_plan_blocks
from knockon.queries.ui.texts.plan.unproven import unproven_blocks

INDENT, REASON_AT = 2, 48
READINGS = FIRST_PAGE.first


def swap_pages(
    catalogue: Catalogue,
    answer: SwapAnswer,
    shown: Shown,
    ask: str,
    ask_for: Callable[[Sequence[Asked]], str],
    type_reading: Callable[[str], str],
    buy: str = "",
) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far;
    ``ask_for``: the command that asks for something else of the same vehicle; ``type_reading``: the one that writes
    down what was read; ``buy``: the one that says what to buy where.

    Raises UnknownNameError where no reason is told at the position that ``shown`` names.
    """
    if shown.full or (answer.plan is not None and changes_nothing(answer)):
        return swap_text(catalogue, answer, type_reading)
    naming, plan = Naming.on(catalogue, answer.vehicle), answer.plan
    if plan is None:
        return [title(answer), *_no_plan(naming, answer, ask, ask_for)]
    if not shown.parts:
        return [title(answer), *_first_page(naming, answer, plan, ask, buy)]
    blocks: list[Block] = [
        title(answer),
        *short_dangers(naming, answer.findings.wrong),
        *verdict_blocks(naming, answer, plan),
        *undecided_blocks(answer.not_decided, best_said=True),
    ]
    if shown.why is not None:
        if shown.why:
            blocks += why_at(naming, answer, plan, shown.why)
        else:
            blocks += unknown_blocks(naming, answer.unknowns, answer.opens)
            blocks += [*why_blocks(naming, answer, plan), *stop_blocks(naming, answer.stops)]
    blocks += measured_first(naming, answer, type_reading) if shown.measure else []
    if shown.why is not None or shown.evidence:
        blocks += [b for one in plan.superseded for b in chain_blocks(naming, one.part, one.chain)]
    if shown.evidence:
        blocks += unproven_blocks(naming, plan.unproven)
        blocks += hand_blocks(naming, (line.number for g in plan.groups for line in g.lines))
    blocks += found_by_members(naming, answer, plan) if shown.notes else []
    blocks += other_plans(plan, answer.alternatives) if shown.others else []
    return [*blocks, Gap(), *cautions_in_short(naming, answer)]


def _no_plan(
    naming: Naming, answer: SwapAnswer, ask: str, ask_for: Callable[[Sequence[Asked]], str]
) -> Iterator[Block]:
    """Why there is none, and what would open it; what a missing part would have to be is named only."""
    yield from short_dangers(naming, answer.findings.wrong)
    yield from unchecked_blocks(answer)
    yield from without_plan_blocks(naming, answer.none, answer.opens, answer.cautions, answer.not_decided)
    if answer.would_open:
        ways = [listed([places_in_words(spec.places) for spec in way]) for way in answer.would_open]
        places = functools.reduce(lambda x, y: no_plan.OR_THERE.format(places=x, others=y), dict.fromkeys(ways))
        yield Para(no_plan.ANOTHER_PART.format(places=places), mark="-")
    yield rules_line(naming, answer.cautions)
    less = [[a for a in answer.asked if a not in o.dropped] for o in answer.opens if o.dropped]
    yield from next_blocks([*(ask_for(asked) for asked in less if asked), f"{ask} --full"])


def _first_page(naming: Naming, answer: SwapAnswer, plan: Plan, ask: str, buy: str) -> Iterator[Block]:
    yield from short_dangers(naming, answer.findings.wrong)
    yield from verdict_blocks(naming, answer, plan)
    yield from undecided_blocks(answer.not_decided, best_said=True)
    yield from what_else(naming, answer, plan)
    tree = order_tree(naming, answer, plan)
    if tree:
        yield order_heading(naming.has_sides(answer.vehicle))
        yield from _branches(naming, tree, 0)
        yield from now_blocks(plan.superseded)
        yield from work_blocks(naming, answer)
        yield from cost_blocks(naming, plan, answer.order)
    else:
        yield from work_blocks(naming, answer)
    yield from reading_blocks(answer, ask)
    yield from figures_in_short(answer)
    yield Gap()
    yield from cautions_in_short(naming, answer)
    offered = any(line.offer for group in plan.groups for line in group.lines)
    yield from _next(answer, tree, ask, buy if offered else "")


def short_dangers(naming: Naming, wrong: Iterable[Evidence]) -> Iterator[Block]:
    """What is wrong on the vehicle as it stands, in short."""
    for evidence in dangers_first(wrong):
        lead = naming.words[DANGER] if evidence.safety_critical else evidence.verdict.upper()
        lead = say.REMARK if evidence.is_remark else lead
        text = say.AS_IT_STANDS.format(verdict=lead, machine=naming.machine, danger=_danger(naming, evidence))
        mark, tone = ("-", WARN) if evidence.is_remark else ("!", BAD)
        yield Para(text + remark_within(evidence), mark=mark, tone=tone)


def _danger(naming: Naming, evidence: Evidence) -> str:
    places = places_in_words(evidence.places)
    if evidence.kind != "joint":
        why = sentence(no_sentence(naming, evidence)).removesuffix(".")
        return say.OF_SEVERAL.format(check=evidence.check, places=places, why=why)
    lines = [line for line in evidence.lines if line.state == "no"]
    sizes = [next(iter(sizes_of(lines, thing).values()), "") for thing in (evidence.things[0], evidence.things[-1])]
    return say.PARTS_AT.format(
        places=places,
        first=naming.number_of(evidence.first),
        second=naming.number_of(evidence.second),
        sizes=say.SIZES_AGAINST.format(first=sizes[0], second=sizes[1]) if all(sizes) else "",
        says=sentence(next((line.says for line in lines if line.says), str(evidence.verdict))).removesuffix("."),
    )


def _branches(naming: Naming, branches: Sequence[Branch], depth: int) -> Iterator[Block]:
    """The lines under one line: what is used once in one line, then each other with what it forces."""
    indent = INDENT * depth
    small = together(line for b in branches if not b.stands_alone for line in b.lines)
    if small and depth:
        yield Para(_small(naming, small, indent), indent=indent)
    for alike in _side_by_side(naming, branches, WIDEST - indent):
        yield Para(_line(naming, alike, indent), indent=indent, tone=PLAIN if depth else STRONG)
        yield from _branches(naming, alike[0].below, depth + 1)
    if small and not depth:
        yield Para(order.USED_ONCE.format(parts=_small(naming, small, indent)), indent=indent)


def _side_by_side(naming: Naming, branches: Sequence[Branch], width: int) -> list[list[Branch]]:
    """What forces nothing first; of that, what is there for the same reason shares a line while it fits on it."""
    found: list[list[Branch]] = []
    for branch in sorted((b for b in branches if b.stands_alone), key=lambda b: not b.below):
        last = found[-1] if found else []
        alike = bool(last) and not branch.below and last[0].because == branch.because
        lines = [line for b in (*last, branch) for line in b.lines]
        if alike and len(_with_reason("; ".join(bought(naming, lines)), branch.because, 0)) <= width:
            last.append(branch)
        else:
            found.append([branch])
    return found


def _line(naming: Naming, branches: Sequence[Branch], indent: int) -> str:
    """What is bought, and why; a name without what stands behind its comma where the line would be too long."""
    lines = [line for b in branches for line in b.lines]
    text = _with_reason("; ".join(bought(naming, lines)), branches[0].because, indent)
    if len(text) + indent <= WIDEST:
        return text
    return _with_reason("; ".join(bought(naming, _short(lines))), branches[0].because, indent)


def _small(naming: Naming, lines: Sequence[OrderLine], indent: int) -> str:
    """What is used once, in one line; names in short where that keeps it on one."""
    text = f"+ {'; '.join(bought(naming, lines))}"
    return text if len(text) + indent <= WIDEST else f"+ {'; '.join(bought(naming, _short(lines)))}"


def _short(lines: Sequence[OrderLine]) -> list[OrderLine]:
    """The lines, their names without what stands behind the comma; the long answer has them whole."""
    return [replace(line, name=line.name.partition(",")[0]) for line in lines]


def _with_reason(bought: str, because: str, indent: int) -> str:
    at = min(REASON_AT - indent, WIDEST - indent - 2 - len(because))
    return f"{bought.ljust(at)}  {because}"


def together(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """Lines of one number as one, with their quantities added up."""
    found: dict[str, OrderLine] = {}
    for line in lines:
        known = found.get(line.number)
        found[line.number] = replace(known, quantity=known.quantity + line.quantity) if known else line
    return list(found.values())


def bought(naming: Naming, lines: Iterable[OrderLine]) -> list[str]:
    """Each line with its quantity; a left and a right one in one."""
    left, said = list(lines), list[str]()
    while left:
        line = left.pop(0)
        known = naming.catalogue.parts.get(line.number)
        other = next((x for x in left if known and known.mirror_of and x.number == known.mirror_of), None)
        number, quantity = line.number, f"{line.quantity} " if line.quantity else ""
        if other is not None and other.quantity == line.quantity:
            left.remove(other)
            number, quantity = naming.hands([line.number, other.number]), f"{line.quantity} + {other.quantity} "
        part = f"{quantity}{number} {line.name}".strip()
        if not line.recorded:
            part = order.NO_PART.format(part=part)
        elif line.to_prove:
            part = order.TO_PROVE.format(part=part)
        said.append(part)
    return said


def work_blocks(naming: Naming, answer: SwapAnswer) -> Iterator[Block]:
    """What stays after some work."""
    for parts, work, _ in after_work(naming, answer):
        yield Para(order.WORK.format(parts=parts, work=work))


def cost_blocks(naming: Naming, plan: Plan, ordered: CheapestOrder | None) -> Iterator[Block]:
    """What the plan costs: the cheapest order in all where it was found, else the offers alone."""
    if in_all := order_in_short(naming, ordered):
        yield Para(in_all)
        return
    lines = [line for group in plan.groups for line in group.lines]
    offers = [line.offer for line in lines if line.offer is not None]
    if not offers:
        yield Para(order.NO_OFFERS)
        return
    total = money(sum(line.total() for line in lines))
    suppliers = count(len({o.supplier for o in offers}), "supplier")
    template = order.COST_WITH_SURCHARGES if any(o.surcharge for o in offers) else order.COST
    cost = template.format(money=total, suppliers=suppliers)
    yield Para(" ".join((cost, *not_offered(lines))))


def reading_blocks(answer: SwapAnswer, ask: str) -> Iterator[Block]:
    """What decides most: what to record, then the first things to measure."""
    if not (answer.measure_first or answer.record_first):
        return
    lines = looks(answer.measure_first)
    several = len(lines)
    yield Heading(say.FIRST_READINGS.format(shown=READINGS, all=several) if several > READINGS else say.ALL_READINGS)
    if answer.record_first:
        yield Para(say.RECORD.format(places=places_in_words(answer.record_first)), mark="-", tone=WARN)
    for i, alike in enumerate(lines[:READINGS], 1):
        one = alike[0]
        places, what = places_in_words(one.places), looked_at(alike)
        text = say.READING.format(places=places, what=what)
        if one.expected:
            each = {e.dimension for e in one.expected} == {*one.dimensions}
            what = one.feature if each and len(one.dimensions) > 1 and not is_absence(one) else what
            text = say.READING_EXPECTED.format(places=places, what=what, sizes=expected(one.expected, each))
        yield Para(" ".join((text, short_turning(alike))).strip(), mark=f"{i}.")
    if answer.turning_left_out:
        number, most = f"{answer.turning_left_out:,}", f"{FIRST_PAGE.among:,}"
        yield Para(measuring.ON_DEMAND.format(number=number, most=most, ask=f"{ask} --measure --turning"))


def figures_in_short(answer: SwapAnswer) -> Iterator[Block]:
    """The figures that compare the plan with the vehicle as made."""
    said: dict[str, None] = {}
    for one in answer.figures:
        if one.planned is not None and one.as_made is not None:
            planned, made = estimate_text(one.planned, one.unit), estimate_text(one.as_made, one.unit)
            unit = planned.partition(" ")[2]
            made = made.removesuffix(f" {unit}") if unit else made
            said[say.COMPARED.format(figure=one.figure, planned=planned, made=made)] = None
        elif one.planned is not None and one.unit == "times":
            said[say.TIMES.format(figure=one.figure, planned=estimate_text(one.planned, one.unit))] = None
    if said:
        yield Para(f"{say.WHAT_IT_DOES}: {'; '.join(said)}.")


def cautions_in_short(naming: Naming, answer: SwapAnswer) -> Iterator[Block]:
    """The cautions in short; the long answer has all."""
    yield Para(answer.cautions[0], tone=WARN)
    yield rules_line(naming, answer.cautions)


def _next(answer: SwapAnswer, tree: Sequence[Branch], ask: str, buy: str) -> Iterator[Block]:
    deepest = _deepest(tree)
    unknown = answer.plan is not None and answer.plan.costs[NOT_KNOWN]
    options = ["--evidence"] if unknown else [f'--why "{deepest}"'] if deepest else []
    options += ["--measure"] if answer.measure_first else []
    order = [buy] if buy and not unknown else []  # nobody orders what is not known to go together
    yield from next_blocks([*(f"{ask} {option}" for option in options), *order, f"{ask} --full"])


def _deepest(tree: Sequence[Branch], depth: int = 0) -> str:
    """The position at the end of the longest chain."""
    ends: list[tuple[int, str]] = []

    def walk(branches: Sequence[Branch], depth: int) -> None:
        for branch in branches:
            if branch.forced:
                ends.append((depth, branch.position))
            walk(branch.below, depth + 1)

    walk(tree, 0)
    return max(ends, key=lambda e: e[0], default=(0, ""))[1]
