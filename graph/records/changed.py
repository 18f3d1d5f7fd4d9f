"""A prepared copy made from an earlier one of the same folder, in which one table of features was other.

A size corrected, a part's feature added: what else the copy says stays as it is, if the rows that changed can have no
effect beyond their things. They can have none where this holds; else everything is read anew:

- Nothing was wrong with the records before, and nothing is wrong with the rows that changed. Every other row is as it
  was: it is checked by itself, against names (none changed), and against what is recorded of features.
- What is recorded of features, as other rows are checked against it, is the same: no feature is gone, and one that is
  new has a name and a kind that things of the same part types had, and a name that no other kind has (``_is_usual``).
- The rows are of parts, and nobody read these on the item, so that no reading is bound to a thing anew.
- Whatever takes features over from these parts are parts too, by their drawings; theirs are merged anew, as always.

A property test holds a copy made so to what is read anew, for all sorts of changes of single rows.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Mapping
from functools import cached_property
from pathlib import Path

import msgspec

from knockon.graph.files.shelf import Keyed, Pieces, appended, numbers
from knockon.graph.model.bound import with_readings
from knockon.graph.model.build import features_of
from knockon.graph.model.drawings import merged
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Table
from knockon.graph.model.things import Feature
from knockon.graph.records.kept import (
    FEATURES,
    OWN,
    TAKEN_OVER,
    named_features,
    of_pieces,
    small_with,
    some_features,
    with_features,
)
from knockon.graph.records.made_of import DIGEST, THING, Kept, digest_of
from knockon.graph.tables.files import RawTable, parse_table
from knockon.graph.tables.pending import settled_content
from knockon.graph.tables.read import Reader
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import Names
from knockon.graph.tables.stated import FeatureRow, FromTables, ReadTables

MOST_THINGS = 2000
"""If more parts changed, everything is read anew."""
MOST_TIMES = 40
"""Times that a copy is made from another: what it does not need any more stays in it."""
Features = dict[str, Feature]


def made_anew(folder: Path, tables: Mapping[str, str], pieces: Pieces) -> dict[str, bytes | memoryview] | None:
    """The pieces of a copy for a folder whose tables hold this, from those of an earlier copy; None where that cannot
    be told from the rows that changed alone. Raises RecordsError as reading a table does."""
    kept = msgspec.msgpack.decode(pieces["made of"], type=Kept) if "made of" in pieces else None
    if kept is None or kept.times >= MOST_TIMES or kept.tables.keys() != tables.keys():
        return None
    other = [file for file, told in tables.items() if kept.tables[file] != told]
    if len(other) != 1 or other[0] not in kept.headers:
        return None
    raw = _table(folder, other[0], tables[other[0]])
    if raw is None or raw.header != kept.headers[other[0]]:
        return None
    change = _Change(pieces, kept, raw)
    return change.pieces(dict(tables)) if change.stands_alone() else None


def _table(folder: Path, file: str, told: str) -> RawTable | None:
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


class _Change:
    """The rows of a table that are other than they were, and what they change."""

    def __init__(self, pieces: Pieces, kept: Kept, raw: RawTable) -> None:
        self.base, self.kept, self.raw = pieces, kept, raw
        self.catalogue, self.findings = of_pieces(pieces)
        kinds = {kind.table: kind for kind in self.catalogue.vocabulary.kinds.values()}
        self.kind: Table = kinds[raw.table]
        self.own = some_features(pieces, OWN)
        self.taken_over = Keyed(pieces, TAKEN_OVER, msgspec.msgpack.Decoder(tuple[str, ...]).decode)

    @cached_property
    def digests(self) -> list[bytes]:
        """Of each row now."""
        return [digest_of(cells) for _, cells in self.raw.rows]

    @cached_property
    def _before(self) -> tuple[list[bytes], list[int]]:
        """The same of each row before, and of each the rank of its thing."""
        told, ranks = bytes(self.base[f"rows {self.raw.file}"]), self.base[f"things {self.raw.file}"].cast("Q")
        return [told[i : i + DIGEST] for i in range(0, len(told), DIGEST)], ranks.tolist()

    @property
    def _drawn(self) -> Keyed[Features]:
        found = self.catalogue.features
        assert isinstance(found, Keyed)
        return found

    @cached_property
    def things(self) -> frozenset[str]:
        """The things of rows that came, or went."""
        at = self.raw.header.index(THING)
        before, ranks = self._before
        gone, come = Counter(before) - Counter(self.digests), Counter(self.digests) - Counter(before)
        went = {self._drawn.key_of(rank) for digest, rank in zip(before, ranks, strict=True) if digest in gone}
        rows = zip(self.digests, self.raw.rows, strict=True)
        return frozenset(went | {cells[at] for digest, (_, cells) in rows if digest in come})

    @cached_property
    def rows(self) -> list[FeatureRow] | None:
        """The rows of these things now, read; None if one has a fault."""
        at = self.raw.header.index(THING)
        rows = tuple(row for row in self.raw.rows if row[1][at] in self.things)
        sources = set(self.catalogue.sources)
        reader = Reader(self.catalogue.vocabulary)
        every = Names({"parts": set(self.things), "items": set(), "set_members": set(), "sources": sources}, {})
        raw = RawTable(self.raw.file, self.raw.table, self.raw.header, rows)
        found = reader.some_features(raw, self.kind, every)
        return None if reader.findings else found

    @cached_property
    def features(self) -> dict[str, Features]:
        """The features that these rows say the things to have, by thing."""
        vocabulary = self.catalogue.vocabulary
        read = ReadTables(vocabulary, [], [], self.rows or [], Names({}, {}), FeaturesAt(vocabulary))
        return features_of(FromTables(read), vocabulary, self.catalogue.sources)

    def own_of(self, thing: str) -> Mapping[str, Feature]:
        """The features that were recorded of a thing itself."""
        return self.own[thing] if thing in self.own else self.catalogue.features_of(thing)

    def stands_alone(self) -> bool:
        """Whether the change has no effect beyond the things of its rows and those drawn like them."""
        parts = self.catalogue.parts
        if self.findings or self.catalogue.set_aside or len(self.things) > MOST_THINGS:
            return False
        if not all(
            thing in parts and thing not in self.kept.on_item and thing not in self.kept.noted for thing in self.things
        ):
            return False
        if self.rows is None or with_readings(self.features):
            return False
        if not all(other in parts and other in self.own for other in self.drawn_alike):
            return False
        return all(self._is_usual(thing) for thing in self.things) and self._sources_stay()

    @cached_property
    def drawn_alike(self) -> tuple[str, ...]:
        """All that takes features over from the things, directly or not."""
        found: dict[str, None] = {}
        waiting = sorted(self.things)
        while waiting:
            new = [t for t in self.taken_over.get(waiting.pop()) or () if t not in found]
            found |= dict.fromkeys(new)
            waiting += new
        return tuple(found)

    def _is_usual(self, thing: str) -> bool:
        """Whether a thing has lost no feature, and its new ones are such as others of its part types have."""
        before, kind = self.own_of(thing), self.kind.iri
        now = self.features.get(thing, {})
        if any(feature.kind == kind and name not in now for name, feature in before.items()):
            return False
        types = {self.catalogue.parts[t].part_type for t in (thing, *self.drawn_alike)}
        for name in now.keys() - before.keys():
            if not all(kind in self.kept.usual.get(t, {}).get(name, ()) for t in types):
                return False
            if self.kept.kinds.get(name) != [kind]:
                return False
        return all(before[name].kind == kind for name in now.keys() & before.keys())

    def _sources_stay(self) -> bool:
        """Whether each source that stated a size in the rows as they were does so now."""
        names = {(t, n) for t, own in self.features.items() for n in own}
        before = {s for t, n in names if n in self.own_of(t) for s in _sources(self.own_of(t)[n])}
        now = {s for own in self.features.values() for feature in own.values() for s in _sources(feature)}
        return before <= now

    def pieces(self, tables: dict[str, str]) -> dict[str, bytes | memoryview]:
        """The pieces of the new copy."""
        found: dict[str, bytes | memoryview] = dict(self.base)
        own: dict[str, Mapping[str, Feature]] = {}
        for thing in self.things:
            others = {n: f for n, f in self.own_of(thing).items() if f.kind != self.kind.iri}
            both = others | self.features.get(thing, {})
            own[thing] = {name: both[name] for name in sorted(both)}
        done: dict[str, Mapping[str, Feature]] = {}

        def drawn(thing: str) -> Mapping[str, Feature]:
            if thing not in own and thing not in self.drawn_alike:
                return self.catalogue.features_of(thing)
            if thing not in done:
                mine, drawing = own[thing] if thing in own else self.own_of(thing), self.catalogue.parts[thing].drawn_as
                done[thing] = merged(mine, drawn(drawing)) if drawing else mine
            return done[thing]

        for thing in (*self.things, *self.drawn_alike):
            drawn(thing)
        places, data = with_features(self.base, [f for own_ in (*own.values(), *done.values()) for f in own_.values()])
        found["features data"] = data
        found |= appended(self.base, FEATURES, {t: named_features(places, own_) for t, own_ in done.items()})
        kept_own = {t: named_features(places, own_) for t, own_ in own.items() if t in self.own}
        found |= appended(self.base, OWN, kept_own)
        found |= self._rows_now()
        sized = self.catalogue.sources_with_sizes
        new = {s for own_ in self.features.values() for f in own_.values() for s in _sources(f)}
        if not new <= sized:
            found["small"] = small_with(self.base, sized | new)
        kept = msgspec.structs.replace(self.kept, tables=tables, times=self.kept.times + 1)
        found["made of"] = msgspec.msgpack.encode(kept)
        return found

    def _rows_now(self) -> dict[str, bytes]:
        at = self.raw.header.index(THING)
        ranks = dict(zip(*self._before, strict=True))
        for digest, (_, cells) in zip(self.digests, self.raw.rows, strict=True):
            if digest not in ranks:
                ranks[digest] = self._drawn.rank_of(cells[at])
        file = self.raw.file
        return {f"rows {file}": b"".join(self.digests), f"things {file}": numbers(ranks[d] for d in self.digests)}


def _sources(feature: Feature) -> set[str]:
    """The sources that state a size of it, or that it is not there."""
    sized = {s.source for statements in feature.dimensions.values() for s in statements}
    return sized | {s.source for s in feature.absent}
