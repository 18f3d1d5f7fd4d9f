"""The short records as a folder: of tables about parts the rows of those that are kept, all else as it is."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Collection, Iterator, Sequence
from contextlib import ExitStack
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from knockon.graph.columns.tables import ABOUT_PARTS
from knockon.graph.exchange.handed_out import write_alone
from knockon.graph.files.atomic import NotWritten, not_written
from knockon.graph.files.plain import files_in
from knockon.graph.files.rdf_files import CLUBS, NOTES
from knockon.graph.tables.files import table_files
from knockon.queries.shortlist.engines import Columns
from knockon.queries.shortlist.kept import Kept

OF_ALL = frozenset({"sources.csv", "suppliers.csv"})
"""Tables that other tables refer to: their rows come from every export."""
OTHER_NUMBER = "other part"
Row = tuple[str, Sequence[str], Sequence[str]]


def refuse(into: Path) -> None:
    """Raise NotWritten for a folder that is there already, or has none to stand in."""
    if into.exists():
        raise NotWritten(f"{into} exists already. Name a new folder. Nothing was changed")
    if not into.parent.is_dir():
        raise NotWritten(f"{into.parent} is not there. Name another folder. Nothing was changed")


SAME = "-equal.csv"
"""Put behind the folder's name: the file beside it that says which part stands for which."""


def write_folder(columns: Columns, records: Path, kept: Kept, into: Path) -> None:
    """Write the short records, whole or not at all, and beside them which kept part stands for which others. Raises
    NotWritten."""
    refuse(into)
    try:
        beside = Path(mkdtemp(prefix=f".{into.name}.", dir=into.parent))
        try:
            _copy(records, beside)
            _write(beside, _rows(columns, kept.numbers))
            beside.chmod(0o755)
            beside.rename(into)
            if kept.stood_for:
                lines = (f"{_cell(by)},{_cell(part)}\n" for part, by in kept.stood_for)
                write_alone(into.parent / f"{into.name}{SAME}", ("kept,instead of\n" + "".join(lines)).encode())
        finally:
            shutil.rmtree(beside, ignore_errors=True)
    except OSError as error:
        raise not_written(into, error) from error


def _cell(text: str) -> str:
    return text if not set(',"\n\r') & set(text) else '"' + text.replace('"', '""') + '"'


def _is_copied(name: str) -> bool:
    return Path(name).stem not in ABOUT_PARTS and not name.startswith("features/") and name not in OF_ALL


def _copy(records: Path, beside: Path) -> None:
    """Tables that are not about parts, the club's own Turtle, notes and merged clubs: as they are."""
    for path in table_files(records):
        name = path.relative_to(records).as_posix()
        if _is_copied(name):
            shutil.copyfile(path, beside / name)
    for path in files_in(records, ".ttl"):
        shutil.copyfile(path, beside / path.name)
    for name in (NOTES, CLUBS):
        if (records / name).is_dir():
            shutil.copytree(records / name, beside / name)


def _rows(columns: Columns, kept: Sequence[str]) -> Iterator[Row]:
    """The rows that are written, table by table: (file, header, cells)."""
    rows, things = columns.rows, columns.things
    numbers = columns.table(part=list(kept))
    owned = things.select(about="thing", owner="part").distinct()
    gone = owned.filter(owned.owner != "").anti_join(numbers, owned.owner == numbers.part)
    still = owned.semi_join(numbers, owned.owner == numbers.part)
    dropped = gone.anti_join(still, "about").select("about").distinct()
    of_all = rows.file.isin(sorted(OF_ALL))
    # what is about no thing that the records know is kept: it may say something of a part all the same
    found = rows.filter(rows.about.notnull() | of_all).anti_join(dropped, "about")
    chosen = set(kept)
    for file in sorted(found.select("file").distinct().to_pyarrow()["file"].to_pylist()):
        names: dict[tuple[str, ...], None] = {}
        for row in found.filter(found.file == file).order_by("row", "about").to_pyarrow().to_pylist():
            header, cells = row["header"], row["cells"]
            if _is_between(header, cells, chosen) and (*header, *cells) not in names:
                names[(*header, *cells)] = None  # two exports may have the same row
                yield file, header, cells


def _is_between(header: Sequence[str], cells: Sequence[str], chosen: Collection[str]) -> bool:
    """Whether all that a row names beside its own part is kept too."""
    if OTHER_NUMBER not in header:
        return True
    other = cells[header.index(OTHER_NUMBER)]
    return not other or other in chosen


def _write(beside: Path, rows: Iterator[Row]) -> None:
    """Write rows into their tables; where headers differ, a table has the columns of all."""
    headers: dict[str, tuple[str, ...]] = {}
    writers: dict[str, Any] = {}
    with ExitStack() as files:
        for file, header, cells in rows:
            if file not in writers:
                path = beside / file
                path.parent.mkdir(parents=True, exist_ok=True)
                stream = files.enter_context(path.open("w", encoding="utf-8", newline=""))
                writers[file], headers[file] = csv.writer(stream, lineterminator="\n"), tuple(header)
                writers[file].writerow(header)
            if tuple(header) != headers[file]:
                known = dict(zip(header, cells, strict=True))
                extra = [c for c in header if c not in headers[file] and known[c]]
                if extra:
                    raise NotWritten(f"{file} has a column {extra[0]!r} in one export only. Name it alike in all")
                cells = [known.get(c, "") for c in headers[file]]
            writers[file].writerow(cells)
