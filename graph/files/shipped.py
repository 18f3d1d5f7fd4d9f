"""Files that are installed with the modules: vocabulary, layouts, standards' tables, the demo records."""

from __future__ import annotations

from pathlib import Path

# Not importlib.resources: its own modules cost a short command as much as all of its tables, and records are folders
# for whoever reads them, so that the package has to lie unpacked anyway.
_PACKAGE = Path(__file__).parents[2]


def shipped(*names: str) -> Path:
    """The file or folder under ``knockon`` with this path: ``shipped("graph", "vocabulary")``."""
    return _PACKAGE.joinpath(*names)
