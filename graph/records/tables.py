"""Reading the tables of a records folder: files to rows of text, with nothing judged yet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.records.findings import Finding, RecordsError
from knockon.graph.records.pending import pending, settled

MOST_BYTES = 512 * 1024 * 1024
LONGEST_CELL = 100_000
BESIDE = frozenset({"quarantine.csv", "imported.csv"})
"""What an import keeps beside the tables: no record tables."""


@dataclass(frozen=True, slots=True)
class RawTable:
    """A table as text: ``header`` and rows with their row number in the file (the header is row 1)."""

    file: str
    table: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def table_files(folder: Path) -> list[Path]:
    """The CSV files of a records folder, tables first, then ``features/``; raises RecordsError if there are none."""
    if not folder.is_dir():
        raise RecordsError(f"{folder} is not a folder of records")
    waiting = [p for p in pending(folder) if not p.exists()]
    plain = {p for p in [*folder.glob("*.csv"), *waiting] if p.parent == folder and p.name not in BESIDE}
    features = {*(folder / "features").glob("*.csv"), *(p for p in waiting if p.parent != folder)}
    files = sorted(plain) + sorted(features)
    if not files:
        raise RecordsError(f"{folder} holds no record tables (*.csv)")
    return files


def read_table(path: Path, name: str, findings: list[Finding], where: Path | None = None) -> RawTable | None:
    """Read one CSV file as text; a file that cannot be read becomes a finding and None.

    ``where``: the file to open, if the table lies beside its place still.
    """
    found = where if where is not None and where.is_file() else path
    try:
        if found.stat().st_size > MOST_BYTES:
            raise ValueError(f"the file is larger than {MOST_BYTES} bytes")
        with found.open(encoding="utf-8-sig", newline="") as stream:
            text = stream.read()
    except (OSError, UnicodeDecodeError, ValueError) as error:
        findings.append(Finding(name, 0, "", "", f"cannot be read: {error}", "a table in UTF-8"))
        return None
    return parse_table(text, name, path.stem, findings)


def parse_table(text: str, name: str, table: str, findings: list[Finding]) -> RawTable | None:
    """Split CSV text into a header and rows; blank rows are passed over, ragged rows become findings."""
    csv.field_size_limit(LONGEST_CELL)
    rows: list[tuple[int, tuple[str, ...]]] = []
    header: tuple[str, ...] = ()
    number = 0
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)  # not splitlines: a cell may hold \x0b or U+2028
    while True:
        try:
            cells = next(reader, None)
        except csv.Error as error:
            findings.append(Finding(name, reader.line_num, "", "", f"the row cannot be split: {error}", "CSV"))
            continue
        if cells is None:
            break
        number = reader.line_num
        cells = [c.strip() for c in cells]
        if not any(cells):
            continue
        if not header:
            header = tuple(c.lower() for c in cells)
        elif len(cells) > len(header) and any(cells[len(header) :]):
            extra = ",".join(cells[len(header) :])
            findings.append(Finding(name, number, "", extra, "more cells than columns", f"{len(header)} cells"))
        else:
            rows.append((number, tuple(cells[: len(header)] + [""] * (len(header) - len(cells)))))
    return RawTable(name, table, header, tuple(rows)) if header else None


def read_folder(folder: Path, findings: list[Finding]) -> Iterator[RawTable]:
    """All tables of a records folder as text."""
    for path in table_files(folder):
        table = read_table(path, path.relative_to(folder).as_posix(), findings, settled(path, folder))
        if table is not None:
            yield table


def raw_tables(tables: Mapping[str, str], findings: list[Finding]) -> Iterator[RawTable]:
    """The same from texts by file name: ``{"parts.csv": "part,name\\n..."}``."""
    for name, text in sorted(tables.items()):
        table = parse_table(text, name, Path(name).stem, findings)
        if table is not None:
            yield table
