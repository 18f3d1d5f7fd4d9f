"""Why things change, as blocks: the tree in short, then in full; of one position; and where the changes stop."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from knockon.graph.model.catalogue import name_meant
from knockon.queries.as_typed import fold
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.changes import CHOSEN, NEW, RENEWED, Change
from knockon.queries.plan.solving.undecided import KEEPING
from knockon.queries.plan.swap import Plan, SwapAnswer
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences.plan import why as say
from knockon.queries.ui.terminal.blocks import STRONG, Block, Heading, Para, bullets
from knockon.queries.ui.texts.fits.links import agreement
from knockon.queries.ui.texts.plan.levels import cost_words
from knockon.queries.ui.texts.plan.swap.head import arrangements
from knockon.queries.ui.texts.plan.swap.remaining import by_cause, grouped, with_status
from knockon.queries.ui.texts.plan.swap.why import WhyTeller, cause_words, tree_of


def why_at(naming: Naming, answer: SwapAnswer, plan: Plan, name: str) -> list[Block]:
    """Why one position changes, or stays: the chain that leads to it, or what becomes of it.

    Raises UnknownNameError for a name of no position and no order group of the plan.
    """
    words = {fold(c.position): c.position for c in answer.changes} | {fold(c.place): c.position for c in answer.changes}
    words = {fold(group.group): group.group for group in plan.groups} | words
    known = words.get(fold(name))
    if known is None:
        layout = naming.catalogue.layouts.get(naming.layout)
        called = {p.position: p.also_called for p in layout.positions} if layout else {}
        known = name_meant("position", name, dict.fromkeys(words.values()), called)
    teller = WhyTeller(naming, plan.groups, answer.changes)
    chain = teller.chain_to(known)
    if chain:
        return [Heading(say.WHY), *teller.blocks(chain)]
    said: dict[str, list[Change]] = {}
    for change in (c for c in answer.changes if known in (c.position, c.group)):
        status = change.status
        if change.cause:
            status = say.STATUS_CAUSE.format(status=change.status, cause=cause_words(change.cause))
        said.setdefault(status, []).append(change)
    lines = (
        say.STATUS.format(parts="; ".join(grouped(naming, changes, new=not changes[0].old)), status=status)
        for status, changes in said.items()
    )
    return [Heading(say.WHY), *bullets(lines)]


def why_blocks(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """Why each change is made: the tree in short, then in full."""
    teller = WhyTeller(naming, plan.groups, answer.changes)
    blocks: list[Block] = [Heading(say.WHY)]
    tree = tree_of(teller.entries)
    if tree:
        blocks.append(Para(say.IN_SHORT))
        blocks += [Para(text, indent=2 + 2 * depth) for depth, text in tree]
        blocks.append(Para(say.IN_FULL))
    new = with_status(answer, NEW)
    if new:
        parts = "; ".join(grouped(naming, new, new=True))
        blocks.append(Para(say.NEW_PLACES.format(why=_why_new(answer, plan), parts=parts), mark="-"))
    blocks += teller.blocks()
    for cause, changes in by_cause(with_status(answer, RENEWED)).items():
        parts = "; ".join(grouped(naming, changes, new=True))
        blocks.append(Para(say.RENEWED.format(cause=cause_words(cause), parts=parts), mark="-"))
    blocks += [Para(text, mark="-", indent=2) for text in _own_number(naming, answer, plan)]
    undecided = {p for one in answer.not_decided if one.what == KEEPING for p in one.names}
    chosen = chosen_lines(naming, answer.changes, plan.costs, undecided)
    return [*blocks, *([Para(say.CHOSEN, tone=STRONG), *bullets(chosen, indent=2)] if chosen else [])]


def _why_new(answer: SwapAnswer, plan: Plan) -> str:
    if answer.arrangements:
        return say.ASKED_FOR.format(arrangements=listed(answer.arrangements))
    if plan.arrangement:
        return say.ASKED_OR_BROUGHT.format(arrangements=arrangements(plan.arrangement.each))
    return say.ASKED_OR_NEEDED


def _own_number(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[str]:
    """Of what is due and renewed by another number: whether its own was possible, and what that would cost."""
    said: dict[tuple[str, str], dict[str, list[Change]]] = {}
    for change in (c for c in with_status(answer, RENEWED) if c.old != c.new):
        if change.keeping is not None:
            key = (say.OWN_NUMBER, cost_words(change.keeping, plan.costs))
        elif change.old not in naming.catalogue.parts:
            key = (say.OWN_NOT_RECORDED, "")
        else:
            continue
        said.setdefault(key, {}).setdefault(change.position, []).append(change)
    lines = []
    for (template, costs), positions in said.items():
        parts = "; ".join(_for(naming, position, changes) for position, changes in positions.items())
        several = template == say.OWN_NUMBER and len(positions) > 1
        lines.append((say.OWN_NUMBERS if several else template).format(parts=parts, costs=costs))
    return lines


def _for(naming: Naming, position: str, changes: Iterable[Change]) -> str:
    changes = list(changes)
    new, old = naming.hands(c.new for c in changes), naming.hands(c.old for c in changes)
    return say.FOR.format(position=position, new=new, old=old)


def chosen_lines(
    naming: Naming, changes: Iterable[Change], costs: dict[str, int], undecided: Collection[str] = ()
) -> list[str]:
    """Changes that another plan would not make, and what keeping the old thing would cost; ``undecided``: where that
    was not found out in the time."""
    said: dict[str, None] = {}
    for change in (c for c in changes if c.status == CHOSEN):
        new, old = naming.hands([change.new]), naming.hands([change.old])
        if change.keeping:
            price = cost_words(change.keeping, costs)
            said[say.KEEPING.format(position=change.position, new=new, old=old, costs=price)] = None
        elif change.place in undecided:
            said[say.NOT_PRICED.format(position=change.position, new=new, old=old)] = None
        else:
            said[say.NOT_KEPT.format(position=change.position, new=new, old=old)] = None
    return list(said)


def stop_blocks(naming: Naming, stops: Sequence[Evidence]) -> list[Block]:
    """The edge: what stays where it meets what is new, both hands in one line."""
    if not stops:
        return []
    by_check: dict[str, list[Evidence]] = {}
    for evidence in stops:
        by_check.setdefault(evidence.check, []).append(evidence)
    lines: list[str] = []
    bare: dict[str, list[str]] = {}
    for check, found in by_check.items():
        pair = say.PAIR.format(first=naming.hands(e.first for e in found), second=naming.hands(e.second for e in found))
        sizes = listed(list(dict.fromkeys(agreement(e) for e in found if agreement(e))), "or")
        verdicts = listed(list(dict.fromkeys(str(e.verdict) for e in found)), "or")
        if sizes:
            lines.append(say.STOP.format(check=check, parts=pair, sizes=sizes, verdicts=verdicts))
        else:
            bare.setdefault(verdicts, []).append(f"{check} ({pair})")
    lines += [say.NO_SIZES.format(verdict=verdict, joints="; ".join(joints)) for verdict, joints in bare.items()]
    return [Heading(say.STOPS), Para(say.STOPS_HERE), *bullets(lines)]
