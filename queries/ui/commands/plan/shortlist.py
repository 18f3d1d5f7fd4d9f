"""``knockon shortlist``: records with only the parts that may stand in a plan of one swap."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.shortlist.engines import DUCKDB, ENGINES
from knockon.queries.shortlist.shortlist import Way
from knockon.queries.shortlist.shortlist import shortlist as make_shortlist
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told, needs_folder
from knockon.queries.ui.details import Shown, detailed
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.sentences.plan import shortlist as says
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.progress import steps_shown
from knockon.queries.ui.texts.plan.shortlist import shortlist_text


@click.command(help=say.SHORTLIST)
@click.argument("vehicle", metavar="VEHICLE")
@click.option("--want", metavar="WISH", multiple=True, help=say.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say.RENEW)
@click.option("--into", type=click.Path(path_type=Path), metavar="FOLDER", required=True, help=say.INTO)
@click.option("--parquet", type=click.Path(path_type=Path), metavar="FOLDER", multiple=True, help=say.FROM_PARQUET)
@click.option("--engine", type=click.Choice(ENGINES), default=DUCKDB, show_default=True, help=say.ENGINE)
@click.option("--with-equals", is_flag=True, help=say.WITH_EQUALS)
@detailed("full", says=say.DETAILS_OF_SHORTLIST)
@answering
def shortlist(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
              renew: tuple[str, ...], into: Path, parquet: tuple[Path, ...], engine: str, with_equals: bool,
              shown: Shown) -> int:  # fmt: skip
    """Write records with only the parts that may stand in a plan of one swap."""
    if not (want or renew):
        raise click.UsageError(say.SAY_WHAT)
    folder = settings.folder
    needs_folder(into, settings)
    records = load(settings)
    way = Way(parquet, engine, with_equals)
    with mistakes_told(), steps_shown(says.NARROWING) as steps:
        answer = make_shortlist(
            records.catalogue, folder, vehicle, into, way, steps, want=want, keep=keep, avoid=avoid, renew=renew
        )
    is_good = not answer.empty

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return shortlist_text(answer, shown.full)

    with having_written(says.WRITTEN.format(folder=into), 0 if is_good else 1):
        return deliver(settings, "shortlist", answer, is_good, text, records)
