"""Where RDF stands in a records folder. Nothing is imported here: every command looks at these files."""

from __future__ import annotations

from pathlib import Path

NOTES, CLUBS = "notes", "clubs"


def note_files(folder: Path) -> list[Path]:
    """The files of notes that were added and withdrawn, in order of name."""
    return sorted((folder / NOTES).glob("*.nq"))


def club_files(folder: Path) -> list[Path]:
    """The files of the merged clubs, in order of name."""
    return sorted((folder / CLUBS).glob("*.nq"))


def rdf_files(folder: Path) -> list[Path]:
    """All of them, in a fixed order."""
    return [*note_files(folder), *club_files(folder)]
