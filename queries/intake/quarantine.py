"""The quarantine: what was not loaded, what hangs on it, and loading a row as a person says that it is meant."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from pathlib import Path

import msgspec

from knockon.graph.mapping import Target, targets
from knockon.graph.mapping.cells_read import ReadAs
from knockon.graph.mapping.statements import kept_table, record_table
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.quarantine import Entry, read_book, read_kept
from knockon.graph.records import RecordsError
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.intake.sheets import imports
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.keeping import Place
from knockon.queries.intake.sheets.reading import NOW_AND_THEN, WHOLE_ROW
from knockon.queries.intake.sheets.tables import WAITING
from knockon.queries.intake.would_read import Hangs, Waiting
from knockon.queries.plan.asked_swaps import asked_swaps
from knockon.queries.plan.solving.patience import Patience


class RestOfRow(msgspec.Struct, frozen=True):
    """A cell of a row in quarantine with which nothing is wrong; it waits all the same."""

    column: str
    written: str


class Listed(msgspec.Struct, frozen=True):
    """One entry of the quarantine by its name, which does not shift, and the answers that hang on it.

    ``rest``: the cells of its row that were read, and that wait with it. ``may_be_unknown``: the row can be taken
    with this cell as not known, by the choice 0.
    """

    name: str
    entry: Entry
    hangs: tuple[Waiting, ...]
    rest: tuple[RestOfRow, ...] = ()
    may_be_unknown: bool = False


class Accepted(msgspec.Struct, frozen=True):
    """What came of a choice: whether the row is loaded now, and what is still wrong with it."""

    row: int
    column: str
    written: str
    chosen: str
    loaded: bool
    left: tuple[str, ...]


class QuarantineAnswer(Answer, frozen=True):
    """All entries of a records folder's quarantine, how many rows they belong to, and the choices just made.

    ``not_read``: why the records could not be read again after that; what hangs on the entries is not known then.
    """

    rows: int
    entries: tuple[Listed, ...]
    accepted: tuple[Accepted, ...] = ()
    not_read: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def list_quarantine(
    folder: Path,
    catalogue: Catalogue,
    accepted: Sequence[Accepted] = (),
    progress: imports.Progress = imports.unseen,
    patience: Patience | None = None,
) -> QuarantineAnswer:
    """The quarantine of a records folder. Raises RecordsError.

    Cost: the checks that would read each size in it, and a plan for each of the first few swaps that the records
    suggest.
    """
    entries = read_book(folder)
    hangs = Hangs(catalogue, asked_swaps(catalogue, patience=patience).planned if entries else ())
    known, found = targets(catalogue.vocabulary), []
    kept = read_kept(folder) if entries else ()
    loaded = {(*k.place[:3], kept_table(k.table)) for k in kept if k.flags != WAITING}
    bad: dict[Place, set[str]] = defaultdict(set)
    for entry in entries:
        bad[entry.place].add(entry.column)
    for number, (name, entry) in enumerate(zip(names_of(entries), entries, strict=True), 1):
        target = known.get(record_table(entry.table))
        written = row_of(entry)[0]
        columns = [c.name for c in target.columns] if target else list(written)
        own = bad[entry.place]
        if WHOLE_ROW in own or entry.place in loaded:  # which cell is which is not known, or they are loaded
            columns = []
        rest = tuple(RestOfRow(c, written[c]) for c in columns if written.get(c) and c not in own)
        found.append(Listed(name, entry, hangs.on(entry), rest, may_be_unknown(target, entry.column)))
        if number % NOW_AND_THEN == 0:
            progress(number, len(entries))
    return QuarantineAnswer(
        len({e.place for e in entries}), tuple(found), tuple(accepted), cautions=short_cautions_on(catalogue)
    )


def may_be_unknown(target: Target | None, column: str) -> bool:
    """Whether a cell may be taken as not known: the sizes of a feature, not what says whose it is."""
    return target is not None and target.shape.is_kind and any(c.name == column for c in target.shape.columns)


def row_of(entry: Entry) -> tuple[dict[str, str], dict[str, ReadAs]]:
    """The raw cells of an entry's row and how they are read. Raises RecordsError where they were tampered with."""
    try:
        cells, context = json.loads(entry.cells), json.loads(entry.context)
        return {str(k): str(v) for k, v in cells.items()}, {str(k): ReadAs(**v) for k, v in context.items()}
    except (ValueError, TypeError, AttributeError) as error:
        raise RecordsError(f"the quarantine's entry of row {entry.row} cannot be read: {error}") from error
