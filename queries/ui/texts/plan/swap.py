"""The answer of ``knockon swap`` as text: the order list first, then what becomes of the rest, why, what to measure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from decimal import ROUND_HALF_UP, Decimal

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.nearest import nearest
from knockon.queries.answers import BestOffer, OrderGroup, OrderLine
from knockon.queries.as_typed import fold
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.arrangements import GivenUp
from knockon.queries.plan.changes import (
    CHOSEN,
    FREED,
    KEPT,
    KEPT_AFTER_WORK,
    MOVED_OVER,
    NEW,
    RENEWED,
    TAKEN_OFF,
    Change,
)
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.swap import Alternative, Plan, SwapAnswer, against_the_old
from knockon.queries.ui.blocks import STRONG, WARN, Block, Grid, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, asked_words, count, listed, places_in_words, sentence
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.links import agreement, no_sentence
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.figures import figure_blocks
from knockon.queries.ui.texts.plan.measure import measure_blocks
from knockon.queries.ui.texts.plan.no_plan import given_up_blocks, none_blocks, unknown_blocks
from knockon.queries.ui.texts.plan.specification import to_find_blocks, would_open_blocks
from knockon.queries.ui.texts.plan.unproven import finding_blocks, member_blocks, unproven_blocks
from knockon.queries.ui.texts.plan.why import WhyTeller, chosen_lines, cost_words, tree_of


def swap_text(catalogue: Catalogue, answer: SwapAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [title(answer), *danger_blocks(naming, answer.findings.wrong)]
    if answer.plan is None:
        none = none_blocks(naming, answer.none, answer.opens, answer.cautions)
        blocks += unchecked_blocks(answer)
        return [
            *blocks,
            *none,
            *would_open_blocks(answer.would_open),
            *finding_blocks(naming, answer.findings),
            *cautions(answer.cautions, unchecked_told(answer)),
        ]
    plan = answer.plan
    blocks += [*verdict_blocks(naming, answer, plan), Para(answer.cautions[0], tone=WARN)]
    if changes_nothing(answer):
        return [*blocks, *finding_blocks(naming, answer.findings), *cautions(answer.cautions, unchecked_told(answer))]
    blocks += what_else(naming, answer, plan)
    blocks += order_blocks(naming, plan, answer.consumables, naming.has_sides(answer.vehicle))
    blocks += to_find_blocks(answer.to_find)
    blocks += unknown_blocks(naming, answer.unknowns, answer.opens)
    blocks += _what_stays(naming, answer)
    blocks += [*why_blocks(naming, answer, plan), *stop_blocks(naming, answer.stops)]
    blocks += figure_blocks(naming, answer.figures, answer.meetings)
    blocks += measured_first(answer)
    blocks += [*unproven_blocks(naming, plan.unproven), *found_by_members(naming, answer, plan)]
    blocks += other_plans(naming, plan, answer.alternatives)
    return [*blocks, *cautions(answer.cautions, unchecked_told(answer))]


def title(answer: SwapAnswer) -> Block:
    """Which vehicle, and what was asked."""
    asked = asked_words(answer.asked) or "nothing but what is due"
    named = f"{answer.title} ({answer.vehicle})" if answer.title else answer.vehicle
    return Para(f"{named}. Asked: {asked}.")


def changes_nothing(answer: SwapAnswer) -> bool:
    """Whether everything stays where it is."""
    return all(c.status == KEPT for c in answer.changes)


def verdict_blocks(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """Whether it can be done, in one sentence, and which checks nobody could make."""
    sides = naming.has_sides(answer.vehicle)
    head = _perhaps(plan, answer) or _head(plan, answer.given_up, bool(answer.set_aside), sides)
    return [*head, *unchecked_blocks(answer)]


def what_else(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """What belongs to the verdict: an arrangement that nobody asked for, what is open, what is bought though sound."""
    given_up: list[Block] = []
    if answer.given_up is not None:
        given_up = given_up_blocks(naming, answer.given_up, cost_words(answer.given_up.costs or {}, plan.costs))
    return [*given_up, *_not_known(plan), *_bought_again(naming, answer)]


def measured_first(answer: SwapAnswer) -> list[Block]:
    """What to measure before anything is ordered, and the risks that stay."""
    return measure_blocks(answer.measure_first, answer.risks, answer.findings.unknown_condition, answer.record_first)


def found_by_members(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """What members found, and what was found on the vehicle as it stands."""
    found = {e.check for e in answer.findings.wrong}  # their notes stand with the findings
    beside = [e for e in against_the_old(answer.changes) if e.check not in found]
    return [*member_blocks(naming, plan.unproven, beside), *finding_blocks(naming, answer.findings)]


def cautions(texts: Sequence[str], told_above: Sequence[str] = ()) -> list[Block]:
    """The cautions at the end, one a line; of a row that was set aside the head of the answer has told."""
    return [Heading("Cautions"), *bullets([t for t in texts if t not in told_above], tone=WARN)]


def _perhaps(plan: Plan, answer: SwapAnswer) -> list[Block]:
    """The head where nothing tells whether what was asked for is on the vehicle already."""
    if not answer.perhaps_there:
        return []
    text = (
        f"NOT KNOWN YET: nothing recorded tells whether {listed(answer.perhaps_there)} are on the vehicle. Look first."
    )
    more = f" If so, there are {count(len(plan.groups), 'order group')}." if plan.groups else ""
    return [Para(text + more, tone=STRONG)]


def _head(plan: Plan, unasked: GivenUp | None, unread: bool, has_sides: bool) -> list[Block]:
    if not plan.groups and plan.arrangement in ("", plan.was):
        return [Para("It is so already: there is nothing to order.", tone=STRONG)]
    held = f" with the {_arrangements(plan.arrangement)}" if plan.arrangement else ""
    lost, new = _exchanged(plan)
    if lost and new:
        but = "and" if plan.costs[NOT_KNOWN] else "but"
        how = f"{but} only by changing" if unasked is not None else "by changing"
        held = f", {how} from the {listed(lost)} to the {_arrangements('; '.join(new))}"
    first = count(plan.costs[NOT_KNOWN], "check")
    groups = count(len(plan.groups), "order group") + (" for both sides" if has_sides else "")
    text = f"It can be done{', as far as the checks can be read' if unread else ''}{held}: {groups}."
    lacking = [line.name for group in plan.groups for line in group.lines if not line.recorded]
    if plan.costs[NOT_KNOWN] or lacking:  # what rests on unknowns is never told as if it were settled
        but = (
            f", but {first} not known without even a claim. Measure before you order." if plan.costs[NOT_KNOWN] else "."
        )
        text = f"NOT KNOWN YET{held}: {groups}{but}"
    if lacking:
        names = listed(list(dict.fromkeys(lacking)))
        text += f" Yet to be found: {names}, of which no part is recorded; this is no order yet."
    proved = "" if plan.proved else " Best found in the time; not proved to be the best."
    return [Para(text + proved, tone=STRONG)]


def _exchanged(plan: Plan) -> tuple[list[str], list[str]]:
    """The arrangements that the vehicle has and the plan has not, and those that hold instead."""
    was, now = (text.split("; ") if text else [] for text in (plan.was, plan.arrangement))
    return [a for a in was if a not in now], [a for a in now if a not in was]


def _arrangements(said: str) -> str:
    """``disc arrangement``; of several choices ``front disc and rear drum arrangements``."""
    names = said.split("; ")
    return f"{listed(names)} arrangement{'s' if len(names) > 1 else ''}"


def _not_known(plan: Plan) -> list[Block]:
    """Checks that stay open until something is measured on the vehicle: said with the verdict, not only far below."""
    open_checks = dict.fromkeys(e.check for e in plan.unproven if e.verdict is Verdict.NOT_KNOWN)
    if plan.costs[NOT_KNOWN] or not open_checks:
        return []
    return [Para(f"Not known until it is measured on the vehicle: {'; '.join(open_checks)}.", tone=WARN)]


def _bought_again(naming: Naming, answer: SwapAnswer) -> list[Block]:
    """What the plan buys anew by its own number though nothing is wrong with it: fewest changes, but not what one
    expects."""
    again = [c for c in answer.changes if c.status == CHOSEN and c.old and c.old == c.new]
    if not again:
        return []
    keep = " ".join(f'--keep "{p}"' for p in dict.fromkeys(c.position for c in again))
    text = f"It buys again what is sound: {'; '.join(grouped(naming, again))}. For a plan that keeps it: {keep}."
    return [Para(text, tone=WARN)]


def money(value: float | Decimal) -> str:
    """A price in the records' currency, in hundredths, halves up."""
    return str(Decimal(str(value)).quantize(Decimal("0.01"), ROUND_HALF_UP))


