"""Findings: what is wrong with a record, where, what was read and what was expected. Nothing is dropped silently."""

from __future__ import annotations

from dataclasses import dataclass


class RecordsError(Exception):
    """The records folder cannot be used at all (missing, unreadable, not a folder of tables)."""


@dataclass(frozen=True, slots=True, order=True)
class Finding:
    """One thing wrong with one cell, row or statement. ``set_aside`` says that the row (or cell) was not loaded."""

    file: str
    row: int
    column: str
    written: str
    problem: str
    expected: str
    suggestions: tuple[str, ...] = ()
    set_aside: bool = True
