"""Text whose cells are parted by a sign, split into rows; a line that cannot be split costs itself alone."""

from __future__ import annotations

import csv
import io
from collections import deque
from collections.abc import Iterator

import msgspec

LONGEST_CELL = 100_000
"""Characters. A longer cell is a quotation mark that was never closed."""


class Split(msgspec.Struct, frozen=True):
    """One row: its cells; ``last`` is the number of its last line, from 1. Where it cannot be split ``fault`` says
    why, and its only cell is the whole line."""

    last: int
    cells: tuple[str, ...]
    fault: str = ""


class _Lines:
    """The lines of a text, as csv reads them, with a way back: a row that cannot be split costs one line."""

    def __init__(self, coming: io.StringIO, done: int) -> None:
        self._coming, self._waiting = coming, deque[str]()
        self.taken: list[str] = []
        self.done = done

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = self._waiting.popleft() if self._waiting else next(self._coming)
        self.taken.append(line)
        return line

    def settle(self) -> None:
        """The lines taken made a row."""
        self.done += len(self.taken)
        self.taken.clear()

    def give_back(self) -> str:
        """The first line taken, which begins no row; those after it are read again."""
        first = self.taken[0]
        self._waiting.extendleft(reversed(self.taken[1:]))
        self.done += 1
        self.taken.clear()
        return first


def split_rows(text: str, delimiter: str = ",") -> Iterator[Split]:
    """The rows of a text. A quotation mark that is never closed spoils its own line alone."""
    csv.field_size_limit(LONGEST_CELL)
    reader, done = csv.reader(_lines(text), delimiter=delimiter, strict=True), 0
    try:
        for row in reader:
            done = reader.line_num
            yield Split(done, tuple(row))
    except csv.Error:  # from here on line by line, with a way back
        coming = _lines(text)
        for _ in range(done):
            next(coming)
        yield from _with_care(_Lines(coming, done), delimiter)


def _lines(text: str) -> io.StringIO:
    # Not splitlines: a cell may hold \x0b or U+2028.
    return io.StringIO(text, newline="")


def _with_care(lines: _Lines, delimiter: str) -> Iterator[Split]:
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            first = lines.give_back()
            yield Split(lines.done, (first.rstrip("\r\n"),), str(error))
            reader = csv.reader(lines, delimiter=delimiter, strict=True)
            continue
        lines.settle()
        yield Split(lines.done, tuple(cells))
