"""The answer of ``knockon swap --side-by-side`` as text: the part that asks for least, then a table of all."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.side_by_side import NoTarget, SideBySideAnswer, Target
from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, PRICE, UNOFFERED
from knockon.queries.plan.solving.undecided import PLAN, is_undecided
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, plural
from knockon.queries.ui.sentences.plan import compared as say
from knockon.queries.ui.sentences.plan.undecided import NO_PLAN_YET
from knockon.queries.ui.terminal.blocks import BAD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.plan.levels import COMPARED
from knockon.queries.ui.texts.plan.no_plan import reason_line
from knockon.queries.ui.texts.plan.swap.first_page import short_dangers
from knockon.queries.ui.texts.plan.swap.head import cautions, rules_line, titled
from knockon.queries.ui.texts.plan.swap.order_list import money
from knockon.queries.ui.texts.plan.undecided import undecided_blocks


def side_by_side_text(
    catalogue: Catalogue, answer: SideBySideAnswer, shown: Shown, ask: str, plan_of: Callable[[str], str]
) -> Sequence[Block]:
    """The answer on one page, or with all cautions. ``ask``: the command so far; ``plan_of``: the command that shows
    the plan for a wish, or without one."""
    naming = Naming.on(catalogue, answer.vehicle)
    title = titled(answer.title, answer.vehicle, answer.asked)
    blocks: list[Block] = [Para(" ".join((title, *_compared(answer))))]
    wrong = answer.findings.wrong
    blocks += danger_blocks(naming, wrong) if shown.full else list(short_dangers(naming, wrong))
    blocks += [*_head(naming, answer), Para(answer.cautions[0], tone=WARN)]
    blocks += undecided_blocks(answer.not_decided, best_said=True)
    if answer.targets:
        blocks += [Heading(say.LEAST_FIRST), _table(naming, answer), *_notes(naming, answer)]
    if answer.without_plan:
        blocks.append(Heading(say.WITHOUT_PLAN))
        blocks += [
            Para(say.WHY_NONE.format(parts=naming.hands(n.numbers), reason=_why(naming, n)), mark="-")
            for n in answer.without_plan
        ]
    if shown.full:
        return [*blocks, *cautions(answer.cautions)]
    commands = [plan_of(t.wish) for t in answer.targets[:1] if t.lines or not t.there]
    commands += [] if answer.targets or answer.without_plan else [f"{plan_of('')} --full"]
    return [*blocks, Gap(), rules_line(naming, answer.cautions), *next_blocks([*commands, f"{ask} --full"])]


def _table(naming: Naming, answer: SideBySideAnswer) -> Grid:
    """A row for each part; the column on wheels only where the layout has some."""
    rows: tuple[tuple[str, ...], ...] = tuple(_row(naming, t) for t in answer.targets)
    head: tuple[str, ...] = (answer.position, *say.HEAD)
    if any(t.wheels for t in answer.targets):
        return Grid(rows, head, right=(1, 2, 3, 4, 5, 7))
    return Grid(tuple(r[:6] + r[7:] for r in rows), head[:6] + head[7:], right=(1, 2, 3, 4, 5, 6))


def _compared(answer: SideBySideAnswer) -> list[str]:
    """How many parts are compared; nothing where there is none."""
    number = len(answer.targets) + len(answer.without_plan)
    if not number:
        return []
    parts = count(number, answer.position, plural(answer.position))
    if answer.arrangements:
        return [say.SIDE_BY_SIDE_FOR.format(parts=parts, arrangements=listed(answer.arrangements))]
    return [say.SIDE_BY_SIDE.format(parts=parts)]


def _head(naming: Naming, answer: SideBySideAnswer) -> Iterator[Block]:
    if not answer.targets and is_undecided(answer.not_decided, PLAN):
        yield Para(NO_PLAN_YET, tone=WARN)
        return
    if not answer.targets and not answer.without_plan:
        yield Para(say.NONE_MEETS.format(position=answer.position), tone=BAD)
        yield Para(say.SEE_WITHOUT)
        return
    if not answer.targets:
        yield Para(say.NO_PLAN.format(position=answer.position), tone=BAD)
        return
    best = answer.targets[0]
    part = naming.part(best.number)
    least = say.LEAST.format(part=part, costs=_short(best))
    if best.there and not best.lines:
        yield Para(say.ALREADY.format(machine=naming.machine, part=part), tone=STRONG)
    else:
        yield Para(least if best.settled else say.NOT_KNOWN_YET.format(least=least), tone=STRONG)


def _short(target: Target) -> str:
    changed = target.costs[CHANGES]
    said = [say.PARTS_CHANGE[changed != 1].format(number=changed), _price(target)]
    unknown = target.costs[NOT_KNOWN]
    said += [say.NOT_KNOWN.format(checks=count(unknown, "check is", "checks are"))] if unknown else []
    return listed([*said, *([say.WHEELS[target.wheels]] if target.wheels else [])])


def _price(target: Target) -> str:
    unoffered = target.costs[UNOFFERED]
    price = money(target.costs[PRICE] / 100)
    if unoffered:
        return say.NOT_OFFERED.format(money=price, lines=count(unoffered, "line"))
    return say.COSTS.format(money=price)


def _row(naming: Naming, target: Target) -> tuple[str, ...]:
    levels = target.costs
    number = f"{naming.hands(target.numbers)} {naming.name_of(target.number)}".strip()
    return (
        say.ON_THE_VEHICLE.format(part=number, machine=naming.machine) if target.there else number,
        str(levels[CHANGES]),
        str(target.lines),
        money(levels[PRICE] / 100),
        str(levels[UNOFFERED]),
        str(levels[NOT_KNOWN]),
        say.NEW_WHEELS.get(target.wheels, "-"),
        str(target.measure),
    )


def _notes(naming: Naming, answer: SideBySideAnswer) -> Iterator[Block]:
    levels = listed([COMPARED[level] for level in answer.order])
    said = (say.CHANGED_MEANS, say.MEASURE_MEANS.format(machine=naming.machine), say.ORDERED_BY.format(levels=levels))
    yield Para(" ".join(said), indent=2, tone=QUIET)
    if len({t.costs[UNOFFERED] for t in answer.targets}) > 1:
        yield Para(say.UNEQUAL_PRICES, indent=2, tone=WARN)
    for target in answer.targets:
        if target.to_find:
            text = say.NOT_RECORDED.format(part=target.number, names=listed(target.to_find))
            yield Para(text, indent=2, tone=WARN)
        if not target.proved:
            yield Para(say.NOT_PROVED.format(part=target.number), indent=2, tone=WARN)


def _why(naming: Naming, without: NoTarget) -> str:
    if without.not_accepted:
        return say.NOT_ACCEPTED.format(why=without.not_accepted)
    return reason_line(naming, without.reason)
