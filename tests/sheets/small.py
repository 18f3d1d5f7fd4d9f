"""A small records folder for tests of imports: written, a sheet taken in with what is proposed, its tables read."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

from knockon.graph.sheets import open_sheets
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings


def write_tables(place: Path, tables: Mapping[str, str]) -> Path:
    """A records folder of these tables, by file name."""
    folder = place / "records"
    folder.mkdir()
    for name, text in tables.items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def take_in_as_proposed(folder: Path, path: Path, table: str, fixed: tuple[tuple[str, str], ...]) -> ImportAnswer:
    """Import a sheet with the mappings that are proposed for a table; ``fixed`` holds for a table of features only."""
    sheets = open_sheets(path)
    found = propose_mappings(open_folder(folder), sheets, table, fixed if table.startswith("features/") else ())
    return import_sheets(folder, path.name, sheets, [p.mapping for p in found])


def rows_of(folder: Path, table: str) -> list[dict[str, str]]:
    """The rows of a record table as they are written."""
    with (folder / f"{table}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
