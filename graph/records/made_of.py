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
RowsOf = tuple[tuple[str, ...], list[tuple[bytes, str]]]
"""The header of a table of features, and of each row a digest and its thing."""


class MadeOf(msgspec.Struct, frozen=True):
    """What records were made of, beside what they say: the rows of the feature tables by file, what is recorded of
    things before drawings, and as which kinds the features of each part type are recorded, by name."""

    rows: dict[str, RowsOf]
    recorded: Recorded
    usual: dict[str, dict[str, list[str]]]
    kinds: dict[str, list[str]]
    """As which kinds features of a name are recorded, on anything."""
    noted: frozenset[str] = frozenset()
    """The things of which notes record features."""


class Kept(msgspec.Struct, frozen=True):
    """The same as it is kept in a copy, beside larger pieces: a name for each table's content, the headers of the
    feature tables; ``times``: how often a copy was made from another since all was read."""

    tables: dict[str, str]
    headers: dict[str, tuple[str, ...]]
    on_item: frozenset[str]
    usual: dict[str, dict[str, list[str]]]
    kinds: dict[str, list[str]]
    noted: frozenset[str] = frozenset()
    times: int = 0


def digest_of(cells: tuple[str, ...]) -> bytes:
    """What tells a row from every other."""
    return hashlib.blake2b("\0".join(cells).encode(), digest_size=DIGEST).digest()


def rows_of(tables: Iterable[RawTable]) -> dict[str, RowsOf]:
    """The rows of the feature tables by file."""
    found: dict[str, RowsOf] = {}
    for raw in tables:
        if raw.file.startswith("features/") and THING in raw.header:
            at = raw.header.index(THING)
            found[raw.file] = raw.header, [(digest_of(cells), cells[at]) for _, cells in raw.rows]
    return found
