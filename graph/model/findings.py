"""Findings: what is wrong with a record, where, what was read and what was expected. Nothing is dropped silently."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections.abc import Iterable

import msgspec

from knockon.graph.files.errors import RecordsError

__all__ = ["Finding", "RecordsError", "rows_set_aside"]


NO_SUCH_THING = "no such part, item or set member"
NOT_FOUND = "not found in "
ROW_SKIPPED = "the row of {name!r} was skipped"


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

    @property
    def follows(self) -> bool:
        """Whether it may be wrong only because of a fault elsewhere: it names what another row did not bring."""
        head, tail = ROW_SKIPPED.split("{name!r}")
        names_no_row = self.problem == NO_SUCH_THING or self.problem.startswith(NOT_FOUND)
        return names_no_row or (self.problem.startswith(head) and self.problem.endswith(tail))


def rows_set_aside(findings: Iterable[Finding]) -> int:
    """How many rows or cells were set aside: one for a finding, but for a whole table all its rows."""
    return sum(f.many for f in findings if f.set_aside)
