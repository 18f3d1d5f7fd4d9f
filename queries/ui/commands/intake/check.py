"""``knockon check``: are the records in order?"""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.intake.check import check_records
from knockon.queries.ui.asking import Settings, answering, deliver, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.plain import say_beside
from knockon.queries.ui.texts.intake.check import check_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command()
@answering
def check(settings: Settings) -> int:
    """Are the records in order?

    Reads and validates them: a line for every finding, with file, row and column.

    With --without, the shapes and layouts are checked without that source or club, and findings in the club's file are
    not told. Exit status 0 if nothing was set aside.
    """

    def progress(step: str) -> None:
        if sys.stderr is not None and sys.stderr.isatty():
            say_beside(f"{step} ...")

    with mistakes_told():
        answer = check_records(settings.folder, progress, settings.without)

    def text(_: Catalogue) -> Sequence[Block]:
        return check_text(answer)

    return deliver(settings, "check", answer, answer.set_aside == 0, text)
