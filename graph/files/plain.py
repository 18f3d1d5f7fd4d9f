"""Files of a records folder, opened with care: only plain files are read, and a folder that cannot be looked into is
no empty one.

A pipe would keep its reader waiting, a device has no end, and a folder that may not be listed would turn what it holds
into "nothing recorded" without a word.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from knockon.graph.files.errors import RecordsError

MOST_BYTES = 512 * 1024 * 1024
_SORTS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)


def files_in(folder: Path, ending: str) -> list[Path]:
    """What stands in a folder under names that end so, in order of name; nothing where there
    is no such folder.

    Whether each is a file that can be read shows when it is read. Raises RecordsError where the folder is there and
    cannot be looked into.
    """
    try:
        with os.scandir(folder) as entries:
            names = [e.name for e in entries if e.name.endswith(ending)]
    except FileNotFoundError:
        if folder.is_symlink():
            raise RecordsError(f"{folder} is a link that leads nowhere. Correct the link or remove it") from None
        return []
    except OSError as error:
        why = error.strerror or str(error)
        raise RecordsError(f"{folder} cannot be opened ({why}). Nothing in it was read") from error
    return [folder / name for name in sorted(names)]


def content_of(path: Path, most: int = MOST_BYTES) -> bytes:
    """The bytes of a plain file, through a link too.

    Raises OSError for what cannot be opened, is no plain file (a pipe, a device, a folder) or holds more than ``most``
    bytes; its ``strerror`` says so in words.
    """
    # O_NONBLOCK: a pipe that nobody writes to would keep its reader waiting for ever.
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
    if path.is_dir():  # on some systems opening one is "not permitted", which would mislead
        raise IsADirectoryError(0, "it is a folder, not a file", str(path))
    handle = os.open(path, flags)
    with os.fdopen(handle, "rb") as stream:
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            sort = next((name for test, name in _SORTS if test(status.st_mode)), "something else")
            raise OSError(0, f"it is {sort}, not a file", str(path))
        if status.st_size > most:
            raise OSError(0, f"it is larger than {most} bytes", str(path))
        content = stream.read(status.st_size + 1)  # not most: room for all that is asked is made before it is read
        if len(content) > status.st_size:
            content += stream.read(most + 1 - len(content))
    if len(content) > most:  # it grew meanwhile, or its size is not told
        raise OSError(0, f"it is larger than {most} bytes", str(path))
    return content


def why_not(error: OSError) -> str:
    """An error of opening or reading in words."""
    return error.strerror or str(error)
