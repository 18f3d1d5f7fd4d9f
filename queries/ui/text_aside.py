"""What nobody checks because its row was set aside, as text: with the verdict, not below."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model import SetAside
from knockon.queries.set_aside import told
from knockon.queries.ui.blocks import BAD, Block, Para

IN_FULL = 3
"""So many rows are told with what is wrong in them; often it is one row that took the others along."""


def aside_blocks(rows: Sequence[SetAside]) -> list[Block]:
    """The rows, each named with its file and row."""
    said = list(told(rows[:IN_FULL]))
    more = [f"{_name(row)} ({row.file}, row {row.row})" for row in rows[IN_FULL:]]
    said += [f"Nor are checked: {'; '.join(more)}."] if more else []
    return [Para(text, mark="!", tone=BAD) for text in said]


def _name(row: SetAside) -> str:
    return f'the {row.kind} "{row.name}"' if row.name else f"a {row.kind} that cannot be read"
