"""The whole answer of ``knockon swap``: the order list first, then what becomes of the rest, why, what to measure."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.swap import Plan, SwapAnswer, against_the_old
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.terminal.blocks import WARN, Block, Para
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.hands import hand_blocks
from knockon.queries.ui.texts.fits.number_chain import chain_blocks
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.cheapest_order import order_in_short
from knockon.queries.ui.texts.plan.figures import figure_blocks
from knockon.queries.ui.texts.plan.measure import measure_blocks
from knockon.queries.ui.texts.plan.no_plan import unknown_blocks
from knockon.queries.ui.texts.plan.specification import to_find_blocks, would_open_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions, changes_nothing, title, verdict_blocks, what_else
from knockon.queries.ui.texts.plan.swap.order_list import order_blocks
from knockon.queries.ui.texts.plan.swap.others import other_plans
from knockon.queries.ui.texts.plan.swap.remaining import remaining_blocks
from knockon.queries.ui.texts.plan.swap.why_blocks import stop_blocks, why_blocks
from knockon.queries.ui.texts.plan.sweep import sweep_blocks
from knockon.queries.ui.texts.plan.undecided import undecided_blocks, without_plan_blocks
from knockon.queries.ui.texts.plan.unproven import finding_blocks, member_blocks, unproven_blocks


def swap_text(
    catalogue: Catalogue, answer: SwapAnswer, type_reading: Callable[[str], str] | None = None
) -> Sequence[Block]:
    """The whole answer; ``type_reading`` as ``measured_first`` has it."""
    naming = Naming.on(catalogue, answer.vehicle)
    end = cautions(answer.cautions, unchecked_told(answer))
    blocks: list[Block] = [title(answer), *danger_blocks(naming, answer.findings.wrong)]
    if answer.plan is None:
        blocks += unchecked_blocks(answer)
        blocks += without_plan_blocks(naming, answer.none, answer.opens, answer.cautions, answer.not_decided)
        return [*blocks, *would_open_blocks(answer.would_open), *finding_blocks(naming, answer.findings), *end]
    plan = answer.plan
    blocks += [*verdict_blocks(naming, answer, plan), Para(answer.cautions[0], tone=WARN)]
    blocks += undecided_blocks(answer.not_decided, best_said=True)
    if changes_nothing(answer):
        return [*blocks, *finding_blocks(naming, answer.findings), *end]
    blocks += what_else(naming, answer, plan)
    in_all = order_in_short(naming, answer.order)
    blocks += order_blocks(naming.machine, plan, answer.consumables, naming.has_sides(answer.vehicle), in_all)
    blocks += [b for one in plan.superseded for b in chain_blocks(naming, one.part, one.chain)]
    blocks += hand_blocks(naming, (line.number for g in plan.groups for line in g.lines))
    blocks += to_find_blocks(answer.to_find)
    blocks += unknown_blocks(naming, answer.unknowns, answer.opens)
    blocks += remaining_blocks(naming, answer)
    blocks += [*why_blocks(naming, answer, plan), *stop_blocks(naming, answer.stops)]
    blocks += figure_blocks(naming, answer.figures, answer.meetings)
    blocks += sweep_blocks(answer.sweep)
    blocks += measured_first(naming, answer, type_reading)
    blocks += [*unproven_blocks(naming, plan.unproven), *found_by_members(naming, answer, plan)]
    return [*blocks, *other_plans(plan, answer.alternatives), *end]


def measured_first(naming: Naming, answer: SwapAnswer, type_reading: Callable[[str], str] | None = None) -> list[Block]:
    """What to measure before anything is ordered, and the risks that stay; ``type_reading``: the command that writes
    down what was read, where it is to be shown."""
    unknown = answer.findings.unknown_condition
    return measure_blocks(naming, answer.measure_first, answer.risks, unknown, answer.record_first, type_reading)


def found_by_members(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Block]:
    """What members found, and what was found on the vehicle as it stands."""
    found = {e.check for e in answer.findings.wrong}  # their notes stand with the findings
    beside = [e for e in against_the_old(answer.changes) if e.check not in found]
    return [*member_blocks(naming, plan.unproven, beside), *finding_blocks(naming, answer.findings)]
