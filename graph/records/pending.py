"""Several tables that are written as one: what a reader sees of them while they are put in their places.

An import writes its tables beside the old ones, then a list of what is to be renamed to what, then renames. Once the
list stands, the new tables are the records: whoever reads before the last rename reads those that still lie beside.
"""

from __future__ import annotations

import json
from pathlib import Path

from knockon.graph.records.findings import RecordsError

LIST = ".knockon.pending.json"
STAGED = ".staged"
MOST_BYTES = 1024 * 1024


def pending(folder: Path) -> dict[Path, Path]:
    """The tables that still lie beside their places: by place, what is to be renamed to it. Raises RecordsError."""
    path = folder / LIST
    if not path.exists():
        return {}
    try:
        if path.stat().st_size > MOST_BYTES:
            raise ValueError("too large")
        pairs = [(str(place), str(beside)) for place, beside in json.loads(path.read_bytes()).items()]
    except FileNotFoundError:  # put in place meanwhile
        return {}
    except (OSError, ValueError, AttributeError, RecursionError) as error:
        raise RecordsError(f"{path}: cannot be read: {error}") from error
    for place, beside in pairs:
        if not (_is_inside(place) and _is_inside(beside) and place.endswith(".csv") and beside.endswith(STAGED)):
            raise RecordsError(f"{path}: names something else than tables of this folder")
    return {folder / place: folder / beside for place, beside in pairs if (folder / beside).is_file()}


def _is_inside(name: str) -> bool:
    parts = name.split("/")
    return len(parts) <= 2 and all(p not in ("", ".", "..") for p in parts) and "\\" not in name and ":" not in name


def settled(path: Path, folder: Path) -> Path:
    """Where to read the table whose place is ``path``."""
    beside = pending(folder).get(path)
    return beside if beside is not None and beside.is_file() else path
