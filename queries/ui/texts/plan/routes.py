"""The answer of ``knockon swap --instead-of`` as text: ways that have a plan, unsafe ones, where the others stop."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.plan.routes import Route, RoutesAnswer, Stopped, about
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.undecided import PLAN, is_undecided
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences.plan import routes as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, STRONG, WARN, Block, Box, Gap, Heading, Para
from knockon.queries.ui.texts.plan.levels import cost_words
from knockon.queries.ui.texts.plan.no_plan import reason_line
from knockon.queries.ui.texts.plan.swap.head import cautions, rules_line, titled
from knockon.queries.ui.texts.plan.undecided import undecided_blocks

LINES_SHOWN = 4
"""So many order lines that differ are named on the page."""
STOPS_SHOWN = 5
"""So many unsafe ways, and as many others that stop, are named on the page."""


def routes_text(
    catalogue: Catalogue, answer: RoutesAnswer, shown: Shown, ask: str, plan_of: Callable[[Sequence[Asked]], str]
) -> Sequence[Block]:
    """The answer on one page, or with all lines and cautions. ``plan_of``: the command that asks what a way asks."""
    naming = Naming.on(catalogue, answer.vehicle)
    blocks: list[Block] = [Para(titled(answer.title, answer.vehicle, answer.asked)), *_head(naming, answer)]
    blocks.append(Para(answer.cautions[0], tone=WARN))
    blocks += undecided_blocks(answer.not_decided, best_said=True)
    if answer.routes:
        blocks.append(Heading(say.WITH_PLAN))
        blocks += [b for route in answer.routes for b in _route(naming, answer, route, shown.full)]
    unsafe = [s for s in answer.stopped if s.unsafe]
    if unsafe:
        blocks += [Gap(), Box((say.UNSAFE, *_stops(naming, unsafe, shown.full)))]
    stopped = [s for s in answer.stopped if not s.unsafe]
    if stopped:
        blocks += [Heading(say.STOPPED), *(Para(text, mark="-") for text in _stops(naming, stopped, shown.full))]
    if answer.untried:
        proven = not answer.routes and not is_undecided(answer.not_decided, PLAN)
        blocks.append(Para((say.UNTRIED_STOP if proven else say.UNTRIED).format(number=answer.untried), tone=WARN))
    blocks += [Gap(), Para(say.ONLY_RECORDS, tone=QUIET)]
    if shown.full:
        return [*blocks, *cautions(answer.cautions)]
    commands = [plan_of(route.asked) for route in answer.routes[:1]]
    return [*blocks, rules_line(naming, answer.cautions), *next_blocks([*commands, f"{ask} --full"])]


def _head(naming: Naming, answer: RoutesAnswer) -> Iterator[Block]:
    part = f"{naming.hands(answer.numbers)} {naming.name_of(answer.part)}".strip()
    found, every = len(answer.routes), len(answer.routes) + len(answer.stopped)
    if not found:
        if not is_undecided(answer.not_decided, PLAN):
            yield Para((say.NONE if every else say.NOTHING_ELSE).format(part=part), tone=BAD)
        return
    ways = say.ONE_WAY if every == 1 else say.WAYS.format(number=found, all=every)
    some = say.SOME.format(part=part, ways=ways, have=say.HAVE[found > 1])
    yield Para(some if answer.is_good else say.UNSETTLED.format(some=some), tone=STRONG)


def _route(naming: Naming, answer: RoutesAnswer, route: Route, full: bool) -> Iterator[Block]:
    template = say.ROUTE_STAYS if route.stays else say.ROUTE if route.numbers else say.ROUTE_WITHOUT
    costs = cost_words(route.costs, answer.costs)
    yield Para(template.format(part=_part(naming, route.numbers), costs=costs), mark="-")
    yield Para(_lines(naming, route.lines, full), indent=3)


def _lines(naming: Naming, lines: Sequence[LineChange], full: bool) -> str:
    if len(lines) > LINES_SHOWN and not full:
        return say.LINES_MORE.format(number=len(lines))
    more = [(x.number, x.after - x.before) for x in lines if x.after > x.before]
    less = [(x.number, x.before - x.after) for x in lines if x.before > x.after]
    new, old = (
        listed([say.QUANTITY.format(quantity=n, number=naming.number_of(number)) for number, n in side])
        for side in (more, less)
    )
    template = say.LINES if new and old else say.LINES_NEW if new else say.LINES_OLD
    return template.format(new=new, old=old) if lines else ""


def _part(naming: Naming, numbers: Sequence[str]) -> str:
    return f"{naming.hands(numbers)} {naming.name_of(numbers[0])}".strip() if numbers else ""


def _stops(naming: Naming, stopped: Sequence[Stopped], full: bool) -> Iterator[str]:
    """Each with its reason; on the page the first of them, and how many more there are."""
    most = len(stopped) if full else STOPS_SHOWN
    yield from (_stopped(naming, one) for one in stopped[:most])
    if len(stopped) > most:
        yield say.STOPS_MORE.format(number=len(stopped) - most)


def _stopped(naming: Naming, one: Stopped) -> str:
    template = say.STOP_STAYS if one.stays else say.STOP
    if one.not_accepted:
        reason = say.NOT_ACCEPTED.format(why=one.not_accepted)
    else:
        own = set(one.numbers)
        reason = reason_line(naming, one.reason, lambda s: bool(own & set(about(s))))
    return template.format(part=_part(naming, one.numbers), reason=reason)
