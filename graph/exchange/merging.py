"""Taking clubs' files in and out of a records folder: written whole or not at all, one writer at a time."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from knockon.graph.exchange.clubs import NotAClub, club_name, merged_clubs, read_club
from knockon.graph.exchange.versions import Merged, Quads, merged
from knockon.graph.files.atomic import NotWritten, remove_whole, sole_writer, write_whole
from knockon.graph.files.plain import content_of, why_not
from knockon.graph.files.rdf_files import CLUBS as CLUB_FOLDER
from knockon.graph.model.nearest import nearest
from knockon.graph.rdf.canonical import NotRdf, to_bytes


def said_before(folder: Path, club: str) -> Quads:
    """What the club's file in the folder says; nothing where there is none. Raises NotRdf."""
    path = folder / CLUB_FOLDER / f"{club_name(club)}.nq"
    return read_club(path) if path.exists() else []


def planned(folder: Path, incoming: Mapping[str, Quads], keep_old: bool = False) -> dict[str, Merged]:
    """What each club would say once its file is taken in; nothing is written. Raises NotRdf."""
    return {club: merged(said_before(folder, club), quads, club, keep_old) for club, quads in incoming.items()}


def merge_into(folder: Path, incoming: Mapping[str, Quads], keep_old: bool = False) -> dict[str, int]:
    """Take clubs' statements in; gives how many of each club are new. Raises NotRdf, NotWritten.

    Each club's file is written whole or not at all. With several clubs in one file each is written by itself: a
    process killed between two leaves the first in, and merging again brings the rest. Where the disk refuses one after
    another was written, that is no failure any more: the clubs that are in are given, the others are lacking.
    """
    added: dict[str, int] = {}
    with sole_writer(folder):
        contents = {}
        for club, quads in incoming.items():
            there = set(said_before(folder, club))
            now = merged(list(there), quads, club, keep_old).quads
            contents[club] = None if set(now) == there else to_bytes(now, "nq"), len(set(now) - there)
        written = False
        for club, (content, count) in contents.items():
            try:
                if content is not None:
                    write_whole(folder / CLUB_FOLDER / f"{club}.nq", content)
            except NotWritten:
                if not written:
                    raise
                continue
            added[club], written = count, written or content is not None
    return added


def remove_club(folder: Path, club: str) -> int:
    """Take a club out again; gives how many statements it had. Raises NotAClub, NotWritten."""
    with sole_writer(folder):
        path = folder / CLUB_FOLDER / f"{club_name(club)}.nq"
        if not path.exists():
            known = merged_clubs(folder)
            hint = f"; nearest: {', '.join(nearest(club, known))}" if nearest(club, known) else ""
            raise NotAClub(f"no club {club!r} has been merged here{hint}")
        try:
            count = len(content_of(path).splitlines())
        except OSError as error:
            raise NotRdf(f"{path} cannot be read: {why_not(error)}") from error
        remove_whole(path)
    return count