def order_blocks(naming: Naming, plan: Plan, consumables: Sequence[OrderLine], has_sides: bool) -> list[Block]:
    """The order list, then the workshop consumables as their own block."""
    if not plan.groups:
        return []
    rows = [row for i, group in enumerate(plan.groups, 1) for row in _order_rows(i, group)]
    head = ("", "group", "qty", "number and name", "use", "offer, each")
    blocks: list[Block] = [
        Heading("Order list, both sides" if has_sides else "Order list"),
        Grid(tuple(rows), head, right=(0, 2)),
    ]
    lines = [line for group in plan.groups for line in group.lines]
    priced = sum(line.total() for line in lines)
    unoffered = len({line.number for line in lines if line.offer is None})
    total = f"Cheapest offers together {money(priced)}, without postage and workshop consumables"
    total += f", and without {count(unoffered, 'number')} that nobody offers." if unoffered else "."
    blocks += [] if all(line.offer is None for line in lines) else [Para(total, indent=2)]
    blocks += _surcharges(lines)
    if consumables:
        beside = tuple((c.name, str(c.quantity), c.number or "-", _offer(c)) for c in consumables)
        blocks += [Heading("Workshop consumables, beside the order"), Grid(beside, right=(1,), indent=2)]
    return blocks


def _order_rows(number: int, group: OrderGroup) -> Iterator[tuple[str, ...]]:
    name = " ".join(x for x in (group.group, group.hand) if x)
    for i, line in enumerate(group.lines):
        quantity = str(line.quantity) if line.quantity else "in set"
        first = (str(number), name) if i == 0 else ("", "")
        named = f"{line.number} {line.name}".strip() + (", yet to be proven" if line.to_prove and line.recorded else "")
        yield (*first, quantity, named, "once" if line.one_use else "", _offer(line))


