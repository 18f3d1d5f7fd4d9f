"""Tables as people keep them, and what goes wrong with their cells, rows and columns."""

from __future__ import annotations

import random
from collections.abc import Callable

from tests.fuzz.mutate import NASTY

Rows = list[list[object]]
TITLES = (
    "Part", "Part No", "P/N", "Length (mm)", "Length", "Bore", "I.D.", "O.D.", "Width in", "Thread", "Teeth", "Pitch",
    "Price", "Supplier", "Remarks", "Condition", "Type", "Name", "Hand", "Source", "Feature", "Qty", "Kit", "",
    "Date",
)  # fmt: skip
CELLS = (
    "S-1", "S-2", "J-1", "F-1", "F-2", "s-1 ", "S-11", "12.7", "12.6 mm", "1/2", '1/2"', "1 1/16 in", "25,4", ".497",
    "25..26 mm", "25.4 ±0.1 mm", "25 k6", "27", "24/48", "M10x1", "3/8-24 UNF", "absent", "?", "", "worn", "left",
    "N/S", "12.50", "drawings", "2 (pair)", "ditto", '"', "total", "12.5 mm / 0.5 in", "spacer", "2026-03-08",
    "08-Mar", "as S-1",
)  # fmt: skip


def table(rng: random.Random, likely: str = "") -> Rows:
    """A heading that is likely enough, and rows below it; ``likely`` is one of its titles, most often."""
    second = likely if likely and rng.random() < 0.9 else rng.choice(TITLES[3:])
    titles: list[object] = [rng.choice(TITLES[:3]), second, *rng.sample(TITLES[3:], rng.randint(0, 3))]
    rows: Rows = [titles]
    for _ in range(rng.randint(1, 7)):
        row: list[object] = [rng.choice(CELLS[:6]), *(rng.choice(CELLS) for _ in titles[1:])]
        rows.append(row)
    return rows


def _cell(rng: random.Random, rows: Rows, at: int) -> Rows:
    if rows[at]:
        rows[at][rng.randrange(len(rows[at]))] = rng.choice((*NASTY, *CELLS, *TITLES))
    return rows


def _column(rng: random.Random, rows: Rows) -> int:
    return rng.randrange(max(1, *map(len, rows)))


def _column_left_out(rng: random.Random, rows: Rows, at: int) -> Rows:
    column = _column(rng, rows)
    return [row[:column] + row[column + 1 :] for row in rows]


def _column_repeated(rng: random.Random, rows: Rows, at: int) -> Rows:
    column = _column(rng, rows)
    return [row[: column + 1] + row[column:] for row in rows]


def _wider_row(rng: random.Random, rows: Rows, at: int) -> Rows:
    rows[at] += [rng.choice(CELLS) for _ in range(rng.choice((1, 3)))]
    return rows


def _shorter_row(rng: random.Random, rows: Rows, at: int) -> Rows:
    del rows[at][rng.randrange(len(rows[at]) + 1) :]
    return rows


def _row_repeated(rng: random.Random, rows: Rows, at: int) -> Rows:
    return rows[:at] + [list(rows[at]) for _ in range(rng.choice((1, 1, 5)))] + rows[at:]


def _beside(rng: random.Random, rows: Rows, at: int) -> Rows:
    """A second table to the right, perhaps lower, perhaps without a gap."""
    width = max(map(len, rows))
    other: Rows = [[] for _ in range(rng.choice((0, 0, 1, 2)))]
    other += table(rng)
    longest, gap = max(len(rows), len(other)), rng.choice((0, 1, 2))
    left, right = ([*some, *([] for _ in range(longest - len(some)))] for some in (rows, other))
    return [[*one, *[""] * (width - len(one) + gap), *more] for one, more in zip(left, right, strict=True)]


def _below(rng: random.Random, rows: Rows, at: int) -> Rows:
    """A second table further down, perhaps without a blank row."""
    blank: Rows = [[] for _ in range(rng.choice((0, 1, 2)))]
    return rows + blank + table(rng)


WAYS: dict[str, Callable[[random.Random, Rows, int], Rows]] = {
    "cell": _cell,
    "row left out": lambda rng, rows, at: rows[:at] + rows[at + 1 :],
    "row repeated": _row_repeated,
    "column left out": _column_left_out,
    "column repeated": _column_repeated,
    "wider row": _wider_row,
    "shorter row": _shorter_row,
    "beside": _beside,
    "below": _below,
    "blank row": lambda rng, rows, at: [*rows[:at], [""] * rng.choice((0, 3)), *rows[at:]],
    "no heading": lambda rng, rows, at: rows[1:],
    "heading again": lambda rng, rows, at: [*rows[:at], list(rows[0]), *rows[at:]],
}


def changed(rng: random.Random, rows: Rows) -> tuple[Rows, str]:
    """The rows with one change to a cell, row or column, or to where tables stand; and its name."""
    what = rng.choice(("cell", "cell", *WAYS))
    found = WAYS[what](rng, [list(row) for row in rows], rng.randrange(len(rows)))
    return found or [[]], what
