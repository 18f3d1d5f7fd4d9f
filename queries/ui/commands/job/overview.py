"""``knockon overview``: each vehicle with its dangers as it stands, each named plan with how far it is"""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.overview import overview
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import as_typed
from knockon.queries.ui.sentences.help import job as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.job.overview import overview_page


@click.command("overview", help=say.OVERVIEW)
@answering
def overview_of(settings: Settings) -> int:
    """Vehicles and plans."""
    records = load(settings)
    with mistakes_told():
        answer = overview(records.catalogue, settings.folder)

    def command(*words: str, **options: str) -> str:
        return as_typed(settings, *words, **options)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return overview_page(catalogue, answer, command)

    return deliver(settings, "overview", answer, bool(answer.vehicles), text, records)