def _offer(line: OrderLine) -> str:
    if not line.recorded:
        return "needed, no part recorded"
    if line.offer is None:
        return "nobody offers it"
    said = _offered(line.offer)
    if line.exchange is None:
        return said
    return f"{line.quantity - line.exchanged} at {said}, {line.exchanged} at {_offered(line.exchange)}"


def _offered(offer: BestOffer) -> str:
    return f"{money(offer.price)}{' *' if offer.surcharge else ''} {offer.supplier}".strip()


def _surcharges(lines: Iterable[OrderLine]) -> list[Block]:
    found = [line for line in lines if line.offer and line.offer.surcharge]
    if not found:
        return []
    amounts = listed(list(dict.fromkeys(money(line.offer.surcharge) for line in found if line.offer)))
    old = "no old part" if not any(line.exchanged for line in found) else "too few old parts"
    text = f"* with the exchange surcharge of {amounts} each: this vehicle has {old} of that kind to hand in."
    return [Para(text, indent=2)]


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
        found = grouped(naming, [c for c in _with_status(answer, status) if not c.not_recorded])
        blocks += [Para(f"{title}: {'; '.join(found)}.", mark="-")] if found else []
    for cause, changes in by_cause(_with_status(answer, TAKEN_OFF)).items():
        found = grouped(naming, [c for c in changes if not c.not_recorded])
        blank = [c.place for c in changes if c.not_recorded]
        found += [f"{places_in_words(blank)}, of which nothing is recorded"] if blank else []
        blocks.append(Para(f"Taken off and put back: {'; '.join(found)} ({cause}).", mark="-"))
    blank = [c.place for c in _with_status(answer, KEPT, MOVED_OVER) if c.not_recorded]
    text = f"Taken to stay, since nothing is recorded of what is there: {places_in_words(blank)}."
    blocks += [Para(text, mark="-", tone=WARN)] if blank else []
    for text in _after_work(naming, answer):
        blocks.append(Para(text, mark="-"))
    replaced = [c for c in answer.changes if c.old and c.old != c.new and c.status not in (FREED, KEPT_AFTER_WORK)]
    found = grouped(naming, _with_status(answer, FREED))
    blocks += [Para(f"{rows[2][0]}, nothing in its place: {'; '.join(found)}.", mark="-")] if found else []
    found = grouped(naming, replaced)
    blocks += [Para(f"{rows[2][0]}, replaced by the order list: {'; '.join(found)}.", mark="-")] if found else []
    return blocks


def by_cause(changes: Sequence[Change]) -> dict[str, list[Change]]:
    """Changes by their cause, in order."""
    said: dict[str, list[Change]] = {}
    for change in changes:
        said.setdefault(change.cause, []).append(change)
    return said


def _after_work(naming: Naming, answer: SwapAnswer) -> list[str]:
    said, lines = by_cause(_with_status(answer, KEPT_AFTER_WORK)), list[str]()
    for work, changes in said.items():
        what = f"{places_in_words([c.place for c in changes])} {naming.hands(c.old for c in changes)}"
        text = f"Stays after work: {what}: {work}."
        as_it_is = dict.fromkeys(f"{e.check}: {no_sentence(naming, e)}" for c in changes for e in c.evidence)
        lines.append(text + (f" As it is: {'; '.join(as_it_is)}." if as_it_is else ""))
    return lines


