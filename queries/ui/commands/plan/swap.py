"""``knockon swap``: what a swap forces on a vehicle, and why."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence
from typing import Any

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records
from knockon.queries.plan.side_by_side import side_by_side
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.plan.swap import swap as plan_swap
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.progress import progress_bar
from knockon.queries.ui.texts.plan.first_page import Shown, swap_pages
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
@click.option(
    "--why",
    metavar="[POSITION]",
    is_flag=False,
    flag_value="",
    default=None,
    help="Show why things change, and where it stops; with a position only the chain that leads to it.",
)
@click.option("--measure", is_flag=True, help="Show all that is to be measured, how, and the risks that stay.")
@click.option("--evidence", is_flag=True, help="Show what is unproven.")
@click.option("--notes", is_flag=True, help="Show what members found, and what was found on the vehicle.")
@click.option("--others", is_flag=True, help="Show other plans, with what they cost and change.")
@click.option("--full", is_flag=True, help="Show the whole answer.")
@answering
def swap(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
         renew: tuple[str, ...], prefer: tuple[str, ...], plans: int, compared: bool, **shown: Any) -> int:  # fmt: skip
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

    ask = shlex.join(_asked(settings, vehicle, want=want, keep=keep, avoid=avoid, renew=renew, prefer=prefer))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return swap_pages(catalogue, answer, Shown(**shown), ask)

    with mistakes_told():
        return deliver(settings, "swap", answer, answer.is_settled, text, records)


def _asked(settings: Settings, vehicle: str, **asked: Sequence[str]) -> Iterator[str]:
    """The command as it would be typed, without what shows a part of its answer."""
    yield "knockon"
    yield from ("--records", str(settings.records)) if settings.records is not None else ()
    yield from ("--server", settings.server) if settings.server else ()
    yield from (word for name in settings.without for word in ("--without", name))
    yield from ("swap", vehicle)
    yield from (word for option, values in asked.items() for value in values for word in (f"--{option}", value))


def _side_by_side(settings: Settings, records: Records, vehicle: str, **asked: Sequence[str]) -> int:
    with mistakes_told(), progress_bar("planning with each part") as progress:
        answer = side_by_side(records.catalogue, vehicle, **asked, progress=progress)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return side_by_side_text(catalogue, answer)

    return deliver(settings, "swap-side-by-side", answer, answer.is_settled, text, records)
