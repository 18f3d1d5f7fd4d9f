"""The answer of ``knockon changed --plan``: what hits the plan first, remarks apart."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from knockon.queries.job.plan_changed import Became, PlanChangedAnswer
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import plan_changed as say
from knockon.queries.ui.terminal.blocks import BAD, GOOD, PLAIN, STRONG, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.texts.cautions import in_short

ON_PAGE = 12
"""So many lines of each half on the first page."""


def plan_changed_pages(
    naming: Naming, answer: PlanChangedAnswer, shown: Shown, commands: Sequence[str]
) -> Sequence[Block]:
    """The whole answer, or its first page."""
    hits, remarks = list(_hits(naming, answer)), list(_remarks(naming, answer))
    day = answer.since.partition("T")[0]
    since = (say.SINCE if answer.since else say.SINCE_OLDER).format(plan=answer.plan, vehicle=answer.vehicle, day=day)
    blocks: list[Block] = [Para(since, tone=STRONG), *_verdict(answer, len(hits), commands)]
    for title, lines, tone in ((say.WHAT_HITS, hits, WARN), (say.REMARKS, remarks, PLAIN)):
        if lines:
            blocks.append(Heading(title))
            most = len(lines) if shown.full else ON_PAGE
            blocks += [Para(line, mark="-", tone=tone) for line in lines[:most]]
            blocks += [Para(say.MORE.format(number=len(lines) - most))] if len(lines) > most else []
    return [*blocks, Gap(), in_short(naming.catalogue, answer.cautions), *next_blocks(commands)]


def _verdict(answer: PlanChangedAnswer, hits: int, commands: Sequence[str]) -> Iterator[Block]:
    was, is_now = answer.planned
    if not is_now:
        ordered = say.NO_PLAN_ORDERED.format(ask=commands[0]) if answer.today is not None else say.NO_PLAN_NOW
        yield Para(ordered if was else say.NEVER, mark="!", tone=BAD)
    elif not was:
        yield Para(say.PLAN_NOW, tone=WARN)
    elif answer.is_quiet:
        yield Para(say.NOTHING, tone=GOOD)
    elif not hits:
        yield Para(say.NO_HIT, tone=GOOD)
    else:
        verb = say.HITS[hits > 1]
        yield Para(say.HIT.format(changes=f"{count(hits, 'change')} {verb}"), mark="!", tone=WARN)


def _hits(naming: Naming, answer: PlanChangedAnswer) -> Iterator[str]:
    part = naming.number_of
    for one in answer.wrong:
        template = say.WRONG_NEW if one.after else say.WRONG_GONE
        yield template.format(check=one.what, before=one.before, after=one.after)
    if answer.planned == (True, True):
        yield from (_line(naming, line) for line in answer.lines)
        listed_above = {line.number for line in answer.lines}
        moved = [x for x in answer.places if not {x.before, x.after} & listed_above]
        yield from (_became(x, (say.PLACE, say.PLACE_NEW, say.PLACE_GONE), "place", part) for x in moved)
        checks = (say.CHECK, say.CHECK_NEW, say.CHECK_SETTLED)
        yield from (_became(x, checks, "check", str) for x in answer.checks)
    if answer.is_unsupplied and answer.total is not None:
        yield say.TOTAL_GONE.format(before=f"{answer.total.before} {answer.currency}".strip())
    yield from (say.ORDERED.format(part=_named(naming, p)) for p in answer.ordered)
    yield from (say.TICKED.format(step=step) for step in answer.ticked)


def _named(naming: Naming, number: str) -> str:
    return f"{naming.number_of(number)} {naming.name_of(number)}".strip()


def _line(naming: Naming, line: LineChange) -> str:
    template = say.LINE_NEW if not line.before else say.LINE if line.after else say.LINE_GONE
    return template.format(part=_named(naming, line.number), before=line.before, after=line.after)


def _became(one: Became, templates: tuple[str, str, str], key: str, said: Callable[[str], str]) -> str:
    """In words: ``templates`` of what is another, new and gone."""
    template = templates[0] if one.before and one.after else templates[1] if one.after else templates[2]
    before, after = (said(x) if x else "" for x in (one.before, one.after))
    return template.format(**{key: one.what}, before=before, after=after)


def _remarks(naming: Naming, answer: PlanChangedAnswer) -> Iterator[str]:
    money = f" {answer.currency}".rstrip()
    if answer.total is not None and answer.total.after:
        yield _became(answer.total, (say.TOTAL, say.TOTAL_NEW, ""), "what", lambda x: f"{x}{money}")
    if answer.today is not None and answer.today.lines:
        template = say.TODAY if answer.today.total_now else say.TODAY_GONE
        yield template.format(before=f"{answer.today.total_then}{money}", after=f"{answer.today.total_now}{money}")
        for line in answer.today.lines:
            what = naming.number_of(line.what)
            template = say.OFFER_PRICE if line.price_then and line.price_now else say.OFFER_NEW
            template = template if line.price_now else say.OFFER_GONE
            yield template.format(supplier=line.supplier, what=what, before=line.price_then, after=line.price_now)
    alike: dict[Became, list[str]] = {}
    for kit in answer.kits:
        for one in kit.groups:
            alike.setdefault(one, []).append(kit.kit)
    for one, kits in alike.items():
        template = say.KIT if one.before and one.after else say.KIT_NEW if one.after else say.KIT_GONE
        named = f"{say.KITS[len(kits) > 1]} {listed(kits)}"
        yield template.format(kits=named, group=one.what, before=one.before, after=one.after)
    for template, steps in (
        (say.STEP_NEW, [x.what for x in answer.steps if x.after]),
        (say.STEP_GONE, [x.what for x in answer.steps if x.before]),
    ):
        if steps:
            yield template.format(steps=listed(steps))
