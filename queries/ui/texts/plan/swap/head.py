"""The head of a plan: what was asked, whether it can be done, and what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.answers import rules_in_short
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.changes import CHOSEN, KEPT
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.swap import Plan, SwapAnswer
from knockon.queries.ui.naming import Naming, asked_words, count, listed
from knockon.queries.ui.sentences.plan import verdict as say
from knockon.queries.ui.terminal.blocks import STRONG, WARN, Block, Gap, Heading, Para, bullets
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks
from knockon.queries.ui.texts.plan.levels import cost_words
from knockon.queries.ui.texts.plan.no_plan import given_up_blocks
from knockon.queries.ui.texts.plan.swap.remaining import grouped

MOST_CHECKS = 3
"""So many checks that are not known are named in the head of an answer."""


def titled(title: str, vehicle: str, asked: Sequence[Asked]) -> str:
    """Which vehicle, and what was asked."""
    named = say.NAMED.format(title=title, vehicle=vehicle) if title else vehicle
    return say.TITLE.format(vehicle=named, asked=asked_words(asked) or say.NOTHING_ASKED)


def title(answer: SwapAnswer) -> Block:
    """Which vehicle, and what was asked."""
    return Para(titled(answer.title, answer.vehicle, answer.asked))


def changes_nothing(answer: SwapAnswer) -> bool:
    """Whether everything stays where it is."""
    return all(c.status == KEPT for c in answer.changes)


def verdict_blocks(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """Whether it can be done and what to do next, and which checks nobody could make."""
    return [Para(_verdict(naming, answer, plan), tone=STRONG), *unchecked_blocks(answer)]


def groups_in_words(naming: Naming, vehicle: str, number: int, what: str = "order group") -> str:
    """``39 order groups for both sides``."""
    groups = count(number, what)
    return say.BOTH_SIDES.format(groups=groups) if naming.has_sides(vehicle) else groups


def what_else(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """What belongs to the verdict: an arrangement that nobody asked for, what is open, what is bought though sound."""
    given_up: list[Block] = []
    if answer.given_up is not None:
        given_up = given_up_blocks(naming, answer.given_up, cost_words(answer.given_up.costs or {}, plan.costs))
    return [*given_up, *_not_known(naming, plan), *_bought_again(naming, answer)]


def cautions(texts: Sequence[str], told_above: Sequence[str] = ()) -> list[Block]:
    """The cautions at the end, one a line; the head of the answer has told what nobody checked."""
    return [Heading(say.CAUTIONS), *bullets([t for t in texts if t not in told_above], tone=WARN)]


def rules_line(naming: Naming, texts: Sequence[str]) -> Para:
    """Which rules stand above the answer, in short, where one screen must hold it."""
    return Para(say.RULES_IN_SHORT.format(rules=rules_in_short(naming.catalogue, texts)), tone=WARN)


def short_cautions(naming: Naming, texts: Sequence[str]) -> list[Block]:
    """The cautions in short, behind a blank line."""
    return [Gap(), Para(texts[0], tone=WARN), rules_line(naming, texts)]


def _verdict(naming: Naming, answer: SwapAnswer, plan: Plan) -> str:
    groups = groups_in_words(naming, answer.vehicle, len(plan.groups), "group")
    if answer.perhaps_there:
        said = [say.PERHAPS.format(machine=naming.machine, things=listed(answer.perhaps_there))]
        return " ".join((*said, *([say.PERHAPS_ORDER.format(groups=groups)] if plan.groups else [])))
    if not plan.groups and plan.arrangement in ("", plan.was):
        nothing = say.NOTHING_TO_ORDER.format(machine=naming.machine)
        return nothing if changes_nothing(answer) else say.ONLY_CHANGES
    lacking = [line.name for group in plan.groups for line in group.lines if not line.recorded]
    names = listed(list(dict.fromkeys(lacking)))
    unknown = plan.costs[NOT_KNOWN]
    if unknown or lacking:  # what rests on unknowns is never told as if it were settled
        said = _not_known_yet(unknown, names)
        said.append(_what_it_is(plan, groups_in_words(naming, answer.vehicle, len(plan.groups))))
    else:
        how = _how(plan, answer.given_up is not None)
        said = [(say.AS_FAR_AS_READ if answer.set_aside else say.CAN_BE_DONE).format(how=how)]
        first = answer.measure_first or answer.record_first
        said += [(say.MEASURE_THEN_ORDER if first else say.ORDER).format(groups=groups)] if plan.groups else []
    return " ".join((*said, *([] if plan.proved else [say.NOT_PROVED])))


def _not_known_yet(unknown: int, names: str) -> list[str]:
    if not unknown:
        return [say.NOT_RECORDED_YET.format(names=names), say.FIND_FIRST]
    head = say.NOT_KNOWN_YET.format(checks=count(unknown, "check"), are="is" if unknown == 1 else "are")
    lacks = [say.ALSO_NOT_RECORDED.format(names=names), say.FIND_FIRST] if names else []
    return [head, say.NO_ORDER_YET, *lacks]


def _what_it_is(plan: Plan, groups: str) -> str:
    lost, new = _exchanged(plan)
    if lost and new:
        return say.PLAN_CHANGES.format(old=listed(lost), new=arrangements(new), groups=groups)
    if plan.arrangement:
        return say.PLAN_KEEPS.format(arrangements=arrangements(plan.arrangement.each), groups=groups)
    return say.PLAN_HAS.format(groups=groups)


def _how(plan: Plan, unasked: bool) -> str:
    lost, new = _exchanged(plan)
    if lost and new:
        how = say.ONLY_BY_CHANGING if unasked else say.CHANGES
        return how.format(old=listed(lost), new=arrangements(new))
    return say.KEEPS.format(arrangements=arrangements(plan.arrangement.each)) if plan.arrangement else ""


def _exchanged(plan: Plan) -> tuple[list[str], list[str]]:
    """The arrangements that the vehicle has and the plan has not, and those that hold instead."""
    was, now = plan.was.each, plan.arrangement.each
    return [a for a in was if a not in now], [a for a in now if a not in was]


def arrangements(names: Sequence[str]) -> str:
    """``disc arrangement``; of several choices ``front disc and rear drum arrangements``."""
    return (say.ARRANGEMENTS if len(names) > 1 else say.ARRANGEMENT).format(names=listed(names))


def _not_known(naming: Naming, plan: Plan) -> list[Block]:
    """Checks that stay open until something is measured on the vehicle: said with the verdict, not only far below."""
    open_checks = not_known_checks(plan.unproven)
    if not open_checks:
        return []
    if plan.costs[NOT_KNOWN]:
        return [Para(say.NOT_KNOWN.format(checks=first_checks(open_checks)), tone=WARN)]
    return [Para(say.UNTIL_MEASURED.format(machine=naming.machine, checks="; ".join(open_checks)), tone=WARN)]


def not_known_checks(unproven: Sequence[Evidence]) -> list[str]:
    """The checks that are not known, those of both hands once."""
    return list(dict.fromkeys(e.check for e in unproven if e.verdict is Verdict.NOT_KNOWN))


def first_checks(checks: Sequence[str]) -> str:
    """The first of some checks, and how many more there are."""
    more = len(checks) - MOST_CHECKS
    return "; ".join((*checks[:MOST_CHECKS], *([count(more, "more check")] if more > 0 else [])))


def _bought_again(naming: Naming, answer: SwapAnswer) -> list[Block]:
    """What the plan buys anew by its own number though nothing is wrong with it: fewest changes, but not what one
    expects."""
    again = [c for c in answer.changes if c.status == CHOSEN and c.old and c.old == c.new]
    if not again:
        return []
    keep = " ".join(f'--keep "{p}"' for p in dict.fromkeys(c.position for c in again))
    parts = "; ".join(grouped(naming, again))
    return [Para(say.BOUGHT_AGAIN.format(parts=parts, options=keep), tone=WARN)]
