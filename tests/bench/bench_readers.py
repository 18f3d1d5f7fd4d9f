"""Reading the tables of a records folder: our reader beside pyarrow, polars and DuckDB.

``python tests/bench/bench_readers.py [FOLDER]``; without a folder, on records made up for this run
(tests/bench/worlds.py). Each reader in a process of its own, processor time (all threads together) and peak memory,
medians. Reading is not all that is needed: a cell is checked once for each different text of a column, and a row
stands as a Python tuple with its number in the file, for keys, findings and the catalogue; the second and third
figure say what that takes on top. Then what each reader makes of a table in which something is wrong: a bad row must
not stop the good ones, nor vanish.
"""

from __future__ import annotations

import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that the file runs by its path

from tests.bench.given import folder_asked

BROKEN = {
    "a row with too many cells": b"part,name\nA,first\nB,second,too many\nC,last\n",
    "a row with too few cells": b"part,name\nA,first\nB\nC,last\n",
    "a byte that is no UTF-8": b"part,name\nA,first\nB,\xff\nC,last\n",
    "a cell of two lines, then too many": b'part,name\nA,"first\nand more"\nB,second,too many\nC,last\n',
}
"""Tables of three rows in which one thing is wrong."""
Columns = Iterable[tuple[str, Any]]
READERS = ("knockon", "pyarrow", "polars", "duckdb")


def files_of(folder: Path) -> list[Path]:
    """All tables."""
    return [*sorted(folder.glob("*.csv")), *sorted((folder / "features").glob("*.csv"))]


def with_knockon(paths: list[Path]) -> tuple[Callable[[], int], Callable[[], int]]:
    """The reader of this program: rows come first, distinct texts from them."""
    from knockon.graph.tables.files import read_table

    tables = [table for path in paths if (table := read_table(path, path.name, [])) is not None]

    def distinct() -> int:
        return sum(len({cells[i] for _, cells in t.rows}) for t in tables for i in range(len(t.header)))

    return distinct, lambda: sum(len(t.rows) for t in tables)


def with_pyarrow(paths: list[Path]) -> tuple[Callable[[], int], Callable[[], int]]:
    """pyarrow: every column as text."""
    import pyarrow as pa
    from pyarrow import csv

    def read(path: Path) -> Any:
        names = path.open("rb").readline().decode().strip().split(",")
        types = csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False)
        return csv.read_csv(path, parse_options=csv.ParseOptions(newlines_in_values=True), convert_options=types)

    tables = [read(path) for path in paths]
    return (
        lambda: sum(len(column.unique().to_pylist()) for table in tables for column in table.columns),
        lambda: sum(len(rows(c.to_pylist() for c in table.columns)) for table in tables),
    )


def with_polars(paths: list[Path]) -> tuple[Callable[[], int], Callable[[], int]]:
    """polars: every column as text."""
    import polars as pl

    tables = [pl.read_csv(path, infer_schema=False).fill_null("") for path in paths]
    return (
        lambda: sum(len(column.unique().to_list()) for table in tables for column in table.get_columns()),
        lambda: sum(len(rows(c.to_list() for c in table.get_columns())) for table in tables),
    )


def with_duckdb(paths: list[Path]) -> tuple[Callable[[], int], Callable[[], int]]:
    """DuckDB: every column as text, into tables in memory."""
    import duckdb

    base = duckdb.connect()
    names = [f"t{i}" for i in range(len(paths))]
    for name, path in zip(names, paths, strict=True):
        options = "header=true, all_varchar=true, delim=',', quote='\"', escape='\"', strict_mode=false"
        base.execute(f"create table {name} as select * from read_csv('{path}', {options})")

    def columns_of(name: str) -> list[str]:
        return [row[0] for row in base.execute(f"describe {name}").fetchall()]

    def distinct() -> int:
        asked = ((name, column) for name in names for column in columns_of(name))
        return sum(len(base.execute(f'select distinct "{column}" from {name}').fetchall()) for name, column in asked)

    return distinct, lambda: sum(len(base.execute(f"select * from {name}").fetchall()) for name in names)


def rows(columns: Iterable[list[str]]) -> list[tuple[int, tuple[str, ...]]]:
    """Columns as rows with numbers."""
    return list(enumerate(zip(*columns, strict=True), 2))


WITH = dict(zip(READERS, (with_knockon, with_pyarrow, with_polars, with_duckdb), strict=True))


def measure(reader: str, folder: Path) -> dict[str, float]:
    """Seconds of processor for reading, for distinct texts and for rows on top; peak memory in MB."""
    WITH[reader](files_of(folder)[:1])  # loads the library
    before, start = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
    distinct, as_rows = WITH[reader](files_of(folder))
    read = time.process_time()
    different = distinct()
    told = time.process_time()
    count = as_rows()
    end = time.process_time()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return {
        "read": read - start, "distinct": told - read, "rows": end - told, "whole": end - start,
        "peak": peak / 1024, "before": before / 1024, "texts": different, "count": count,
    }  # fmt: skip


def broken(reader: str, content: bytes) -> str:
    """What a reader makes of a broken table: how many of its rows came through, and what it says."""
    with tempfile.TemporaryDirectory() as place:
        path = Path(place, "parts.csv")
        path.write_bytes(content)
        try:
            if reader == "knockon":
                from knockon.graph.tables.files import read_table

                findings: list[Any] = []
                table = read_table(path, path.name, findings)
                said = "; ".join(f"row {f.row}, {f.problem}" for f in findings)
                return f"{len(table.rows) if table else 0} rows" + (f" ({said})" if said else "")
            return f"{WITH[reader]([path])[1]()} rows"
        except Exception as error:  # whatever a library raises is the answer here
            return f"none ({str(error).splitlines()[0].replace(str(path), 'the table'):.90})"


def main(folder: Path, runs: int) -> None:
    """Print the tables."""
    print("| reader | read, s | distinct texts, s | rows as tuples, s | together, s | peak MB |")
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    for reader in READERS:
        found = [json.loads(_own_process(reader, str(folder))) for _ in range(runs)]
        middle = {key: statistics.median(one[key] for one in found) for key in found[0]}
        figures = " | ".join(f"{middle[key]:.2f}" for key in ("read", "distinct", "rows", "whole"))
        print(f"| {reader} | {figures} | {middle['peak']:.0f} |")
        print(f"  {middle['count']:.0f} rows, {middle['texts']:.0f} different texts in columns", file=sys.stderr)
    print()
    print("| of three rows, one with a fault | " + " | ".join(READERS) + " |")
    print("| --- |" + " --- |" * len(READERS))
    for fault, content in BROKEN.items():
        print(f"| {fault} | " + " | ".join(broken(reader, content) for reader in READERS) + " |")


def _own_process(*arguments: str) -> str:
    done = subprocess.run([sys.executable, __file__, "--one", *arguments], capture_output=True, text=True, check=True)
    return done.stdout.strip()


if __name__ == "__main__":
    if sys.argv[1:2] == ["--one"]:
        print(json.dumps(measure(sys.argv[2], Path(sys.argv[3]))))
    else:
        with folder_asked(__doc__) as (folder, runs):
            main(folder, runs)
