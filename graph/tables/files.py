"""Reading the tables of a records folder: files to rows of text, with nothing judged yet."""

from __future__ import annotations

import codecs
from collections.abc import Iterator, Mapping
from pathlib import Path
from sys import intern

import msgspec

from knockon.graph.files.delimited import split_rows
from knockon.graph.files.plain import content_of, files_in, why_not
from knockon.graph.model.findings import Finding, RecordsError
from knockon.graph.model.nearest import nearest
from knockon.graph.tables.cells import NO_TEXT, shown
from knockon.graph.tables.pending import pending, settled_content

BESIDE = frozenset({"quarantine.csv", "imported.csv"})
"""What an import keeps beside the tables: no record tables."""


class RawTable(msgspec.Struct, frozen=True):
    """A table as text: ``header`` and rows with their row number in the file (the header is row 1)."""

    file: str
    table: str
    header: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


def table_files(folder: Path) -> list[Path]:
    """The CSV files of a records folder, tables first, then ``features/``; raises RecordsError if there are none, or a
    folder cannot be looked into."""
    if not folder.is_dir():
        raise RecordsError(f"{folder} is not a folder of records{_instead(folder)}")
    waiting = [p for p in pending(folder) if p.suffix == ".csv" and not p.exists()]
    plain = {p for p in [*files_in(folder, ".csv"), *waiting] if p.parent == folder and p.name not in BESIDE}
    features = {*files_in(folder / "features", ".csv"), *(p for p in waiting if p.parent != folder)}
    files = sorted(plain) + sorted(features)
    if not files:
        raise RecordsError(f"{folder} contains no record tables (*.csv){_instead(folder)}")
    if folder.name == "features" and not (folder / "parts.csv").exists() and (folder.parent / "parts.csv").exists():
        raise RecordsError(f"{folder} is only a part of its records. Name the folder {folder.parent}")
    return files


def _instead(folder: Path) -> str:
    """Which folder to name instead of one that is none, or holds no tables."""
    if folder.is_file():
        above = folder.parent.parent if folder.parent.name == "features" else folder.parent
        return f". It is a file: name the folder that it is in, {above.resolve()}"
    if not folder.is_dir():
        beside = [p.parent.name for p in folder.parent.glob("*/parts.csv")] if folder.parent.is_dir() else []
        near = [str(folder.parent / name) for name in nearest(folder.name, beside)]
        return f". Nearest: {', '.join(near)}" if near else ". Name the folder in which parts.csv is"
    workbooks = sorted(p.name for p in folder.iterdir() if p.suffix.lower() in (".xlsx", ".xls", ".ods"))
    if workbooks:
        return f". Save each sheet of {workbooks[0]} as CSV, or import it: knockon import {workbooks[0]}"
    return ". Begin with parts.csv and sources.csv, as docs/start.md shows, or name another folder"


def read_table(path: Path, name: str, findings: list[Finding], folder: Path | None = None) -> RawTable | None:
    """Read one CSV file as text; a file that cannot be read becomes a finding and None.

    ``folder``: the records folder, where the table may still lie beside its place.
    """
    try:
        data = content_of(path) if folder is None else settled_content(path, folder)
        if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            raise ValueError("it is written in UTF-16")
    except (OSError, ValueError) as error:
        why = why_not(error) if isinstance(error, OSError) else str(error)
        findings.append(Finding(file=name, problem=f"cannot be read: {why}", expected="a table in UTF-8"))
        return None
    # A byte that is no UTF-8 spoils its row, not the table: it is kept as a lone surrogate until the row is known.
    return parse_table(data.decode("utf-8-sig", "surrogateescape"), name, path.stem, findings)


def parse_table(text: str, name: str, table: str, findings: list[Finding]) -> RawTable | None:
    """Split CSV text into a header and rows; blank rows are passed over, ragged rows become findings."""
    rows: list[tuple[int, tuple[str, ...]]] = []
    header: tuple[str, ...] = ()
    has_no_text = NO_TEXT.search(text) is not None
    for row in split_rows(text):
        number, cells = row.last, list(map(intern, map(str.strip, row.cells)))
        if row.fault:
            problem = f"the row cannot be split into cells, {row.fault}"
            findings.append(
                Finding(
                    file=name,
                    row=number,
                    written=shown(row.cells[0]),
                    problem=problem,
                    expected="cells as CSV has them",
                )
            )
            continue
        if not any(cells):
            continue
        if not header:
            header = tuple(shown(c.lower()) for c in cells)
        elif len(cells) > len(header) and any(cells[len(header) :]):
            extra = shown(",".join(cells[len(header) :]))
            findings.append(
                Finding(
                    file=name,
                    row=number,
                    written=extra,
                    problem="more cells than columns",
                    expected=f"{len(header)} cells",
                )
            )
        elif has_no_text and (faults := [i for i, c in enumerate(cells[: len(header)]) if NO_TEXT.search(c)]):
            problem = "contains characters that are not text"
            findings += [
                Finding(
                    file=name,
                    row=number,
                    column=header[i],
                    written=shown(cells[i]),
                    problem=problem,
                    expected="text in UTF-8",
                )
                for i in faults
            ]
        elif len(cells) == len(header):
            rows.append((number, tuple(cells)))
        else:
            rows.append((number, tuple(cells[: len(header)] + [""] * (len(header) - len(cells)))))
    if not header:
        findings.append(Finding(file=name, problem="the file contains no table", expected="a header row, and rows"))
        return None
    return RawTable(name, table, header, tuple(rows))


def read_folder(folder: Path, findings: list[Finding]) -> Iterator[RawTable]:
    """All tables of a records folder as text."""
    for path in table_files(folder):
        table = read_table(path, path.relative_to(folder).as_posix(), findings, folder)
        if table is not None:
            yield table


def raw_tables(tables: Mapping[str, str], findings: list[Finding]) -> Iterator[RawTable]:
    """The same from texts by file name: ``{"parts.csv": "part,name\\n..."}``."""
    for name, text in sorted(tables.items()):
        table = parse_table(text, name, Path(name).stem, findings)
        if table is not None:
            yield table
