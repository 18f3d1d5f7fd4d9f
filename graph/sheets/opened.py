"""Opening a sheet file by its content, whatever its name ends in, within bounded time and memory."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
import zipfile
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

import msgspec

from knockon.graph.files.delimited import LONGEST_CELL, split_rows
from knockon.graph.files.plain import content_of, why_not

MOST_BYTES = 64 * 1024 * 1024
MOST_UNPACKED = 256 * 1024 * 1024
MOST_COLUMNS = 1_000
MOST_SECONDS = 60
DELIMITERS = ",;\t|"


class StoredNumber(str):
    """A number that a workbook stores as a number: its point is a decimal point in any locale."""

    __slots__ = ()


class SheetError(ValueError):
    """A file that cannot be read as a sheet; the message names it and says why."""


class Sheet(msgspec.Struct, frozen=True):
    """One sheet as text: rows with their number as the spreadsheet shows it; ``remarks``: what help reading needed.

    ``delimiter``: the sign between the cells of a text file, empty for a workbook. ``faulty``: why a row of it cannot
    be split into cells, by number; such a row is one cell, its line.
    """

    file: str
    name: str
    rows: tuple[tuple[int, tuple[str, ...]], ...]
    remarks: tuple[str, ...] = ()
    delimiter: str = ""
    faulty: Mapping[int, str] = msgspec.field(default_factory=dict)


def open_sheets(path: Path) -> tuple[Sheet, ...]:
    """All sheets of a file that hold anything. Raises SheetError."""
    try:
        content = content_of(path, MOST_BYTES)
    except FileNotFoundError as error:
        raise SheetError(f"{path}: there is no such file. Name it with its folder: {path.absolute()}") from error
    except OSError as error:
        raise SheetError(f"{path}: {why_not(error)}") from error
    if content.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0")):
        sheets = _workbook(path, content)
    else:
        sheets = (_text_sheet(path, content),)
    found = tuple(s for s in sheets if any(any(cells) for _, cells in s.rows))
    if not found:
        raise SheetError(f"{path} is empty")
    return found


def _workbook(path: Path, content: bytes) -> tuple[Sheet, ...]:
    if content.startswith(b"PK"):
        _check_archive(path, content)
    command = [sys.executable, "-m", "knockon.graph.sheets.child", str(path)]
    try:
        done = subprocess.run(command, capture_output=True, timeout=MOST_SECONDS, check=False)
    except subprocess.TimeoutExpired as error:
        raise SheetError(f"{path} cannot be read within {MOST_SECONDS} s") from error
    if done.returncode == 3:
        why = done.stderr.decode(errors="replace").strip().splitlines()
        raise SheetError(f"{path} is not a workbook that can be read ({why[-1] if why else 'no reason given'})")
    if done.returncode != 0:
        raise SheetError(f"{path} takes more memory or time to read than a sheet may")
    found = []
    for name, rows, merged, shown, hidden in json.loads(done.stdout):
        texts = [(n, [StoredNumber(c[0]) if isinstance(c, list) else c.strip() for c in cells]) for n, cells in rows]
        filled, remarks = _unmerged(texts, merged)
        if not shown:
            remarks += (f"sheet {name!r} is hidden in the spreadsheet. It was read too",)
        if hidden:
            remarks += (f"sheet {name!r} has hidden rows ({hidden}). They were read too",)
        found.append(Sheet(path.name, name, filled, remarks))
    return tuple(found)


def _unmerged(
    rows: list[tuple[int, list[str]]], merged: list[list[int]]
) -> tuple[tuple[tuple[int, tuple[str, ...]], ...], tuple[str, ...]]:
    """Write a merged cell's value into each cell that it covers downwards or across."""
    by_number = dict(rows)
    count = 0
    for top, left, bottom, right in merged[:10_000]:
        first = by_number.get(top + 1, [])
        value = first[left] if left < len(first) else ""
        for number in range(top + 1, min(bottom + 1, top + 10_000) + 1):
            cells = by_number.get(number)
            if not value or cells is None:
                continue
            for column in range(left, min(right + 1, len(cells))):
                cells[column] = cells[column] or value
        count += 1
    remarks = (f"merged cells: {count}. The value counts for each cell that it covers",) if count else ()
    return tuple((n, tuple(cells)) for n, cells in rows), remarks


