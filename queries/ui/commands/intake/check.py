"""``knockon check``: are the records in order?"""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.intake.check import check_records
from knockon.queries.ui.asking import Settings, answering, deliver, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.progress import steps_shown
from knockon.queries.ui.texts.intake.check import check_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.CHECK)
@detailed("full")
@answering
def check(settings: Settings, shown: Shown) -> int:
    """Are the records in order?"""
    with mistakes_told(), steps_shown(says.CHECKING) as begin:
        answer = check_records(settings.folder, lambda step: begin(step, 0, 0), settings.without)

    def text(_: Catalogue) -> Sequence[Block]:
        return check_text(answer, shown.full, as_typed(settings, "check"))

    return deliver(settings, "check", answer, answer.is_in_order, text)
