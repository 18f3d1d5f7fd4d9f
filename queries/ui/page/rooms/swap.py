"""The swap on one screen: dangers, verdict, what to order as a tree whose lines open to why, what to measure, what it
does and costs, what comes next."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Iterator, Sequence

from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.changes import KEPT
from knockon.queries.plan.swap import Plan, SwapAnswer
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.page.addresses import BY_NAME, address
from knockon.queries.ui.page.pieces import Fold, Go, Heading, Leaf, Link, Piece, Text, Tree
from knockon.queries.ui.page.rooms.from_blocks import folded, link_to, pieces_of
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.terminal.blocks import Block, Para
from knockon.queries.ui.terminal.outlet import Answered
from knockon.queries.ui.texts.fits.evidence import evidence_blocks
from knockon.queries.ui.texts.fits.number_chain import now_blocks
from knockon.queries.ui.texts.plan.swap.first_page import (
    bought,
    cautions_in_short,
    cost_blocks,
    figures_in_short,
    reading_blocks,
    short_dangers,
    together,
    work_blocks,
)
from knockon.queries.ui.texts.plan.swap.head import title, verdict_blocks, what_else
from knockon.queries.ui.texts.plan.swap.order_list import order_heading
from knockon.queries.ui.texts.plan.swap.order_tree import Branch, order_tree
from knockon.queries.ui.texts.plan.swap.others import other_plans
from knockon.queries.ui.texts.plan.swap.whole import found_by_members, measured_first
from knockon.queries.ui.texts.plan.swap.why_blocks import stop_blocks, why_at, why_blocks
from knockon.queries.ui.texts.plan.sweep import sweep_blocks
from knockon.queries.ui.texts.plan.undecided import undecided_blocks
from knockon.queries.ui.texts.plan.unproven import unproven_blocks

MOST_EVIDENCE = 4
"""Checks in full under one line; the others are named with the unproven ones."""


def swap_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces). Where there is no plan, or where nothing changes, the text says it all."""
    answer: SwapAnswer = found.answer
    naming, plan = Naming.on(found.catalogue, answer.vehicle), answer.plan
    head = title(answer)
    heading = head.text if isinstance(head, Para) else ""
    if plan is None or all(c.status == KEPT for c in answer.changes):
        return heading, pieces_of(found.blocks[1:])
    return heading, list(_room(naming, answer, plan, command))


def _room(naming: Naming, answer: SwapAnswer, plan: Plan, command: str) -> Iterator[Piece]:
    yield from _dangers(naming, answer)
    yield from pieces_of(verdict_blocks(naming, answer, plan))
    yield from pieces_of(undecided_blocks(answer.not_decided, best_said=True))
    yield from pieces_of(what_else(naming, answer, plan))
    yield from _in_brief(naming, answer, plan, command)
    tree = order_tree(naming, answer, plan)
    if tree:
        yield from pieces_of([order_heading(naming.has_sides(answer.vehicle))])
        yield Text(say.LINES_OPEN)
        yield Tree(tuple(_leaf(naming, answer, plan, branch, command) for branch in _in_order(tree)))
    yield from pieces_of(now_blocks(plan.superseded))
    yield from _more(naming, answer, plan)
    yield from pieces_of(cautions_in_short(naming, answer))
    yield from _next(command)


def _dangers(naming: Naming, answer: SwapAnswer) -> Iterator[Piece]:
    """What is wrong as the vehicle stands, each with its evidence."""
    yield from pieces_of(short_dangers(naming, answer.findings.wrong))
    if answer.findings.wrong:
        yield Fold(say.EVIDENCE_OF_THAT, tuple(pieces_of(_evidence(naming, answer.findings.wrong))))


def _in_brief(naming: Naming, answer: SwapAnswer, plan: Plan, command: str) -> Iterator[Piece]:
    """What to measure before anything else, what the change does, and what it costs."""
    readings = list(pieces_of(reading_blocks(answer, command), 2))
    yield from readings
    if readings:
        link = link_to(command.replace("knockon swap", "knockon measure", 1))
        yield from [Go((link,))] if link is not None else []
    yield from pieces_of(
        [
            *figures_in_short(answer),
            *cost_blocks(naming, plan, answer.order),
            *work_blocks(naming, answer),
        ]
    )


def _in_order(branches: Sequence[Branch]) -> list[Branch]:
    return sorted(branches, key=lambda b: (not b.stands_alone, not b.below))


def _leaf(naming: Naming, answer: SwapAnswer, plan: Plan, branch: Branch, command: str) -> Leaf:
    """A line with what opens under it: why, what its parts rest on, and where each part is told."""
    line = "; ".join(bought(naming, together(branch.lines)))
    places = {place for line in branch.lines for place in line.places}
    steps = (s for c in answer.changes if c.place in places and c.reason is not None for s in c.reason.steps)
    proofs = [s.evidence for s in steps if s.evidence is not None and s.place in places]
    unproven = [e for e in plan.unproven if places & set(e.places)]
    told = pieces_of(why_at(naming, answer, plan, branch.position))
    pieces: list[Piece] = [p for p in told if not isinstance(p, Heading)]
    pieces += pieces_of(_evidence(naming, [*proofs, *unproven]))
    numbers = dict.fromkeys(x.number for x in branch.lines if x.recorded)
    links = [Link(number, address(BY_NAME["part"], {"part": number}, {})) for number in numbers]
    other = [link_to(f"{command} --instead-of {shlex.quote(number)}") for number in numbers]
    links += [link for link in other if link is not None]
    pieces += [Go(tuple(links))] if links else []
    below = tuple(_leaf(naming, answer, plan, b, command) for b in _in_order(branch.below))
    return Leaf(line, branch.because, tuple(pieces), below)


def _evidence(naming: Naming, checks: Iterable[Evidence]) -> list[Block]:
    """Checks in full, those of both hands once."""
    once: dict[str, Evidence] = {}
    for evidence in checks:
        once.setdefault(evidence.check, evidence)
    return [block for e in list(once.values())[:MOST_EVIDENCE] for block in evidence_blocks(naming, e)]


def _more(naming: Naming, answer: SwapAnswer, plan: Plan) -> Iterator[Piece]:
    """What opens where it stands, section by section."""
    blocks: list[Block] = [
        *why_blocks(naming, answer, plan),
        *stop_blocks(naming, answer.stops),
        *sweep_blocks(answer.sweep),
        *measured_first(naming, answer),
        *unproven_blocks(naming, plan.unproven),
        *found_by_members(naming, answer, plan),
        *other_plans(plan, answer.alternatives),
    ]
    yield from folded(pieces_of(blocks))


def _next(command: str) -> Iterator[Piece]:
    """The cards of this plan, and the whole answer."""
    commands = [command.replace("knockon swap", f"knockon {verb}", 1) for verb in ("measure", "order", "job-card")]
    links = [link_to(one) for one in (*commands, f"{command} --full")]
    yield Go(tuple(link for link in links if link is not None))
