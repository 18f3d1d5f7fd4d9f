"""The user's cache folder: what took work to make is kept there under a name that says what it was made of.

A copy can be deleted at any time. It holds data only, is written whole or not at all, and only the newest ones stay.
"""

from __future__ import annotations

import os
from pathlib import Path

MOST_COPIES = 12


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


def keep_copy(name: str, content: bytes) -> None:
    """Keep a copy, whole or not at all, and the newest others with its ending; a cache that cannot be written is no
    error."""
    folder = folder_of_copies()
    if folder is None:
        return
    import tempfile

    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content)
            os.replace(part, folder / name)
        finally:
            Path(part).unlink(missing_ok=True)  # gone already, unless writing failed
        copies = sorted(folder.glob(f"*{Path(name).suffix}"), key=lambda p: p.stat().st_mtime)
        for old in copies[:-MOST_COPIES]:
            old.unlink(missing_ok=True)
    except OSError:
        return
