"""What is raised where records cannot be used at all. Nothing is imported here: every room may raise it."""

from __future__ import annotations


class RecordsError(Exception):
    """The records folder cannot be used at all (missing, unreadable, not a folder of tables)."""
