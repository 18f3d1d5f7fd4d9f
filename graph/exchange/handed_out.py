"""A file that is handed out of the records: an export, or what is shared. It never lands on the records themselves."""

from __future__ import annotations

import re
from pathlib import Path

from knockon.graph.files.atomic import NotWritten, clear_left_overs, not_written, write_whole
from knockon.graph.files.rdf_files import CLUBS, NOTES

FOLDERS_READ = (NOTES, CLUBS, "features")
ENDINGS_READ = (".csv", ".xlsx", ".xlsm", ".xls", ".ods", ".ttl")
"""What a records folder is read from: tables, workbooks, and Turtle as its own vocabulary."""


def hand_out(path: Path, content: bytes, records: Path | None) -> None:
    """Write a file whole or not at all; through a link, and into a device or a pipe as it stands.

    ``records``: the folder that is asked. Raises NotWritten for a place that those records are read from, and where
    nothing could be written.
    """
    target = Path(path).resolve()
    if records is not None and is_read(target, records.resolve()):
        raise NotWritten(f"{path}: the records {records} are read from there. Name another place. Nothing was changed")
    if not target.exists() or target.is_file():
        write_alone(target, content)
        return
    try:
        with target.open("wb", buffering=0) as stream:  # a device or a pipe: nothing is renamed over it
            rest = memoryview(content)
            while rest:
                rest = rest[stream.write(rest) or 0 :]
    except OSError as error:
        raise not_written(path, error) from error


def write_alone(path: Path, content: bytes) -> None:
    """Write a file that stands outside the records whole or not at all, and clear away what a killed writer of it left
    half-written. Raises NotWritten."""
    clear_left_overs(path.parent, re.compile(re.escape(f".{path.name}.") + r"[a-z0-9_]{8}\.part"))
    write_whole(path, content)


def is_read(target: Path, records: Path) -> bool:
    """Whether a place is one that a records folder is read from, both without links."""
    if target == records:
        return True  # the records are one workbook
    if not target.is_relative_to(records):
        return False
    inside = target.relative_to(records)
    return (
        inside.parts[0] in FOLDERS_READ
        or inside.name.startswith(".")
        or inside.suffix.lower() in ENDINGS_READ
        or inside.name.endswith("-metadata.json")
    )
