"""Writing several files of a records folder as one: all of them or none, also when killed or on a full disk."""

from __future__ import annotations

import json
import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from knockon.graph.exchange.atomic import NotWritten, not_written, remove_whole, write_whole
from knockon.graph.records.pending import LIST, STAGED, pending


def write_together(folder: Path, contents: Mapping[Path, bytes]) -> None:
    """Write each file whole, all or none; call it as the sole writer, after ``finish``.

    Everything is on the disk before the list that makes it count, so that a full disk is found while nothing has
    changed. Raises NotWritten, and then the old files stand.
    """
    staged: dict[Path, Path] = {}
    try:
        for path, content in contents.items():
            staged[path] = _stage(path, content)
        if staged:
            names = {p.relative_to(folder).as_posix(): s.relative_to(folder).as_posix() for p, s in staged.items()}
            write_whole(folder / LIST, json.dumps(names).encode())
    except BaseException:
        if not (folder / LIST).exists():
            for beside in staged.values():
                beside.unlink(missing_ok=True)
        raise
    finish(folder)


def _stage(path: Path, content: bytes) -> Path:
    beside = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=STAGED)
        beside = path.parent / Path(name).name  # named from where the folder is named, not from the root
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
    except OSError as error:
        if beside is not None:
            with suppress(OSError):
                beside.unlink(missing_ok=True)
        raise not_written(path, error) from error
    return beside


def finish(folder: Path) -> None:
    """Put in place what a killed writer had listed, and clear away what it had not; call it as the sole writer.

    Raises RecordsError; what is listed counts all the same.
    """
    for place, beside in pending(folder).items():
        try:
            beside.replace(place)
        except OSError as error:
            why = f"{error.strerror or error}; what was imported counts, and the next import puts it in place"
            raise NotWritten(f"{place}: {why}") from error
    if (folder / LIST).exists():
        remove_whole(folder / LIST)
    for beside in [*folder.glob(f".*{STAGED}"), *(folder / "features").glob(f".*{STAGED}")]:
        with suppress(OSError):
            beside.unlink()
