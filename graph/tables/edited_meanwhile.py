"""A table that was edited by hand while an import of it was cut short: both are kept.

What the import would have done is told by the table as it was and as the import leaves it; the same rows go and come in
the edited table, of which no other byte changes.
"""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterator

from knockon.graph.files.delimited import LONGEST_CELL

Row = tuple[str, ...]


class CannotBeBoth(ValueError):
    """The columns differ, or a table cannot be split into rows; the message says why."""


def both(was: bytes | None, imported: bytes, edited: bytes | None) -> bytes:
    """The edited table with what the import does to it. ``was`` None: there was no table; ``edited`` None: there is
    none. Raises CannotBeBoth."""
    if edited in (was, imported) or edited is None:
        return imported
    old, new, now = (lines_of(b"" if text is None else text) for text in (was, imported, edited))
    if not now or (old and old[0][0] != now[0][0]):
        raise CannotBeBoth("its columns were edited")
    head = new[0][0]
    if head[: len(now[0][0])] != now[0][0]:
        raise CannotBeBoth("the import has other columns")
    wide = len(head) - len(now[0][0])
    before, after = (Counter(cells for cells, _ in table[1:]) for table in (old, new))
    if wide:
        before = Counter({cells + ("",) * wide: n for cells, n in before.items()})
    gone, come = before - after, after - before
    text, kept = [line_of(head) if wide else now[0][1]], Counter[Row]()
    for cells, written in now[1:]:
        cells = cells + ("",) * wide
        if gone[cells] > 0:
            gone[cells] -= 1
            continue
        kept[cells] += 1
        text.append(line_of(cells) if wide else written)
    added = list((come - kept).elements())
    end = "\r\n" if now[0][1].endswith("\r\n") else "\n"
    whole = "".join(text)
    if added and not whole.endswith("\n"):
        whole += end
    return (whole + "".join(line_of(row, end) for row in added)).encode("utf-8", "surrogateescape")


def lines_of(content: bytes) -> list[tuple[Row, str]]:
    """The rows of a table, each with its own text and line end; lines without cells stay with the row before."""
    csv.field_size_limit(LONGEST_CELL)
    taken: list[str] = []

    def lines() -> Iterator[str]:
        for line in io.StringIO(content.decode("utf-8", "surrogateescape"), newline=""):
            taken.append(line)
            yield line

    found: list[tuple[Row, str]] = []
    try:
        for cells in csv.reader(lines(), strict=True):
            written = "".join(taken)
            taken.clear()
            if any(c.strip() for c in cells):
                found.append((tuple(c.strip() for c in cells), written))
            elif found:
                found[-1] = (found[-1][0], found[-1][1] + written)
    except csv.Error as error:
        raise CannotBeBoth(str(error)) from error
    return found


def line_of(cells: Row, end: str = "\n") -> str:
    """A row as a line of CSV."""
    out = io.StringIO()
    csv.writer(out, lineterminator=end).writerow(cells)
    return out.getvalue()