def why_at(naming: Naming, answer: SwapAnswer, plan: Plan, name: str) -> list[Block]:
    """Why one position changes, or stays: the chain that leads to it, or what becomes of it.

    Raises UnknownNameError for a name of no position and no order group of the plan.
    """
    words = {fold(c.position): c.position for c in answer.changes} | {fold(c.place): c.position for c in answer.changes}
    words = {fold(group.group): group.group for group in plan.groups} | words
    known = words.get(fold(name))
    if known is None:
        raise UnknownNameError("position", name, nearest(name, list(dict.fromkeys(words.values()))))
    teller = WhyTeller(naming, plan.groups, answer.changes)
    chain = teller.chain_to(known)
    if chain:
        return [Heading("Why"), *teller.blocks(chain)]
    changes = [c for c in answer.changes if known in (c.position, c.group)]
    said: dict[str, list[Change]] = {}
    for change in changes:
        said.setdefault(f"{change.status}{f' ({change.cause})' if change.cause else ''}", []).append(change)
    return [
        Heading("Why"),
        *bullets(f"{'; '.join(grouped(naming, cs, new=not cs[0].old))}: {how}." for how, cs in said.items()),
    ]


def why_blocks(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """Why each change is made: the tree in short, then in full."""
    teller = WhyTeller(naming, plan.groups, answer.changes)
    blocks: list[Block] = [Heading("Why")]
    tree = tree_of(teller.entries)
    if tree:
        blocks.append(Para("In short, each forces what stands under it:"))
        blocks += [Para(text, indent=2 + 2 * depth) for depth, text in tree]
        blocks.append(Para("In full, with the numbers of the order list:"))
    new = _with_status(answer, NEW)
    if new:
        why = (
            f"asked for, or brought by the {_arrangements(plan.arrangement)}"
            if plan.arrangement
            else "asked for, or needed"
        )
        if answer.arrangements:
            why = f"asked for: {listed(answer.arrangements)}"
        blocks.append(Para(f"New places ({why}): {'; '.join(grouped(naming, new, new=True))}.", mark="-"))
    blocks += teller.blocks()
    renewed: dict[str, list[Change]] = {}
    for change in _with_status(answer, RENEWED):
        renewed.setdefault(change.cause, []).append(change)
    for cause, changes in renewed.items():
        blocks.append(Para(f"Renewed ({cause}): {'; '.join(grouped(naming, changes, new=True))}.", mark="-"))
    blocks += [Para(text, mark="-", indent=2) for text in _own_number(naming, answer, plan)]
    chosen = chosen_lines(naming, answer.changes, plan.costs)
    return [*blocks, *([Para("Chosen, not forced:", tone=STRONG), *bullets(chosen, indent=2)] if chosen else [])]


def _own_number(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[str]:
    """Of what is due and renewed by another number: whether its own was possible, and what that would cost."""
    said: dict[tuple[str, str], list[Change]] = {}
    for change in (c for c in _with_status(answer, RENEWED) if c.old != c.new):
        if change.keeping is not None:
            text = f"is possible too, and costs: {cost_words(change.keeping, plan.costs)}"
            said.setdefault((change.position, text), []).append(change)
        elif change.old not in naming.catalogue.parts:
            said.setdefault((change.position, "is not recorded, so it is renewed by whatever fits"), []).append(change)
    numbers = {
        key: (naming.hands(c.new for c in found), naming.hands(c.old for c in found)) for key, found in said.items()
    }
    return [f"{key[0]}: {new} for {old}: its own number {key[1]}." for key, (new, old) in numbers.items()]


def stop_blocks(naming: Naming, stops: Sequence[Evidence]) -> list[Block]:
    """The edge: what stays where it meets what is new, both hands in one line."""
    if not stops:
        return []
    by_check: dict[str, list[Evidence]] = {}
    for evidence in stops:
        by_check.setdefault(evidence.check, []).append(evidence)
    lines: list[str] = []
    bare: list[str] = []
    unknown: list[str] = []
    for check, found in by_check.items():
        pair = f"{naming.hands(e.first for e in found)} with {naming.hands(e.second for e in found)}"
        said = listed(list(dict.fromkeys(agreement(e) for e in found if agreement(e))), "or")
        verdicts = list(dict.fromkeys(e.verdict for e in found))
        if said:
            lines.append(f"{check}: {pair}: {said} ({listed(verdicts, 'or')}).")
        else:
            (unknown if Verdict.NOT_KNOWN in verdicts else bare).append(f"{check} ({pair})")
    head = Para("Here what stays meets what is new, and nothing forces the chain on:")
    more = [f"On paper only, no sizes recorded to compare: {'; '.join(bare)}."] if bare else []
    more += [f"Not known, nothing recorded to compare: {'; '.join(unknown)}."] if unknown else []
    return [Heading("Where it stops"), head, *bullets([*lines, *more])]


def other_plans(naming: Naming, plan: Plan, alternatives: Sequence[Alternative]) -> list[Block]:
    """Plans none of which is better in all."""
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
