"""What a prepared copy was made of, kept in it so that a change of few rows need not make it anew."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

import msgspec

from knockon.graph.model.build import Recorded
from knockon.graph.tables.files import RawTable

DIGEST = 16
THING = "part"
"""The column of a feature's table that names its thing."""
PLAIN = frozenset({"parts", "sources", "offers", "claims"})
"""The tables beside those of features whose changes of few rows are put into a copy."""
PLAIN_FILES = frozenset(f"{table}.csv" for table in PLAIN)
RowsOf = tuple[tuple[str, ...], list[tuple[bytes, str]]]
"""The header of a table, and of each row a digest and its thing (blank: it has none)."""


class MadeOf(msgspec.Struct, frozen=True):
    """What records were made of, beside what they say: the rows of tables that may change by file, what is recorded of
    things before drawings, and as which kinds the features of each part type are recorded, by name."""

    rows: dict[str, RowsOf]
    recorded: Recorded
    usual: dict[str, dict[str, list[str]]]
    kinds: dict[str, list[str]]
    """As which kinds features of a name are recorded, on anything."""
    noted: dict[str, frozenset[str]] = msgspec.field(default_factory=dict)
    """What is there by notes alone: names by table, and as ``features`` the things of which notes record some."""


class Kept(msgspec.Struct, frozen=True):
    """The same as it is kept in a copy, beside larger pieces: a name for the content of each table and of each file of
    RDF ``beside`` them, the headers of the tables; ``times``: how often a copy was made from another since all was
    read."""

    tables: dict[str, str]
    beside: dict[str, str]
    headers: dict[str, tuple[str, ...]]
    on_item: frozenset[str]
    usual: dict[str, dict[str, list[str]]]
    kinds: dict[str, list[str]]
    noted: dict[str, frozenset[str]]
    times: int = 0


def digest_of(cells: tuple[str, ...]) -> bytes:
    """What tells a row from every other."""
    return hashlib.blake2b("\0".join(cells).encode(), digest_size=DIGEST).digest()


def rows_of(tables: Iterable[RawTable]) -> dict[str, RowsOf]:
    """The rows of the tables of features and of ``PLAIN`` ones by file."""
    found: dict[str, RowsOf] = {}
    for raw in tables:
        if raw.file == "sources.csv":
            found[raw.file] = raw.header, [(digest_of(cells), "") for _, cells in raw.rows]
        elif THING in raw.header and (raw.file.startswith("features/") or raw.file in PLAIN_FILES):
            at = raw.header.index(THING)
            found[raw.file] = raw.header, [(digest_of(cells), cells[at]) for _, cells in raw.rows]
    return found
