"""The tables in columns written as Parquet: one file each, in row groups, all of them or none.

pyarrow writes them; it belongs to the extra ``knockon[cluster]`` and is imported here only.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, suppress
from itertools import islice
from pathlib import Path
from typing import Any

import msgspec

from knockon.graph.columns.tables import FLAG, NUMBER, TABLES, TEXT, TEXTS, WHOLE, Catalogued, ColumnTable, Row
from knockon.graph.exchange.handed_out import is_read
from knockon.graph.files.atomic import NotWritten, new_beside, not_written
from knockon.graph.model.findings import RecordsError

Steps = Callable[[str, int, int], None]
ROWS_IN_GROUP = 100_000
"""Rows that are in memory at once, and stand in one row group."""
ENDING = ".parquet"


class ExtraMissing(RecordsError):
    """A library of an extra is not installed; the message names the extra."""


class TableWritten(msgspec.Struct, frozen=True):
    """A table that was written: its name and number of rows."""

    table: str
    rows: int


def extra_missing(extra: str, error: ImportError) -> ExtraMissing:
    """The error that names the extra."""
    return ExtraMissing(f'{error.name or "a library"} is not installed. Type: pip install "knockon[{extra}]"')


def write_parquet(recorded: Catalogued, folder: Path, heard: Steps | None = None) -> tuple[TableWritten, ...]:
    """Write all tables into a folder, which is made or written anew; the same records give the same bytes.

    Each is written beside its place, and all are put in place at the end. Raises ExtraMissing without pyarrow,
    NotWritten where nothing could be written, where records are read from there, and for a folder with other files.
    """
    try:
        import pyarrow.parquet
    except ImportError as error:
        raise extra_missing("cluster", error) from error
    _refuse(folder, recorded.folder)
    written, beside = [], {}
    with ExitStack() as left_over:
        try:
            folder.mkdir(exist_ok=True)
            for done, table in enumerate(TABLES):
                if heard is not None:
                    heard(f"writing {table.name}", done, len(TABLES))
                place = folder / f"{table.name}{ENDING}"
                handle, part = new_beside(place)
                left_over.callback(_removed, part)
                with os.fdopen(handle, "wb") as stream:
                    written.append(TableWritten(table.name, _write(pyarrow, stream, table, table.rows(recorded))))
                    stream.flush()
                    os.fsync(stream.fileno())
                beside[place] = part
            for place, part in beside.items():
                part.replace(place)
        except OSError as error:
            raise not_written(folder, error) from error
    return tuple(written)


def _refuse(folder: Path, records: Path) -> None:
    if is_read(folder.resolve(), records.resolve()):
        raise NotWritten(
            f"{folder}: the records {records} are read from there. Name another place. Nothing was changed"
        )
    if folder.is_dir():
        others = sorted(p.name for p in folder.iterdir() if p.name not in {f"{t.name}{ENDING}" for t in TABLES})
        others = [name for name in others if not name.startswith(".")]
        if others:
            raise NotWritten(f"{folder} holds other files, such as {others[0]}. Name a new folder. Nothing was changed")
    elif folder.exists():
        raise NotWritten(f"{folder} is a file. Name a folder. Nothing was changed")


def _removed(path: Path) -> None:
    with suppress(OSError):
        path.unlink(missing_ok=True)


def _schema(pyarrow: Any, table: ColumnTable) -> Any:
    types = {
        TEXT: pyarrow.string(),
        NUMBER: pyarrow.float64(),
        WHOLE: pyarrow.int32(),
        FLAG: pyarrow.bool_(),
        TEXTS: pyarrow.list_(pyarrow.string()),
    }
    return pyarrow.schema([(c.name, types[c.holds]) for c in table.columns])


def _write(pyarrow: Any, stream: Any, table: ColumnTable, rows: Iterable[Row]) -> int:
    """Write one table; gives the number of its rows."""
    schema, count = _schema(pyarrow, table), 0
    with pyarrow.parquet.ParquetWriter(stream, schema, compression="zstd") as writer:
        for group in _groups(iter(rows)):
            count += len(group)
            columns = zip(*group, strict=True)
            arrays = [pyarrow.array(list(c), field.type) for c, field in zip(columns, schema, strict=True)]
            writer.write_table(pyarrow.table(arrays, schema=schema), row_group_size=ROWS_IN_GROUP)
    return count


def _groups(rows: Iterator[Row]) -> Iterator[list[Row]]:
    while group := list(islice(rows, ROWS_IN_GROUP)):
        yield group
