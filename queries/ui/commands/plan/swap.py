"""``knockon swap``: what a swap forces on a vehicle, and why."""

from __future__ import annotations

import sys
from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.buy.priced import priced
from knockon.queries.plan.routes import routes
from knockon.queries.plan.side_by_side import side_by_side
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.swap import FIRST_PAGE, NO_TURNING, SwapAnswer, Turns
from knockon.queries.plan.swap import swap as plan_swap
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.naming import as_options
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.progress import progress_bar
from knockon.queries.ui.texts.plan.routes import routes_text
from knockon.queries.ui.texts.plan.side_by_side import side_by_side_text
from knockon.queries.ui.texts.plan.swap.first_page import swap_pages


@click.command(help=say.SWAP)
@click.argument("vehicle", metavar="VEHICLE")
@click.option("--want", metavar="WISH", multiple=True, help=say.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say.RENEW)
@click.option("--prefer", type=click.Choice(LEVELS), multiple=True, help=say.PREFER)
@click.option("--plans", metavar="N", type=click.IntRange(1, 20), default=4, show_default=True, help=say.PLANS)
@click.option("--turning", is_flag=True, help=say.TURNING)
@click.option("--side-by-side", "compared", is_flag=True, help=say.SIDE_BY_SIDE)
@click.option("--instead-of", "missing", metavar="PART", default="", help=say.INSTEAD_OF)
@time_limited()
@detailed("why", "measure", "evidence", "notes", "others", "full", why="POSITION", says=say.DETAILS_OF_SWAP)
@answering
def swap(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
         renew: tuple[str, ...], prefer: tuple[str, ...], plans: int, turning: bool, compared: bool, missing: str,
         time_limit: float, shown: Shown) -> int:  # fmt: skip
    """What a swap forces on a vehicle, and why."""
    if not (want or renew):
        raise click.UsageError(say.SAY_WHAT)
    records = load(settings)
    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew, "prefer": prefer}
    if missing:
        return _instead_of(settings, records, vehicle, missing, shown, time_limit, **asked)
    if compared:
        return _side_by_side(settings, records, vehicle, shown, time_limit, **asked)

    with mistakes_told(), patient(time_limit) as patience:
        answer = plan_swap(
            records.catalogue,
            vehicle,
            want=want,
            keep=keep,
            avoid=avoid,
            renew=renew,
            prefer=prefer,
            alternatives=plans - 1,
            turning=_turning(settings, shown, turning),
            patience=patience,
        )
        if _prices(settings, shown, answer):
            patience.again()
            answer = priced(
                records.catalogue, answer, patience, want=want, keep=keep, avoid=avoid, renew=renew, prefer=prefer
            )

    limit = as_asked(time_limit)
    options = {"want": want, "keep": keep, "avoid": avoid, "renew": renew, "prefer": prefer}
    ask = as_typed(settings, "swap", vehicle, **options, **limit)

    def ask_for(asked: Sequence[Asked]) -> str:
        return " ".join((as_typed(settings, "swap", vehicle, prefer=prefer, **limit), *as_options(asked)))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        buy = as_typed(settings, "order", vehicle, **options, **limit)
        return swap_pages(catalogue, answer, shown, ask, ask_for, type_reading, buy)

    def type_reading(what: str) -> str:
        return as_typed(settings, "measured", answer.vehicle, what)

    with mistakes_told():
        return deliver(settings, "swap", answer, answer.is_settled, text, records)


def _turning(settings: Settings, shown: Shown, always: bool) -> Turns:
    """Of which readings it is asked where they turn the plan: those of the first page, where they are shown."""
    if always:
        return Turns(FIRST_PAGE.first, sys.maxsize)
    return FIRST_PAGE if settings.json or shown.measure or not shown.parts else NO_TURNING


def _prices(settings: Settings, shown: Shown, answer: SwapAnswer) -> bool:
    """Whether the cheapest order is looked for: where the costs are shown, and the records are no larger than what is
    asked of readings."""
    return (settings.json or shown.full or not shown.parts) and not answer.turning_left_out


def _side_by_side(
    settings: Settings, records: Records, vehicle: str, shown: Shown, time_limit: float, **asked: tuple[str, ...]
) -> int:
    with mistakes_told(), progress_bar(say.PLANNING) as progress:
        patience = Patience(time_limit)
        answer = side_by_side(records.catalogue, vehicle, **asked, progress=progress, patience=patience)

    limit = as_asked(time_limit)
    ask = " ".join((as_typed(settings, "swap", vehicle, **asked, **limit), "--side-by-side"))

    def plan_of(wish: str) -> str:
        wanted = {**asked, "want": (*((wish,) if wish else ()), *asked["want"])}
        return as_typed(settings, "swap", vehicle, **wanted, **limit)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return side_by_side_text(catalogue, answer, shown, ask, plan_of)

    return deliver(settings, "swap-side-by-side", answer, answer.is_settled, text, records)


def _instead_of(
    settings: Settings,
    records: Records,
    vehicle: str,
    missing: str,
    shown: Shown,
    time_limit: float,
    **asked: tuple[str, ...],
) -> int:
    """The ways round a part that cannot be had."""
    with mistakes_told(), progress_bar(say.PLANNING) as progress:
        patience = Patience(time_limit)
        answer = routes(records.catalogue, vehicle, missing, **asked, progress=progress, patience=patience)

    limit = as_asked(time_limit)
    own = {"instead-of": missing, **limit}
    ask = as_typed(settings, "swap", vehicle, **asked, **own)

    def plan_of(what: Sequence[Asked]) -> str:
        return " ".join((as_typed(settings, "swap", vehicle, prefer=asked["prefer"], **limit), *as_options(what)))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return routes_text(catalogue, answer, shown, ask, plan_of)

    return deliver(settings, "swap-instead-of", answer, answer.is_good, text, records)
