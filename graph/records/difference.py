"""What is other in one table than when a prepared copy was made, and what a copy is made from."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from functools import cached_property
from pathlib import Path

import msgspec

from knockon.graph.files.shelf import Keyed, Pieces
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Table
from knockon.graph.model.things import Feature, Part, Source
from knockon.graph.records.made_of import DIGEST, THING, Kept, digest_of
from knockon.graph.tables.files import RawTable, parse_table
from knockon.graph.tables.pending import settled_content
from knockon.graph.tables.read import Reader
from knockon.graph.tables.rows import Names, Row, disagreeing, parts_of

Features = dict[str, Feature]


class NotAlone(Exception):
    """A change has, or may have, effects beyond what can be put into a copy."""


class Base(msgspec.Struct):
    """An earlier copy, and what is known of the new one so far: its sources, the parts that are new or other."""

    pieces: Pieces
    kept: Kept
    catalogue: Catalogue
    sources: dict[str, Source]
    parts: dict[str, Part] = msgspec.field(default_factory=dict)

    def is_there(self, table: str, name: str) -> bool:
        """Whether rows of tables may name this; what notes alone have given a name they may not."""
        if name in self.kept.noted.get(table, ()):
            return False
        known: Mapping[str, Collection[str]] = {
            "parts": self.parts.keys(),
            "sources": self.sources.keys(),
        }
        before: Mapping[str, Collection[str]] = {
            "parts": self.catalogue.parts,
            "vehicles": self.catalogue.vehicles,
            "suppliers": self.catalogue.suppliers,
        }
        return name in known.get(table, ()) or name in before.get(table, ())

    def part(self, number: str) -> Part | None:
        """A part as it is now."""
        return self.parts.get(number) or self.catalogue.parts.get(number)

    def names_of(self, texts: Mapping[str, Iterable[str]]) -> Names:
        """Of the names that rows use, by table, those that they may."""
        keys = {t: {name for name in names if self.is_there(t, name)} for t, names in texts.items()}
        return Names(keys, defaultdict(lambda: defaultdict(set)))

    def rows(self, difference: Difference, shape: Table, wanted: Callable[[tuple[str, ...]], bool]) -> list[Row]:
        """The rows of a plain table that are wanted, as they are now, read. Raises NotAlone if one has a fault."""
        raw = difference.some(wanted)
        header = raw.header
        used: dict[str, set[str]] = {}
        for column in shape.columns:
            if column.refers_to and column.name in header:
                at = header.index(column.name)
                texts = {text for _, cells in raw.rows if cells[at] for text in parts_of(column, cells[at])}
                for table in column.refers_to:
                    used.setdefault(table, set()).update(texts)
        reader = Reader(self.catalogue.vocabulary)
        rows = reader.some_rows(raw, shape, self.names_of(used))
        if reader.findings or any(True for _ in disagreeing(rows)):
            raise NotAlone
        return rows


class Difference:
    """The rows of a table as they are now beside those of which a copy was made."""

    def __init__(self, raw: RawTable, pieces: Pieces) -> None:
        self.raw = raw
        told = bytes(pieces[f"rows {raw.file}"])
        before = [told[i : i + DIGEST] for i in range(0, len(told), DIGEST)]
        self.digests = [digest_of(cells) for _, cells in raw.rows]
        self._gone, self._come = Counter(before) - Counter(self.digests), Counter(self.digests) - Counter(before)
        things = pieces.get(f"things {raw.file}")
        self.ranks = dict(zip(before, things.cast("Q"), strict=True)) if things is not None else {}
        self._before = before

    @property
    def has_lost(self) -> bool:
        """Whether a row is gone, or other."""
        return bool(self._gone)

    def is_new(self, cells: tuple[str, ...]) -> bool:
        """Whether a row was not there before."""
        return digest_of(cells) in self._come

    @cached_property
    def at(self) -> int:
        """Where the column of things stands."""
        return self.raw.header.index(THING)

    def things_gone(self, names: Keyed[Features]) -> set[str]:
        """The things of rows that went; ``names``: by whose ranks they are known."""
        return {names.key_of(self.ranks[digest]) for digest in self._gone}

    @cached_property
    def things_come(self) -> set[str]:
        """The things of rows that came."""
        rows = zip(self.digests, self.raw.rows, strict=True)
        return {cells[self.at] for digest, (_, cells) in rows if digest in self._come}

    def things(self, names: Keyed[Features]) -> frozenset[str]:
        """The things of rows that came, or went."""
        return frozenset(self.things_gone(names) | self.things_come)

    def some(self, wanted: Callable[[tuple[str, ...]], bool]) -> RawTable:
        """The table with the rows that are wanted."""
        rows = tuple(row for row in self.raw.rows if wanted(row[1]))
        return RawTable(self.raw.file, self.raw.table, self.raw.header, rows)


def table_of(folder: Path, file: str, told: str) -> RawTable | None:
    """A table as it was told; None where it is other by now, or has a fault."""
    path = folder / file
    try:
        content = settled_content(path, folder)
        text = content.decode("utf-8-sig")
    except (OSError, ValueError):
        return None
    findings: list[Finding] = []
    raw = parse_table(text, file, path.stem, findings)
    return None if findings or hashlib.sha256(content).hexdigest() != told else raw
