"""The first page of ``knockon swap``: on one screen what is dangerous, the verdict, what to order and why, what to
measure, what it does, what it costs; and the parts of the long answer by themselves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import IN_SHORT, OrderLine
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.changes import KEPT_AFTER_WORK
from knockon.queries.plan.swap import Plan, SwapAnswer
from knockon.queries.ui.blocks import BAD, PLAIN, STRONG, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, places_in_words
from knockon.queries.ui.texts.fits.links import sizes_of
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks
from knockon.queries.ui.texts.plan.figures import estimate_text
from knockon.queries.ui.texts.plan.measure import expected, subject
from knockon.queries.ui.texts.plan.no_plan import none_blocks, unknown_blocks
from knockon.queries.ui.texts.plan.order_tree import Branch, order_tree
from knockon.queries.ui.texts.plan.swap import (
    by_cause,
    changes_nothing,
    found_by_members,
    measured_first,
    money,
    other_plans,
    stop_blocks,
    swap_text,
    title,
    verdict_blocks,
    what_else,
    why_at,
    why_blocks,
)
from knockon.queries.ui.texts.plan.unproven import unproven_blocks

INDENT, REASON_AT = 3, 50
READINGS = 5


def swap_pages(catalogue: Catalogue, answer: SwapAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far.

    Raises UnknownNameError where no reason is told at the position that ``shown`` names.
    """
    if shown.full or (answer.plan is not None and changes_nothing(answer)):
        return swap_text(catalogue, answer)
    naming, plan = Naming(catalogue), answer.plan
    if plan is None:
        return [title(answer), *_no_plan(naming, answer, ask)]
    if not shown.parts:
        return [title(answer), *_first_page(naming, answer, plan, ask)]
    blocks: list[Block] = [title(answer), *_dangers(naming, answer), *verdict_blocks(naming, answer, plan)]
    if shown.why is not None:
        if shown.why:
            blocks += why_at(naming, answer, plan, shown.why)
        else:
            blocks += unknown_blocks(naming, answer.unknowns, answer.opens)
            blocks += [*why_blocks(naming, answer, plan), *stop_blocks(naming, answer.stops)]
    blocks += measured_first(answer) if shown.measure else []
    blocks += unproven_blocks(naming, plan.unproven) if shown.evidence else []
    blocks += found_by_members(naming, answer, plan) if shown.notes else []
    blocks += other_plans(naming, plan, answer.alternatives) if shown.others else []
    return [*blocks, Gap(), *_cautions(answer)]


def _no_plan(naming: Naming, answer: SwapAnswer, ask: str) -> Iterator[Block]:
    """Why there is none, and what would open it; what a missing part would have to be is named only."""
    yield from _dangers(naming, answer)
    yield from unchecked_blocks(answer)
    yield from none_blocks(naming, answer.none, answer.opens, answer.cautions)
    if answer.would_open:
        ways = [listed([f"{places_in_words(spec.places)}" for spec in way]) for way in answer.would_open]
        yield Para(f"Another part there would give a plan: {'; or '.join(dict.fromkeys(ways))}.", mark="-")
    yield Para(IN_SHORT, tone=WARN)
    yield from next_blocks([f"{ask} --full"])


def _first_page(naming: Naming, answer: SwapAnswer, plan: Plan, ask: str) -> Iterator[Block]:
    yield from _dangers(naming, answer)
    yield from verdict_blocks(naming, answer, plan)
    yield from what_else(naming, answer, plan)
    tree = order_tree(naming, answer, plan)
    if tree:
        yield Heading("Order list, both sides" if naming.has_sides(answer.vehicle) else "Order list")
        yield from _branches(naming, tree, 0)
        yield from _work(naming, answer)
        yield from _cost(plan)
    yield from _readings(answer)
    yield from _figures(answer)
    yield Gap()
    yield from _cautions(answer)
    yield from _next(answer, tree, ask)


def _dangers(naming: Naming, answer: SwapAnswer) -> Iterator[Block]:
    for evidence in answer.findings.wrong:
        lead = "DO NOT DRIVE" if evidence.safety_critical else evidence.verdict.upper()
        yield Para(f"{lead}, as the vehicle stands: {_danger(naming, evidence)}", mark="!", tone=BAD)


def _danger(naming: Naming, evidence: Evidence) -> str:
    places = places_in_words(evidence.places)
    if evidence.kind != "joint":
        return f"{evidence.check}, {places}: {evidence.verdict}."
    lines = [line for line in evidence.lines if line.state == "no"]
    sizes = [next(iter(sizes_of(lines, thing).values()), "") for thing in (evidence.things[0], evidence.things[-1])]
    against = f", {sizes[0]} against {sizes[1]}" if all(sizes) else ""
    numbers = f"{naming.number_of(evidence.first)} and {naming.number_of(evidence.second)}"
    said = next((line.says for line in lines if line.says), str(evidence.verdict))
    return f"{places} ({numbers}){against}: {said}. Inspect both before anything is fitted there."


