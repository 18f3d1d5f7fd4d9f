"""The user's cache folder: what took work to make is kept there under a name that says what it was made of.

A copy can be deleted at any time. It holds data only, is written whole or not at all, and only the newest ones stay.
"""

from __future__ import annotations

import os
import time
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO

MOST_COPIES = 12
LEFT_OVER = 3600
"""Seconds after which a half-written copy has no writer any more."""
MOST_BYTES = 4 * 2**30
"""All copies with one ending take no more than that, but for the newest, which stays."""


def folder_of_copies() -> Path | None:
    """Where copies are kept: KNOCKON_CACHE (``off``: nowhere), else the user's cache folder."""
    chosen = os.environ.get("KNOCKON_CACHE", "")
    if chosen == "off":
        return None
    if chosen:
        return Path(chosen)
    import platformdirs

    return Path(platformdirs.user_cache_dir("knockon", appauthor=False))


def kept_copy(name: str) -> bytes | None:
    """The copy of this name, or None."""
    folder = folder_of_copies()
    if folder is None:
        return None
    try:
        return (folder / name).read_bytes()
    except OSError:
        return None


def open_copy(name: str) -> BinaryIO | None:
    """The copy of this name as a file, or None; one that another user could have written is not read."""
    folder = folder_of_copies()
    try:
        file = (folder / name).open("rb") if folder is not None else None
    except OSError:
        return None
    if file is not None and hasattr(os, "getuid"):
        about = os.fstat(file.fileno())
        if about.st_uid != os.getuid() or about.st_mode & 0o022:
            file.close()
            return None
    return file


def keep_copy(name: str, *content: bytes | bytearray | memoryview) -> None:
    """Keep a copy, whole or not at all, and the newest others with its ending; a cache that cannot be written is no
    error."""
    folder = folder_of_copies()
    if folder is None:
        return
    import tempfile

    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.writelines(content)
            os.replace(part, folder / name)
        finally:
            Path(part).unlink(missing_ok=True)  # gone already, unless writing failed
        _clear(folder, Path(name).suffix)
    except OSError:
        return


def _clear(folder: Path, ending: str) -> None:
    """Delete the oldest copies with an ending, and what a killed writer left."""
    found = []
    for path in folder.glob("*"):
        with suppress(OSError):  # another process may delete it meanwhile
            about = path.stat()
            if path.suffix == ending:
                found.append((about.st_mtime_ns, about.st_size, path))
            elif path.suffix == ".part" and about.st_mtime < time.time() - LEFT_OVER:
                path.unlink()
    total = 0
    for count, (_, size, path) in enumerate(sorted(found, reverse=True)):
        total += size
        if count >= MOST_COPIES or (count and total > MOST_BYTES):
            path.unlink(missing_ok=True)
