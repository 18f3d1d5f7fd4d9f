"""The answer of ``knockon swap`` as text: the order list first, then what becomes of the rest, why, what to measure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from knockon.graph.catalogue import Catalogue
from knockon.queries.answers import OrderGroup, OrderLine
from knockon.queries.changes import (
    CHOSEN,
    FREED,
    KEPT,
    KEPT_AFTER_WORK,
    MOVED_OVER,
    NEW,
    RENEWED,
    Change,
)
from knockon.queries.evidence import Evidence
from knockon.queries.swap import Alternative, Plan, SwapAnswer
from knockon.queries.ui.blocks import BAD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, count, listed, places_in_words, position_of, sentence
from knockon.queries.ui.text_evidence import brief, figure_sum
from knockon.queries.ui.text_measure import finding_blocks, measure_blocks, unproven_blocks
from knockon.queries.ui.text_notes import note_blocks
from knockon.queries.ui.text_why import WhyTeller, chosen_lines, cost_words


def swap_text(catalogue: Catalogue, answer: SwapAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    asked = listed([f'"{a}"' for a in answer.asked]) or "nothing but what is due"
    title = f"{answer.title} ({answer.vehicle})" if answer.title else answer.vehicle
    blocks: list[Block] = [Para(f"{title}. Asked: {asked}.")]
    if answer.plan is None:
        return [*blocks, *_none(naming, answer), *finding_blocks(naming, answer.findings), *cautions(answer.cautions)]
    plan = answer.plan
    blocks += [*_head(plan), Para(answer.cautions[0], tone=WARN)]
    blocks += order_blocks(naming, plan, answer.consumables)
    blocks += _what_stays(naming, answer)
    blocks += _why(naming, answer, plan)
    blocks += _stops(naming, answer.stops)
    blocks += measure_blocks(answer.measure_first, answer.risks, answer.findings.unknown_condition)
    blocks += unproven_blocks(naming, plan.unproven)
    blocks += finding_blocks(naming, answer.findings)
    blocks += _alternatives(naming, plan, answer.alternatives)
    return [*blocks, *cautions(answer.cautions)]


def cautions(texts: Sequence[str]) -> list[Block]:
    """The cautions at the end, one a line."""
    return [Heading("Cautions"), *bullets(texts, tone=WARN)]


def _head(plan: Plan) -> list[Block]:
    held = f" with the {plan.arrangement} arrangement" if plan.arrangement else ""
    first = count(plan.costs["not known"], "check")
    unknown = f", {first} not known without even a claim" if plan.costs["not known"] else ""
    text = f"It can be done{held}: {count(len(plan.groups), 'order group')} for the whole axle, both sides{unknown}."
    proved = "" if plan.proved else " Best found in the time; not proved to be the best."
    return [Para(text + proved, tone=STRONG)]


def money(value: float) -> str:
    """A price in the records' currency."""
    return f"{value:.2f}"


def order_blocks(naming: Naming, plan: Plan, consumables: Sequence[OrderLine]) -> list[Block]:
    """The order list, then the workshop consumables as their own block."""
    rows = []
    for i, group in enumerate(plan.groups, 1):
        for j, line in enumerate(group.lines):
            rows.append(_order_row(f"{i}" if j == 0 else "", group if j == 0 else None, line))
    blocks: list[Block] = [
        Heading("Order list, both sides"),
        Grid(tuple(rows), ("", "group", "hand", "qty", "number and name", "offer, each"), (0, 3)),
    ]
    lines = [line for group in plan.groups for line in group.lines]
    priced = sum(line.offer.price * line.quantity for line in lines if line.offer)
    total = f"Cheapest offers together {money(priced)}, without postage and workshop consumables."
    unoffered = [line.number for line in lines if line.offer is None]
    total += f" Nobody offers {listed(unoffered)}: that is not in the sum." if unoffered else ""
    blocks += [Para(total, indent=2), *_surcharges(lines)]
    if consumables:
        rows = [
            ("", line.name or line.number, "", str(line.quantity), line.number, _offer(line)) for line in consumables
        ]
        blocks += [
            Heading("Workshop consumables, beside the order"),
            Grid(tuple((r[1], r[3], r[4], r[5]) for r in rows), ("", "qty", "number", "offer, each"), (1,)),
        ]
    return blocks