def _branches(naming: Naming, branches: Sequence[Branch], depth: int) -> Iterator[Block]:
    """The lines under one line: what is used once in one line, then each other with what it forces."""
    indent = 2 + INDENT * depth
    small = _together(line for b in branches if not b.stands_alone for line in b.lines)
    if small and depth:
        yield Para(f"+ {'; '.join(_bought(naming, small))}", indent=indent)
    for branch in sorted((b for b in branches if b.stands_alone), key=lambda b: not b.below):
        left = "; ".join(_bought(naming, branch.lines)).ljust(REASON_AT - INDENT * depth)
        yield Para(f"{left}  {branch.because}", indent=indent, tone=PLAIN if depth else STRONG)
        yield from _branches(naming, branch.below, depth + 1)
    if small and not depth:
        yield Para(f"+ {'; '.join(_bought(naming, small))}, used once", indent=indent)


def _together(lines: Iterable[OrderLine]) -> list[OrderLine]:
    """Lines of one number as one, with their quantities added up."""
    found: dict[str, OrderLine] = {}
    for line in lines:
        known = found.get(line.number)
        found[line.number] = replace(known, quantity=known.quantity + line.quantity) if known else line
    return list(found.values())


def _bought(naming: Naming, lines: Iterable[OrderLine]) -> list[str]:
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
        more = "" if line.recorded else ", no part recorded"
        more += ", yet to be proven" if line.to_prove and line.recorded else ""
        said.append(f"{quantity}{number} {line.name}".strip() + more)
    return said


def _work(naming: Naming, answer: SwapAnswer) -> Iterator[Block]:
    """What stays after some work."""
    for work, changes in by_cause([c for c in answer.changes if c.status == KEPT_AFTER_WORK]).items():
        what = f"{places_in_words([c.place for c in changes])} {naming.hands(c.old for c in changes)}"
        yield Para(f"Work: {what}: {work}.", indent=2)


def _cost(plan: Plan) -> Iterator[Block]:
    lines = [line for group in plan.groups for line in group.lines]
    offers = [line.offer for line in lines if line.offer is not None]
    if not offers:
        yield Para("Nobody offers any of this.", indent=2)
        return
    lacking = len({line.number for line in lines if line.offer is None})
    text = f"Cheapest offers {money(sum(line.total() for line in lines))}"
    text += f" from {count(len({o.supplier for o in offers}), 'supplier')}"
    text += ", exchange surcharges included" if any(o.surcharge for o in offers) else ""
    text += f"; {count(lacking, 'number')} that nobody offers not counted" if lacking else ""
    yield Para(f"{text}. Postage is not counted.", indent=2)


def _readings(answer: SwapAnswer) -> Iterator[Block]:
    """What decides most: what to record, then the first things to measure."""
    if not (answer.measure_first or answer.record_first):
        return
    more = len(answer.measure_first) - READINGS
    yield Heading(f"Measure first, {READINGS} of {len(answer.measure_first)}" if more > 0 else "Measure first")
    if answer.record_first:
        yield Para(f"Record what is there: {places_in_words(answer.record_first)}.", mark="-", tone=WARN)
    for i, one in enumerate(answer.measure_first[:READINGS], 1):
        expect = f". Expect {expected(one.expected)}" if one.expected else ""
        yield Para(f"{places_in_words(one.places)}, {subject(one.feature, one.dimensions)}{expect}.", mark=f"{i}.")


def _figures(answer: SwapAnswer) -> Iterator[Block]:
    """The figures that compare the plan with the vehicle as made."""
    said: dict[str, None] = {}
    for one in answer.figures:
        if one.planned is not None and one.as_made is not None:
            planned, made = estimate_text(one.planned, one.unit), estimate_text(one.as_made, one.unit)
            unit = planned.partition(" ")[2]
            said[f"{one.figure} {planned} (as made {made.removesuffix(f' {unit}') if unit else made})"] = None
        elif one.planned is not None and one.unit == "times":
            said[f"{one.figure} {estimate_text(one.planned, one.unit)}"] = None
    if said:
        yield Para(f"What it does: {'; '.join(said)}.")


def _cautions(answer: SwapAnswer) -> Iterator[Block]:
    """The cautions in short; the long answer has all."""
    yield Para(answer.cautions[0], tone=WARN)
    yield Para(IN_SHORT, tone=WARN)


def _next(answer: SwapAnswer, tree: Sequence[Branch], ask: str) -> Iterator[Block]:
    deepest = _deepest(tree)
    options = [f'--why "{deepest}"'] if deepest else []
    options += ["--measure"] if answer.measure_first else []
    yield from next_blocks([f"{ask} {option}" for option in (*options, "--full")])


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
