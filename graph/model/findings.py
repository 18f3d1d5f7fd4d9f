"""Findings: what is wrong with a record, where, what was read and what was expected. Nothing is dropped silently."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from knockon.graph.files.errors import RecordsError

__all__ = ["Finding", "RecordsError", "rows_set_aside"]


class Finding(msgspec.Struct, frozen=True, order=True, kw_only=True):
    """One thing wrong with one cell, row or statement. ``set_aside``: the row (or cell) was not loaded; ``many``:
    how many rows that were."""

    file: str
    row: int = 0
    column: str = ""
    written: str = ""
    problem: str
    expected: str = ""
    suggestions: tuple[str, ...] = ()
    set_aside: bool = True
    many: int = 1


def rows_set_aside(findings: Iterable[Finding]) -> int:
    """How many rows or cells were set aside: one for a finding, but for a whole table all its rows."""
    return sum(f.many for f in findings if f.set_aside)
