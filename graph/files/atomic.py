"""Writing a file whole or not at all, one writer at a time.

A new file is written beside the old one, forced to the disk and renamed over it, so that a crash, a kill or a full disk
leaves the old file or the new one. A lock on the folder keeps two processes from reading the same state and both
writing.
"""

from __future__ import annotations

import errno
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from knockon.graph.files.errors import RecordsError

try:
    import fcntl
except ImportError:  # Windows: an open file cannot be removed there, so no mark is needed
    fcntl = None  # type: ignore[assignment]

LOCK = ".knockon.lock"
PHOTOGRAPHS = "photographs"
WRITTEN_IN = ("notes", "clubs", "features", "jobs", PHOTOGRAPHS)
PART = ".part"
_OURS = re.compile(r"\..+\.(nq|json|csv|jpg|png|webp|heic)\.[a-z0-9_]{8}\.part")
PATIENCE = 60.0
"""Seconds that a writer waits for another one."""

_WORDS = {
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "the disk quota is used up",
    errno.EFBIG: "the file would be larger than this disk or process allows",
    errno.EROFS: "the disk is read-only",
    errno.EACCES: "you may not write there",
    errno.EPERM: "you may not write there",
}


class NotWritten(RecordsError):
    """Nothing was changed: the disk is full, the folder cannot be written, or another writer holds it too long."""


class AlreadyThere(NotWritten):
    """A file of this name stands there already, and is not written over."""


def not_written(path: Path, error: OSError) -> NotWritten:
    """The error of the operating system in words."""
    why = _WORDS.get(error.errno or 0, error.strerror or str(error))
    return NotWritten(f"{path}: {why}. Nothing was changed")


@contextmanager
def sole_writer(folder: Path, patience: float = PATIENCE) -> Iterator[None]:
    """Hold the records folder against other writers; raises NotWritten after `patience` seconds of waiting.

    Hold it only while writing: what is to be written is worked out before.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / LOCK, timeout=patience, mode=0o666 & ~own_umask())
    try:
        lock.acquire()
    except Timeout as error:
        raise NotWritten(
            f"another program has been writing to {folder} for {patience:g} s. Try again when it is done"
        ) from error
    except OSError as error:
        raise not_written(folder, error) from error
    try:
        for place in (folder, *(folder / name for name in WRITTEN_IN)):
            clear_left_overs(place, _OURS)
        yield
    finally:
        lock.release()


def clear_left_overs(folder: Path, ours: re.Pattern[str]) -> None:
    """Remove what killed writers left half-written under names like ``ours``, and nothing else that may lie there.

    What a living writer has in hand bears its mark (a lock of the system, gone with the process), and stays.
    """
    with suppress(OSError), os.scandir(folder) as entries:
        for path in [Path(e.path) for e in entries if ours.fullmatch(e.name)]:
            with suppress(OSError):
                _remove_unmarked(path)


def _remove_unmarked(path: Path) -> None:
    handle = os.open(path, os.O_RDWR | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0))
    try:
        if fcntl is not None:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            path.unlink()
    finally:
        os.close(handle)
    if fcntl is None:
        path.unlink()


def new_beside(path: Path, ending: str = PART) -> tuple[int, Path]:
    """A new hidden file beside a path, open for writing and marked as in hand, with the rights that a new file of this
    user has, or those of the file that it will replace. Raises OSError."""
    path.parent.mkdir(parents=True, exist_ok=True)
    while True:
        beside = path.parent / f".{path.name}.{secrets.token_hex(4)}{ending}"
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(beside, flags, 0o666)
        try:
            if fcntl is not None:
                fcntl.flock(handle, fcntl.LOCK_EX)
            with suppress(FileNotFoundError):
                beside.chmod(path.stat().st_mode & 0o777)
            if beside.exists():  # else somebody took it for a left-over before it was marked
                return handle, beside
        except BaseException:
            os.close(handle)
            beside.unlink(missing_ok=True)
            raise
        os.close(handle)


def write_whole(path: Path, content: bytes, *, only_new: bool = False) -> None:
    """Write a file whole or not at all. Raises NotWritten, and then the old file stands as it was.

    A link is not replaced: NotWritten says so. ``only_new``: raises AlreadyThere where anything of this name stands.
    """
    part: Path | None = None
    try:
        refuse_link(path)
        handle, part = new_beside(path)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
            if fcntl is not None:  # while it is marked, so that nobody takes it for a left-over
                _put_in_place(part, path, only_new)
        if fcntl is None:
            _put_in_place(part, path, only_new)
        force_folder(path.parent)
    except FileExistsError as error:
        raise AlreadyThere(f"{path} exists already. Nothing was changed") from error
    except OSError as error:
        raise not_written(path, error) from error
    finally:
        if part is not None:
            with suppress(OSError):
                part.unlink(missing_ok=True)


def _put_in_place(part: Path, path: Path, only_new: bool) -> None:
    if not only_new:
        part.replace(path)
        return
    try:
        os.link(part, path)  # fails where anything of this name stands, seen or not
    except FileExistsError:
        raise
    except OSError:  # a disk without links: a name is taken first, and filled by the rename
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        part.replace(path)


def refuse_link(path: Path) -> None:
    """Raise NotWritten for a link: written through, its target changes unasked; replaced, the link vanishes."""
    if path.is_symlink():
        raise NotWritten(f"{path} is a link. Put a plain file there. Nothing was changed")


def remove_whole(path: Path) -> None:
    """Remove a file. Raises NotWritten."""
    try:
        path.unlink()
        force_folder(path.parent)
    except OSError as error:
        raise not_written(path, error) from error


def own_umask() -> int:
    """The rights that this user's new files do not get."""
    mask = os.umask(0)
    os.umask(mask)
    return mask


def force_folder(folder: Path) -> None:
    """Force a rename to the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
