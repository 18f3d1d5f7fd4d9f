"""The answer of ``knockon swap --side-by-side`` as text: the part that asks for least, then a table of all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.side_by_side import NoTarget, SideBySideAnswer, Target
from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, PRICE, UNOFFERED
from knockon.queries.plan.solving.request import KEEP, RENEW, Asked
from knockon.queries.ui.blocks import BAD, QUIET, STRONG, WARN, Block, Grid, Heading, Para
from knockon.queries.ui.naming import Naming, asked_words, count, listed, plural
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.plan.levels import COMPARED
from knockon.queries.ui.texts.plan.no_plan import reason_line
from knockon.queries.ui.texts.plan.swap.head import cautions
from knockon.queries.ui.texts.plan.swap.order_list import money

HEAD = ("changed", "lines", "price", "not offered", "not known", "new wheels", "measure")


def side_by_side_text(catalogue: Catalogue, answer: SideBySideAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming.on(catalogue, answer.vehicle)
    title = f"{answer.title} ({answer.vehicle})" if answer.title else answer.vehicle
    compared = len(answer.targets) + len(answer.without_plan)
    parts = count(compared, answer.position, plural(answer.position))
    asked = f" for {listed(answer.arrangements)}" if answer.arrangements else ""
    blocks: list[Block] = [Para(f"{title}. Asked: {asked_words(answer.asked)}. {parts} side by side{asked}.")]
    blocks += danger_blocks(naming, answer.findings.wrong)
    blocks += [*_head(naming, answer), Para(answer.cautions[0], tone=WARN)]
    if answer.targets:
        rows: tuple[tuple[str, ...], ...] = tuple(_row(naming, t) for t in answer.targets)
        head: tuple[str, ...] = (answer.position, *HEAD)
        right: tuple[int, ...] = (1, 2, 3, 4, 5, 7)
        if not any(t.wheels for t in answer.targets):  # the layout has none
            rows, head, right = tuple(r[:6] + r[7:] for r in rows), head[:6] + head[7:], (1, 2, 3, 4, 5, 6)
        blocks += [Heading("Side by side, least first"), Grid(rows, head, right=right)]
        blocks += _notes(naming, answer)
    if answer.without_plan:
        blocks.append(Heading("No plan"))
        blocks += [Para(f"{naming.hands(n.numbers)}: {_why(naming, n)}.", mark="-") for n in answer.without_plan]
    return [*blocks, *cautions(answer.cautions)]


def _head(naming: Naming, answer: SideBySideAnswer) -> Iterator[Block]:
    if not answer.targets and not answer.without_plan:
        yield Para(f"No {answer.position} that meets this is recorded: there is nothing to set side by side.", tone=BAD)
        yield Para("Without --side-by-side the answer shows what it would have to be.")
        return
    if not answer.targets:
        yield Para(f"NO PLAN: no known {answer.position} meets this request.", tone=BAD)
        return
    best = answer.targets[0]
    number = naming.part(best.number)
    if best.there and not best.lines:
        yield Para(f"It is so already: {number} is on the {naming.machine}.", tone=STRONG)
    elif best.settled:
        yield Para(f"{number} needs least: {_short(best)}.", tone=STRONG)
    else:
        yield Para(
            f"NOT KNOWN YET: no plan rests on known sizes only. {number} needs least: {_short(best)}.", tone=STRONG
        )
    yield Para(f"The whole plan: {_command(answer, best)}")


def _command(answer: SideBySideAnswer, target: Target) -> str:
    """What shows a target's whole plan: all that was asked, and its part."""
    options = [f'--want "{target.wish}"']
    for said in answer.asked:
        words = said.words
        if said.option in (KEEP, RENEW) and Asked(said.option, said.places[0].other_hand) in answer.asked:
            words = said.places[0].position  # both hands
        options.append(f'--{said.option} "{words}"')
    options = list(dict.fromkeys(options))
    vehicle = f'"{answer.vehicle}"' if " " in answer.vehicle else answer.vehicle
    return " ".join((f"knockon swap {vehicle}", *options, *(f"--prefer {level}" for level in answer.prefer)))


def _short(target: Target) -> str:
    said = [count(target.costs[CHANGES], "part") + " changed", _price(target)]
    said += [count(target.costs[NOT_KNOWN], "check") + " not known"] if target.costs[NOT_KNOWN] else []
    wheels = {"stay": "the wheels stay", "stay after work": "the wheels stay after work", "change": "the wheels change"}
    return listed([*said, *([wheels[target.wheels]] if target.wheels else [])])


def _price(target: Target) -> str:
    unoffered = target.costs[UNOFFERED]
    price = money(target.costs[PRICE] / 100)
    return f"{price} and {count(unoffered, 'line')} not offered" if unoffered else price


def _row(naming: Naming, target: Target) -> tuple[str, ...]:
    levels = target.costs
    number = f"{naming.hands(target.numbers)} {naming.name_of(target.number)}".strip()
    wheels = {"stay": "no", "stay after work": "no, after work", "change": "yes"}
    return (
        number + (f", on the {naming.machine}" if target.there else ""),
        str(levels[CHANGES]),
        str(target.lines),
        money(levels[PRICE] / 100),
        str(levels[UNOFFERED]),
        str(levels[NOT_KNOWN]),
        wheels.get(target.wheels, "-"),
        str(target.measure),
    )


def _notes(naming: Naming, answer: SideBySideAnswer) -> Iterator[Block]:
    order = listed([COMPARED[level] for level in answer.order])
    text = (
        "Changed: parts replaced or new, beyond those that go in any case. "
        f"Measure: on the {naming.machine}, before you order."
    )
    yield Para(f"{text} Ordered by {order}.", indent=2, tone=QUIET)
    if len({t.costs[UNOFFERED] for t in answer.targets}) > 1:
        yield Para("A price leaves out what nobody offers: compare prices at equal counts only.", indent=2, tone=WARN)
    for target in answer.targets:
        if target.to_find:
            yield Para(f"{target.number}: no part is recorded for {listed(target.to_find)}.", indent=2, tone=WARN)
        if not target.proved:
            yield Para(f"{target.number}: best found in the time; not proved to be the best.", indent=2, tone=WARN)


def _why(naming: Naming, without: NoTarget) -> str:
    if without.not_accepted:
        return f"{without.not_accepted}; ask for it by its number to see its plan"
    return reason_line(naming, without.reason)
