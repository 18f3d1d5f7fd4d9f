"""Several tables that are written as one: what a reader sees of them while they are put in their places.

An import writes its tables beside the old ones, each with a copy of the old one, then a list of what is to be renamed
to what, then renames. Once the list stands, the new tables are the records: whoever reads before the last rename reads
those that still lie beside. Where one was killed between the list and its renames and somebody then edited an old table
by hand, that table is read with both.
"""

from __future__ import annotations

from pathlib import Path

import msgspec

from knockon.graph.files.errors import RecordsError
from knockon.graph.files.plain import MOST_BYTES, content_of, why_not

LIST = ".knockon.pending.json"
STAGED = ".staged"
LONGEST_LIST = 1024 * 1024


class Waiting(msgspec.Struct, frozen=True):
    """A table that lies beside its place: the new one, and what stood in the place before (None: nothing)."""

    place: Path
    beside: Path
    was: Path | None

    def content(self) -> bytes:
        """What the place holds once the import is done. Raises OSError, and RecordsError where a hand's edit and the
        import cannot both be kept."""
        imported, was = content_of(self.beside), content_of(self.was) if self.was is not None else None
        try:
            edited = content_of(self.place)
        except FileNotFoundError:
            edited = None
        if edited in (was, imported) or edited is None:
            return imported
        from knockon.graph.tables.edited_meanwhile import CannotBeBoth, both

        try:
            return both(was, imported, edited)
        except CannotBeBoth as error:
            raise RecordsError(
                f"{self.place} was edited after an import into it was cut short, and {error}. The import's table is"
                f" {self.beside.name} beside it. Keep what you need of both in {self.place.name}, then delete the other"
            ) from error


def pending(folder: Path) -> dict[Path, Waiting]:
    """The tables that still lie beside their places, by place. Raises RecordsError."""
    path = folder / LIST
    try:
        listed = msgspec.json.decode(content_of(path, LONGEST_LIST))
        entries = [(str(place), *_names(beside)) for place, beside in listed.items()]
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise RecordsError(f"{path} cannot be read: {why_not(error)}") from error
    except (ValueError, AttributeError, RecursionError) as error:
        raise RecordsError(f"{path} cannot be read: {error}") from error
    for place, beside, was in entries:
        good = _is_inside(place) and _is_record(place) and _is_staged(beside) and (not was or _is_staged(was))
        if not good:
            raise RecordsError(f"{path} names something other than records of this folder")
    found = (Waiting(folder / p, folder / b, folder / w if w else None) for p, b, w in entries)
    return {w.place: w for w in found if w.beside.is_file()}


def _names(beside: object) -> tuple[str, str]:
    new, was = beside if isinstance(beside, list) and len(beside) == 2 else (beside, "")
    return str(new), str(was)


def _is_record(name: str) -> bool:
    """Whether it is a table, or what happened to a plan, which is written with the tables that it changes."""
    return name.endswith(".csv") or (name.startswith("jobs/") and name.endswith(".json"))


def _is_staged(name: str) -> bool:
    return _is_inside(name) and name.endswith(STAGED)


def _is_inside(name: str) -> bool:
    parts = name.split("/")
    return len(parts) <= 2 and all(p not in ("", ".", "..") for p in parts) and "\\" not in name and ":" not in name


def settled_content(path: Path, folder: Path, most: int = MOST_BYTES) -> bytes:
    """What the table at ``path`` holds, also while an import puts it there. Raises OSError, RecordsError."""
    waiting = pending(folder).get(path)
    if waiting is not None:
        try:
            return waiting.content()
        except FileNotFoundError:  # put in its place meanwhile
            pass
    return content_of(path, most)
