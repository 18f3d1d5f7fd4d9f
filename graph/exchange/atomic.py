"""Writing a file whole or not at all, one writer at a time.

A new file is written beside the old one, forced to the disk and renamed over it, so that a crash, a kill or a full disk
leaves the old file or the new one. A lock on the folder keeps two processes from reading the same state and both
writing.
"""

from __future__ import annotations

import errno
import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from knockon.graph.records.findings import RecordsError

LOCK = ".knockon.lock"
WRITTEN_IN = ("notes", "clubs")
LEFT_OVER = ".*.part"
_OURS = re.compile(r"\..+\.(nq|json)\.[a-z0-9_]{8}\.part")
PATIENCE = 60.0
"""Seconds that a writer waits for another one."""

_WORDS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "the file would be larger than this disk or process allows",
    errno.EROFS: "the disk can only be read",
    errno.EACCES: "writing there is not permitted",
    errno.EPERM: "writing there is not permitted",
}


class NotWritten(RecordsError):
    """Nothing was changed: the disk is full, the folder cannot be written, or another writer holds it too long."""


def not_written(path: Path, error: OSError) -> NotWritten:
    """The error of the operating system in words."""
    why = _WORDS.get(error.errno or 0, error.strerror or str(error))
    return NotWritten(f"{path}: {why}; nothing was changed")


@contextmanager
def sole_writer(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the records folder against other writers; raises NotWritten after `patience` seconds of waiting."""
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK, timeout=patience)
    try:
        lock.acquire()
    except Timeout as error:
        raise NotWritten(f"{folder}: another program has been writing there for {patience:g} s") from error
    except OSError as error:
        raise not_written(folder, error) from error
    try:
        _clear_left_overs(folder)
        yield
    finally:
        lock.release()


def _clear_left_overs(folder: Path) -> None:
    """Remove what a killed writer of these records left half-written, and nothing else that may lie there."""
    for place in (folder, *(folder / name for name in WRITTEN_IN)):
        for path in place.glob(LEFT_OVER):
            if _OURS.fullmatch(path.name):
                with suppress(OSError):
                    path.unlink()


def write_whole(path: Path, content: bytes) -> None:
    """Write a file whole or not at all. Raises NotWritten, and then the old file stands as it was."""
    part: Path | None = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        part = Path(name)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        part.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask())
        part.replace(path)
        _force_folder(path.parent)
    except OSError as error:
        raise not_written(path, error) from error
    finally:
        if part is not None:
            with suppress(OSError):
                part.unlink(missing_ok=True)


def remove_whole(path: Path) -> None:
    """Remove a file. Raises NotWritten."""
    try:
        path.unlink()
        _force_folder(path.parent)
    except OSError as error:
        raise not_written(path, error) from error


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _force_folder(folder: Path) -> None:
    """Force a rename to the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
