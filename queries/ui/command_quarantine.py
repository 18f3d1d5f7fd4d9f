"""``knockon quarantine``: rows that were not loaded, and what a person says they mean."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.progress import progress_bar

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knockon.graph.catalogue import Catalogue
    from knockon.queries.ui.blocks import Block


@click.command()
@click.option(
    "--accept",
    "choices",
    multiple=True,
    metavar="ENTRY=CHOICE",
    help="Take suggestion CHOICE for the cell of ENTRY, a name of the list; 0: not known. All or none.",
)
@answering
def quarantine(settings: Settings, choices: tuple[str, ...]) -> int:
    """Which rows of imported sheets were not loaded, why, and what hangs on them?

    A row with a bad cell waits whole. With --accept the chosen suggestion is applied and the row loaded, if nothing
    else is wrong with it; ENTRY=0 takes a size as not known, so that the rest of its row need not wait. The name of an
    entry stays the same while others come and go. Several choices are made together: all of them or none.

    Exit status 0 if the quarantine is empty.
    """
    if settings.records is None:
        raise CouldNotRun("the demo world has no quarantine: name your own records with --records DIR")
    from knockon.queries.accepting import accept_all
    from knockon.queries.quarantine import list_quarantine

    with mistakes_told():
        accepted = accept_all(settings.folder, [_choice(c) for c in choices])
        catalogue = load(settings).catalogue
        with progress_bar("finding what hangs on it") as progress:
            answer = list_quarantine(settings.folder, catalogue, accepted, progress)

    def text(_: Catalogue) -> Sequence[Block]:
        from knockon.queries.ui.text_import import quarantine_text

        return quarantine_text(answer)

    return deliver(settings, "quarantine", answer, not answer.entries, text)


def _choice(text: str) -> tuple[str, int]:
    name, sign, number = text.partition("=")
    if not (sign and name.strip() and number.strip().isascii() and number.strip().isdecimal() and len(number) < 9):
        raise CouldNotRun(f"--accept {text}: write ENTRY=CHOICE, the name in the list and the number of the suggestion")
    return name.strip().casefold(), int(number)
