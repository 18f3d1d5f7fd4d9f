"""``knockon swap``: what a swap forces on a vehicle, and why."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.plan.side_by_side import side_by_side
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.plan.swap import swap as plan_swap
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.progress import progress_bar
from knockon.queries.ui.texts.plan.first_page import swap_pages
from knockon.queries.ui.texts.plan.side_by_side import side_by_side_text


@click.command()
@click.argument("vehicle", metavar="VEHICLE")
@click.option(
    "--want",
    metavar="WISH",
    multiple=True,
    help='What is wanted: "POSITION=PART", "POSITION.DIMENSION>=VALUE" such as "rotor.diameter>=190 mm", or an '
    'arrangement: "disc", or "brake=disc".',
)
@click.option(
    "--keep", metavar="POSITION", multiple=True, help="What stands there must stay, or be renewed by the same number."
)
@click.option(
    "--avoid",
    metavar="PART|SUPPLIER",
    multiple=True,
    help="A part that must not be used, or a supplier not to buy from.",
)
@click.option("--renew", metavar="POSITION", multiple=True, help="Treat what stands there as due.")
@click.option(
    "--prefer",
    type=click.Choice(LEVELS),
    multiple=True,
    help="What a plan should be best in, first to last; else in this order. Prices are compared only between plans "
    "with equally many lines that nobody offers.",
)
@click.option(
    "--plans",
    metavar="N",
    type=click.IntRange(1, 20),
    default=4,
    show_default=True,
    help="How many plans to show, none better than another in all.",
)
@click.option(
    "--side-by-side",
    "compared",
    is_flag=True,
    help="Compare a plan for each part that would meet the wish: of disc brakes, each rotor.",
)
@detailed("why", "measure", "evidence", "notes", "others", "full", why="POSITION")
@answering
def swap(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
         renew: tuple[str, ...], prefer: tuple[str, ...], plans: int, compared: bool, shown: Shown) -> int:  # fmt: skip
    """What a swap forces on a vehicle, and why.

    First one page: what is dangerous on the vehicle as it stands, whether it can be done, the order list as a tree
    (each line stands under the one that forces it), what to measure first, what it does, and what it costs. The rest
    is shown when it is asked for.

    With --side-by-side a table instead: for each part that would meet the wish what its plan changes, costs and leaves
    open, and whether the wheels change.

    Exit status 0 if there is a consistent plan on what is known, also with open measurements on what stays; 1 if
    nothing fits, or only what rests on checks that are not known without even a claim.
    """
    if not (want or renew):
        raise click.UsageError('Say what is wanted: --want "POSITION=PART" or --want ARRANGEMENT, or --renew POSITION.')
    records = load(settings)
    if compared:
        return _side_by_side(settings, records, vehicle, want=want, keep=keep, avoid=avoid, renew=renew, prefer=prefer)

    with mistakes_told():
        answer = plan_swap(
            records.catalogue,
            vehicle,
            want=want,
            keep=keep,
            avoid=avoid,
            renew=renew,
            prefer=prefer,
            alternatives=plans - 1,
        )

    ask = as_typed(settings, "swap", vehicle, want=want, keep=keep, avoid=avoid, renew=renew, prefer=prefer)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return swap_pages(catalogue, answer, shown, ask)

    with mistakes_told():
        return deliver(settings, "swap", answer, answer.is_settled, text, records)


def _side_by_side(settings: Settings, records: Records, vehicle: str, **asked: Sequence[str]) -> int:
    with mistakes_told(), progress_bar("planning with each part") as progress:
        answer = side_by_side(records.catalogue, vehicle, **asked, progress=progress)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return side_by_side_text(catalogue, answer)

    return deliver(settings, "swap-side-by-side", answer, answer.is_settled, text, records)
