"""What nobody checks, because its row was set aside or the layout lacks it, as text: with the verdict, not below."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from knockon.graph.model.things import SetAside
from knockon.queries.answers import with_article
from knockon.queries.fits.lacking import Lacking, lacking_told
from knockon.queries.fits.skipped import told
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, WARN, Block, Para

IN_FULL = 3
"""So many rows are told with what is wrong in them; often it is one row that took the others along."""


class Unchecked(Protocol):
    """An answer that says what nobody checks."""

    @property
    def set_aside(self) -> tuple[SetAside, ...]:
        """Rows that could not be used."""

    @property
    def lacks_checks(self) -> tuple[Lacking, ...]:
        """Usual checks that the layout lacks."""


def unchecked_blocks(answer: Unchecked) -> list[Block]:
    """What nobody checks: rows that were set aside, usual checks that the layout lacks."""
    lacks = lacking_told(answer.lacks_checks)
    return [*aside_blocks(answer.set_aside), *(Para(text, mark="!", tone=WARN) for text in lacks)]


def unchecked_told(answer: Unchecked) -> tuple[str, ...]:
    """The same as they stand among the cautions, where they need not be told again."""
    return (*told(answer.set_aside), *lacking_told(answer.lacks_checks))


def aside_blocks(rows: Sequence[SetAside]) -> list[Block]:
    """The rows, each named with its file and row."""
    said = list(told(rows[:IN_FULL]))
    more = [_named_at(row) for row in rows[IN_FULL:]]
    said += [say.NOT_CHECKED_EITHER.format(rows="; ".join(more))] if more else []
    return [Para(text, mark="!", tone=BAD) for text in said]


def _named_at(row: SetAside) -> str:
    name = say.ROW_NAMED.format(kind=row.kind, name=row.name)
    if not row.name:
        name = say.ROW_UNREAD.format(kind=with_article(row.kind))
    if row.row:
        return say.ROW_AT_ROW.format(name=name, file=row.file, row=row.row)
    return say.ROW_AT.format(name=name, file=row.file)
