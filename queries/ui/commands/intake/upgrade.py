"""``knockon upgrade``: bring records of an earlier version up to date."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.intake.upgrade import bring_up_to_date, what_to_upgrade
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, mistakes_told
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.intake.upgrade import upgrade_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.UPGRADE)
@click.option("--dry-run", is_flag=True, help=say.UPGRADE_DRY_RUN)
@answering
def upgrade(settings: Settings, dry_run: bool) -> int:
    """Bring records of an earlier version up to date."""
    if settings.records is None:
        raise CouldNotRun(says.NO_DEMO_UPGRADE)

    with mistakes_told():
        answer = what_to_upgrade(settings.folder)
        if not dry_run and not answer.is_up_to_date:
            bring_up_to_date(settings.folder)
            answer = replace(answer, written=True)

    def text(_: Catalogue) -> Sequence[Block]:
        return upgrade_text(answer)

    return deliver(settings, "upgrade", answer, answer.is_up_to_date or answer.written, text)