def _order_row(number: str, group: OrderGroup | None, line: OrderLine) -> tuple[str, ...]:
    name = f"{line.number} {line.name}".strip() + (", one use" if line.one_use else "")
    return (
        number,
        group.group if group else "",
        group.hand if group else "",
        str(line.quantity) if line.quantity else "in the set",
        name,
        _offer(line),
    )


def _offer(line: OrderLine) -> str:
    if line.offer is None:
        return "nobody offers it"
    more = " *" if line.offer.surcharge else ""
    return f"{money(line.offer.price)}{more} {line.offer.supplier}".strip()


def _surcharges(lines: Iterable[OrderLine]) -> list[Block]:
    found = [line for line in lines if line.offer and line.offer.surcharge]
    if not found:
        return []
    amounts = listed(list(dict.fromkeys(money(line.offer.surcharge) for line in found if line.offer)))
    return [
        Para(
            f"* with the exchange surcharge of {amounts} each: this vehicle has no old part of that kind to hand in.",
            indent=2,
        )
    ]


def grouped(naming: Naming, changes: Iterable[Change], new: bool = False) -> list[str]:
    """Changes as ``position: numbers``, both hands together, positions of one number together."""
    numbers: dict[str, list[str]] = {}
    for change in changes:
        numbers.setdefault(change.position, []).append(change.new if new else change.old)
    by_number: dict[str, list[str]] = {}
    for position, found in numbers.items():
        by_number.setdefault(naming.hands(found), []).append(position)
    return [f"{listed(positions)} {number}" for number, positions in by_number.items()]


def _with_status(answer: SwapAnswer, *statuses: str) -> list[Change]:
    return [c for c in answer.changes if c.status in statuses]


def _what_stays(naming: Naming, answer: SwapAnswer) -> list[Block]:
    blocks: list[Block] = [Heading("What becomes of the rest")]
    rows = (("Stays", KEPT), ("Moves over to the new parts", MOVED_OVER), ("Leaves the vehicle", FREED))
    for title, status in rows[:2]:
        found = grouped(naming, _with_status(answer, status))
        blocks += [Para(f"{title}: {'; '.join(found)}.", mark="-")] if found else []
    for text in _after_work(naming, answer):
        blocks.append(Para(text, mark="-"))
    replaced = [c for c in answer.changes if c.old and c.old != c.new and c.status not in (FREED, KEPT_AFTER_WORK)]
    found = grouped(naming, _with_status(answer, FREED))
    blocks += [Para(f"{rows[2][0]}, nothing in its place: {'; '.join(found)}.", mark="-")] if found else []
    found = grouped(naming, replaced)
    blocks += [Para(f"{rows[2][0]}, replaced by the order list: {'; '.join(found)}.", mark="-")] if found else []
    return blocks


def _after_work(naming: Naming, answer: SwapAnswer) -> list[str]:
    said: dict[str, list[Change]] = {}
    for change in _with_status(answer, KEPT_AFTER_WORK):
        said.setdefault(change.cause, []).append(change)
    lines = []
    for work, changes in said.items():
        text = f"Stays after work: {places_in_words([c.place for c in changes])} {naming.hands(c.old for c in changes)}: {work}."
        as_it_is = dict.fromkeys(
            f"{e.check}: {figure_sum(e.lines[0])}, {e.lines[0].says}" for c in changes for e in c.evidence
        )
        lines.append(text + (f" As it is: {'; '.join(as_it_is)}." if as_it_is else ""))
    return lines