def _check_archive(path: Path, content: bytes) -> None:
    """Refuse what unpacks to too much, or not at all."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            unpacked = 0
            for entry in archive.infolist():
                if entry.flag_bits & 1:
                    raise SheetError(f"{path} is locked by a password")
                with archive.open(entry) as stream:
                    unpacked += len(stream.read(MOST_UNPACKED - unpacked + 1))
                if unpacked > MOST_UNPACKED:
                    raise SheetError(f"{path} unpacks to more than {MOST_UNPACKED // 2**20} MB")
    except (zipfile.BadZipFile, NotImplementedError, OSError, EOFError, ValueError) as error:
        if isinstance(error, SheetError):
            raise
        raise SheetError(f"{path} is a damaged archive ({error})") from error
    except Exception as error:  # zlib's and lzma's errors share no base class
        raise SheetError(f"{path} is a damaged archive ({error})") from error


def _text_sheet(path: Path, content: bytes) -> Sheet:
    text, remarks = _decoded(path, content)
    if "\0" in text:
        raise SheetError(f"{path} is neither a workbook nor a table in text. Save it as .xlsx or .csv")
    lines = list(io.StringIO(text, newline=""))  # not splitlines, to which a form feed ends a line
    delimiter = ""
    skipped = 0
    if lines and lines[0].lower().startswith("sep=") and len(lines[0].strip()) == 5:
        delimiter, skipped = lines[0].strip()[4], 1
    delimiter = delimiter or _delimiter(lines[:200])
    rows: list[tuple[int, tuple[str, ...]]] = []
    faulty: dict[int, str] = {}
    text = text[len(lines[0]) :] if skipped else text
    for number, row in enumerate(split_rows(text, delimiter), 1 + skipped):  # a cell of several lines is in one row
        if len(row.cells) > MOST_COLUMNS:
            raise SheetError(f"{path}: row {number} has more than {MOST_COLUMNS} cells")
        rows.append((number, tuple(c.strip() for c in row.cells)))
        if row.fault and len(row.cells[0]) > LONGEST_CELL:  # nobody's row: the file is no table
            raise SheetError(f"{path}: row {number} cannot be split into cells, {row.fault}")
        if row.fault:
            faulty[number] = f"it cannot be split into cells ({row.fault}). Close its quotation marks"
    return Sheet(path.name, "", tuple(rows), (*remarks, *_swallowed(rows, delimiter)), delimiter, faulty)


def _swallowed(rows: list[tuple[int, tuple[str, ...]]], delimiter: str) -> Iterator[str]:
    """A remark on each cell of several lines with delimiters in them: a quotation mark that is not closed."""
    for number, cells in rows:
        for cell in cells:
            lines = cell.count("\n")
            if lines and delimiter in cell:
                yield f"row {number}: a quotation mark makes {lines + 1} lines one cell. Is it meant, and closed?"


def _decoded(path: Path, content: bytes) -> tuple[str, tuple[str, ...]]:
    for mark, encoding in ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16")):
        if content.startswith(mark):
            try:
                return content.decode(encoding), ()
            except UnicodeDecodeError as error:
                raise SheetError(f"{path} says that it is {encoding}, and is not ({error.reason})") from error
    for encoding, zeros, others in (("utf-16-le", content[1:400:2], content[:400:2]),
                                    ("utf-16-be", content[:400:2], content[1:400:2])):  # fmt: skip
        if zeros.count(0) * 2 > len(zeros) and not others.count(0):
            return content.decode(encoding, errors="replace"), (f"read as {encoding}, which it does not say",)
    try:
        return content.decode("utf-8"), ()
    except UnicodeDecodeError:
        remark = "not in UTF-8: read as Windows-1252"
        return content.decode("cp1252", errors="replace"), (remark,)


def _delimiter(lines: list[str]) -> str:
    """The delimiter that splits most rows into the same number of cells, more than one."""
    best, best_score = ",", (0, 0)
    for candidate in DELIMITERS:
        try:
            widths = Counter(len(row) for row in csv.reader(lines, delimiter=candidate) if any(row))
        except csv.Error:
            continue
        width, rows = max(widths.items(), key=lambda w: (w[0] > 1, w[1], w[0]), default=(0, 0))
        if width > 1 and (rows, width) > best_score:
            best, best_score = candidate, (rows, width)
    return best
