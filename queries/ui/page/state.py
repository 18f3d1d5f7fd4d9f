"""The state of a records folder: what is asked again of the same state has the same answer."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from datetime import date
from pathlib import Path

State = bytes
"""A digest over each file with its time of change (ns) and its size (bytes)."""


def state_of(folder: Path) -> State:
    """The state of a folder as it is now, and the day: clubs' times of sharing are held against it."""
    said = f"{date.today()} {sorted(_files(str(folder), len(str(folder))))}"
    return hashlib.blake2b(said.encode("utf-8", "surrogatepass"), digest_size=20).digest()


def _files(folder: str, base: int) -> Iterator[tuple[str, int, int]]:
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    yield from _files(entry.path, base)
                elif not entry.name.endswith(".lock"):
                    found = entry.stat()
                    yield entry.path[base:], found.st_mtime_ns, found.st_size
    except OSError:
        return