def _why(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    teller = WhyTeller(naming, plan.groups, plan.arrangement, answer.asked)
    blocks: list[Block] = [Heading("Why")]
    new = _with_status(answer, NEW)
    if new:
        asked = (
            f"asked for, or come with the {plan.arrangement} arrangement"
            if plan.arrangement
            else "asked for, or needed with what was asked"
        )
        blocks.append(Para(f"New places ({asked}): {'; '.join(grouped(naming, new, new=True))}.", mark="-"))
    blocks += teller.blocks(answer.changes)
    renewed: dict[str, list[Change]] = {}
    for change in _with_status(answer, RENEWED):
        renewed.setdefault(change.cause, []).append(change)
    for cause, changes in renewed.items():
        blocks.append(Para(f"Renewed ({cause}): {'; '.join(grouped(naming, changes, new=True))}.", mark="-"))
    if _with_status(answer, CHOSEN):
        blocks += [
            Para("Chosen, not forced:", tone=STRONG),
            *bullets(chosen_lines(naming, answer.changes, plan.costs), indent=2),
        ]
    return blocks


def _stops(naming: Naming, stops: Sequence[Evidence]) -> list[Block]:
    if not stops:
        return []
    told: dict[str, list[tuple[str, str]]] = {}
    for evidence in stops:
        text = f"{evidence.verdict}" + (f": {brief(naming, evidence)}" if brief(naming, evidence) else "")
        told.setdefault(evidence.check, [])
        if text not in {t for _, t in told[evidence.check]}:
            told[evidence.check].append((naming.hands((evidence.first, evidence.second)), text))
    lines = []
    for check, found in told.items():
        between = [e for e in stops if e.check == check]
        firsts, seconds = naming.hands(e.first for e in between), naming.hands(e.second for e in between)
        lines.append(f"{check} ({firsts} with {seconds}): {found[0][1]}.")
    head = Para("Here what stays meets what is new, and nothing forces the chain on:")
    return [Heading("Where it stops"), head, *bullets(lines)]


def _alternatives(naming: Naming, plan: Plan, alternatives: Sequence[Alternative]) -> list[Block]:
    if not alternatives:
        return []
    blocks: list[Block] = [Heading("Other plans, none better in all")]
    for i, other in enumerate(alternatives, 2):
        pairs: dict[tuple[str, str], list[str]] = {}
        for place, first, second in other.differs:
            pairs.setdefault((first or "nothing", second or "nothing"), []).append(place)
        said = [f"{places_in_words(places)}: {second} instead of {first}" for (first, second), places in pairs.items()]
        blocks.append(Para(f"{sentence(cost_words(other.costs, plan.costs))} {'; '.join(said)}.", mark=f"{i}."))
    return blocks


def _none(naming: Naming, answer: SwapAnswer) -> list[Block]:
    blocks: list[Block] = [
        Para("NOTHING FITS: no filling of the layout meets this without a no.", tone=BAD),
        Para(answer.cautions[0], tone=WARN),
    ]
    if answer.none is not None:
        teller = WhyTeller(naming, (), "", answer.asked)
        links = [teller.link(s) for s in answer.none.steps if s.kind in ("joint", "figure")]
        others = [s.sort for s in answer.none.steps if s.kind not in ("joint", "figure")]
        blocks += [Heading("Why"), *bullets([sentence(x) for x in dict.fromkeys(links)])]
        rule = {
            "axle rule": "both hands must carry the same part",
            "arrangement": "one arrangement must hold as a whole",
        }
        blocks += bullets([sentence(rule.get(o, o)) for o in dict.fromkeys(others)])
        blocks.append(Para("Drop any one of these and it is possible again.", tone=QUIET))
        notes = note_blocks(naming.catalogue, [s.evidence for s in answer.none.steps if s.evidence])
        blocks += [Heading("What members found"), *notes] if notes else []
    if answer.opens:
        blocks += [Heading("What would open it"), *bullets([sentence(o) for o in answer.opens])]
    return [*blocks, Gap()]


def positions_in(changes: Iterable[Change]) -> list[str]:
    """The positions of some changes, each once."""
    return list(dict.fromkeys(position_of(c.place) for c in changes))
