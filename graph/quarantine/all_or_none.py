"""Writing several files of a records folder as one: all of them or none, also when killed or on a full disk."""

from __future__ import annotations

import json
import os
import re
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path

from knockon.graph.files.atomic import (
    NotWritten,
    clear_left_overs,
    force_folder,
    new_beside,
    not_written,
    refuse_link,
    remove_whole,
    write_whole,
)
from knockon.graph.files.errors import RecordsError
from knockon.graph.files.plain import content_of
from knockon.graph.tables.pending import LIST, STAGED, Waiting, pending

_STAGED = re.compile(r"\..+\.[a-z0-9_]{8}\.staged")


def write_together(folder: Path, contents: Mapping[Path, bytes]) -> str:
    """Write each file whole, all or none; call it as the sole writer, after ``finish``.

    Gives why a file is not in its place yet, blank if all are: what is listed counts all the same, so that is no
    failure.

    Everything is on the disk before the list that makes it count, so that a full disk is found while nothing has
    changed; a copy of each old file too, so that an edit made by hand before a cut-short import is finished is kept.
    Raises NotWritten, and then the old files stand.
    """
    staged: dict[Path, list[str]] = {}
    beside: list[Path] = []
    try:
        for path, content in contents.items():
            refuse_link(path)
            _refuse_linked_folder(path, folder)
            names = [_stage(path, content, beside)]
            with suppress(FileNotFoundError):
                names.append(_stage(path, content_of(path), beside))
            staged[path] = [n.relative_to(folder).as_posix() for n in names]
        if staged:
            listed = {p.relative_to(folder).as_posix(): [n[0], n[1] if n[1:] else ""] for p, n in staged.items()}
            write_whole(folder / LIST, json.dumps(listed).encode())
    except BaseException as error:
        if not (folder / LIST).exists():
            for path in beside:
                path.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise not_written(folder, error) from error
        raise
    try:
        finish(folder)
    except RecordsError as error:
        return str(error)
    return ""


def _refuse_linked_folder(path: Path, folder: Path) -> None:
    if path.parent != folder and path.parent.is_symlink():
        raise NotWritten(f"{path.parent} is a link. An import writes into plain folders only. Nothing was changed")


def _stage(path: Path, content: bytes, beside: list[Path]) -> Path:
    try:
        handle, staged = new_beside(path, STAGED)
        beside.append(staged)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
    except OSError as error:
        raise not_written(path, error) from error
    return staged


def finish(folder: Path) -> None:
    """Put in place what a killed writer had listed, and clear away what it had not; call it as the sole writer.

    A table that was edited by hand meanwhile gets both. Raises RecordsError; what is listed counts all the same.
    """
    for waiting in pending(folder).values():
        try:
            _put_in_place(waiting)
        except OSError as error:
            why = f"{error.strerror or error}. What was imported counts, and the next import puts it in place"
            raise NotWritten(f"{waiting.place}: {why}") from error
    if (folder / LIST).exists():
        remove_whole(folder / LIST)
    for place in (folder, folder / "features", folder / "jobs"):
        clear_left_overs(place, _STAGED)


def _put_in_place(waiting: Waiting) -> None:
    content = waiting.content()
    if content != content_of(waiting.beside):
        write_whole(waiting.beside, content)  # first: so that the place changes in one step, as without an edit
    waiting.beside.replace(waiting.place)
    force_folder(waiting.place.parent)
