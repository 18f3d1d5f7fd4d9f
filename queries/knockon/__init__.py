"""knockon: which parts go together, and what a swap forces and why.

``knockon.open("mine")`` opens a records folder for a script or a notebook: see ``knockon.queries.opened``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from knockon.queries.opened import Opened

__all__ = ["__version__", "open"]
__version__ = "0.1.0"


def open(  # noqa: A001 - as it reads: knockon.open("mine")
    folder: str | Path | None = None, *, without: str | Sequence[str] = ()
) -> Opened:
    """Open a records folder to ask it questions; without one the demo world, which is invented.

    ``without`` names sources and merged clubs whose statements are left out. Raises RecordsError.
    """
    from knockon.queries.opened import open_records  # the command line asks for the version alone

    return open_records(folder, without=without)
