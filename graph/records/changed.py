"""A prepared copy made from an earlier one of the same folder, in which some rows were other, or notes fewer.

A size corrected, a part added with its features, a price list, a note: what else the copy says stays as it is, if what
changed can have no effect beyond its own things. It can have none where this holds; else everything is read anew:

- Nothing was wrong with the records before, and nothing is wrong with the rows that changed. Every other row is as it
  was: it is checked by itself, against names (some came, none went), and against what is recorded of features.
- What is recorded of features, as other rows are checked against it, is the same: no feature is gone, and one that is
  new has a name and a kind that things of the same part types had, and a name that no other kind has (``_is_usual``).
- Rows of features are of parts, and nobody read these on the item, so that no reading is bound to a thing anew.
- Whatever takes features over from these parts are parts too, by their drawings; theirs are merged anew, as always.
- Of offers, claims, sources and parts ``changed_plain`` says what may change, of notes ``changed_notes``.

A property test holds a copy made so to what is read anew, for all sorts of changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from pathlib import Path

import msgspec

from knockon.graph.files.shelf import Keyed, Pieces, all_moved, edited, numbers
from knockon.graph.model.bound import with_readings
from knockon.graph.model.build import features_of
from knockon.graph.model.drawings import merged
from knockon.graph.model.schema import Table
from knockon.graph.model.things import Feature, Note
from knockon.graph.records import changed_notes as by_notes
from knockon.graph.records import changed_plain as plain
from knockon.graph.records.changed_postings import claimed_now, postings_now
from knockon.graph.records.difference import Base, Difference, Features, NotAlone, table_of
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
from knockon.graph.records.made_of import Kept
from knockon.graph.tables.read import Reader
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import Names
from knockon.graph.tables.stated import FeatureRow, FromTables, ReadTables

MOST_THINGS = 2000
"""If more parts changed, everything is read anew."""
MOST_TIMES = 40
"""Times that a copy is made from another: what it does not need any more stays in it."""
Told = Mapping[str, str]
"""Names of the contents of files."""


def made_anew(folder: Path, tables: Told, beside: Told, pieces: Pieces) -> dict[str, bytes | memoryview] | None:
    """The pieces of a copy for a folder whose tables, and notes beside them, hold this, from those of an earlier copy;
    None where that cannot be told from what changed alone. Raises RecordsError as reading a table does."""
    kept = msgspec.msgpack.decode(pieces["made of"], type=Kept) if "made of" in pieces else None
    if kept is None or kept.times >= MOST_TIMES or kept.tables.keys() != tables.keys():
        return None
    if any(beside.get(file) != told for file, told in kept.beside.items()):
        return None
    other = [file for file, told in tables.items() if kept.tables[file] != told]
    notes = [file for file in beside if file not in kept.beside]
    if not all(file in kept.headers for file in other) or not all(file.startswith("notes/") for file in notes):
        return None
    found = [table_of(folder, file, tables[file]) for file in other]
    if any(raw is None or raw.header != kept.headers[raw.file] for raw in found):
        return None
    try:
        change = _Change(pieces, kept, [Difference(raw, pieces) for raw in found if raw is not None])
        change.put_notes(folder, {file: beside[file] for file in notes})
        return change.pieces(dict(tables), dict(beside))
    except NotAlone:
        return None


class _Change:
    """The rows that are other than they were, and what they change."""

    def __init__(self, pieces: Pieces, kept: Kept, differences: Iterable[Difference]) -> None:
        self.kept = kept
        self.catalogue, findings = of_pieces(pieces)
        if findings or self.catalogue.set_aside:
            raise NotAlone
        self.base = Base(pieces, kept, self.catalogue, dict(self.catalogue.sources))
        self.differences = {d.raw.file: d for d in differences}
        self.own = some_features(pieces, OWN)
        self.taken_over = Keyed(pieces, TAKEN_OVER, msgspec.msgpack.Decoder(tuple[str, ...]).decode)
        self.notes: dict[str, Note] = {}
        self.noted: dict[str, frozenset[str]] = {}
        if "sources.csv" in self.differences:
            plain.sources_come(self.base, self.differences["sources.csv"])
        parts = self.differences.get("parts.csv")
        self.new = plain.parts_come(self.base, parts, self._drawn) if parts else frozenset()
        self.said: dict[str, Features] = {}
        """What the rows of features that changed, and notes, say of each thing."""
        self.kinds: dict[str, set[str]] = {}
        """The kinds of which all that tables say of a thing is read anew."""
        self._read_features()

    @property
    def _drawn(self) -> Keyed[Features]:
        found = self.catalogue.features
        assert isinstance(found, Keyed)
        return found

    def _read_features(self) -> None:
        shapes = {kind.table: kind for kind in self.catalogue.vocabulary.kinds.values()}
        rows: list[FeatureRow] = []
        for file, difference in self.differences.items():
            if not file.startswith("features/"):
                continue
            kind = shapes[difference.raw.table]
            things = difference.things(self._drawn)
            if len(things) > MOST_THINGS or not all(self.base.part(thing) for thing in things):
                raise NotAlone
            rows += self._rows(difference, kind, things)
            for thing in things:
                self.kinds.setdefault(thing, set()).add(kind.iri)
        self.said = self._features(rows)
        fixed = self.kept.on_item | self.kept.noted.get("features", frozenset())
        if any(thing in fixed for thing in self.kinds) or with_readings(self.said):
            raise NotAlone

    def _rows(self, difference: Difference, kind: Table, things: frozenset[str]) -> list[FeatureRow]:
        """The rows of these things in one table, read. Raises NotAlone if one has a fault."""
        raw = difference.some(lambda cells: cells[difference.at] in things)
        reader = Reader(self.catalogue.vocabulary)
        sources = {name for name in self.base.sources if self.base.is_there("sources", name)}
        every = Names({"parts": set(things), "items": set(), "set_members": set(), "sources": sources}, {})
        found = reader.some_features(raw, kind, every)
        if reader.findings:
            raise NotAlone
        return found

    def _features(self, rows: list[FeatureRow]) -> dict[str, Features]:
        vocabulary = self.catalogue.vocabulary
        read = ReadTables(vocabulary, [], [], rows, Names({}, {}), FeaturesAt(vocabulary))
        return features_of(FromTables(read), vocabulary, self.base.sources)

    def put_notes(self, folder: Path, files: Told) -> None:
        """Add what new notes say. Raises NotAlone."""
        if not files:
            return
        noted = by_notes.read_notes(folder, files, self.base)
        self.base.sources |= noted.sources
        self.notes = noted.notes
        self.noted = {"notes": frozenset(noted.notes), "sources": frozenset(noted.sources)}
        said = self._features(noted.features)
        if with_readings(said) or any(thing in self.kept.on_item or thing in self.kinds for thing in said):
            raise NotAlone
        self.noted["features"] = frozenset(said)
        for thing, features in said.items():
            own = self.own_of(thing)
            self.kinds[thing] = set()
            self.said[thing] = {n: by_notes.with_more(own[n], f) if n in own else f for n, f in features.items()}

    def own_of(self, thing: str) -> Mapping[str, Feature]:
        """The features that were recorded of a thing itself."""
        return self.own[thing] if thing in self.own else self.catalogue.features_of(thing)

    def _must_stand_alone(self) -> None:
        """Raise NotAlone if the change has an effect beyond the things of its rows and those drawn like them."""
        if not all(self.base.part(other) and (other in self.own or other in self.new) for other in self._drawn_alike):
            raise NotAlone
        if not all(self._is_usual(thing) for thing in (*self.kinds, *self.new)) or not self._sources_stay():
            raise NotAlone

    @cached_property
    def _over(self) -> dict[str, tuple[str, ...]]:
        """What takes features over from a thing, where new parts do."""
        found: dict[str, list[str]] = {}
        for number in sorted(self.new):
            if base := self.base.parts[number].drawn_as:
                found.setdefault(base, []).append(number)
        return {base: tuple(sorted({*(self.taken_over.get(base) or ()), *more})) for base, more in found.items()}

    @cached_property
    def _drawn_alike(self) -> tuple[str, ...]:
        """All that takes features over from the things of rows, directly or not."""
        found: dict[str, None] = {}
        waiting = sorted(self.kinds)
        while waiting:
            one = waiting.pop()
            over = self._over.get(one) or self.taken_over.get(one) or ()
            new = [t for t in over if t not in found]
            found |= dict.fromkeys(new)
            waiting += new
        return tuple(found)

    def _is_usual(self, thing: str) -> bool:
        """Whether a thing has lost no feature, and its new ones are such as others of its part types have; of a new
        part those of its drawing too."""
        before, now = self.own_of(thing), self.said.get(thing, {})
        read = self.kinds.get(thing, set())
        if any(feature.kind in read and name not in now for name, feature in before.items()):
            return False
        parts = (self.base.part(t) for t in (thing, *self._drawn_alike))
        types = {part.part_type for part in parts if part}
        for name, feature in now.items():
            if name in before:
                if before[name].kind != feature.kind:
                    return False
                continue
            if self.kept.kinds.get(name) != [feature.kind] or not self._has(types, name, feature.kind):
                return False
        drawing = self.base.parts[thing].drawn_as if thing in self.new else ""
        drawn = self.own_of(drawing) if drawing and drawing not in self.new else {}
        own = {self.base.parts[thing].part_type} if thing in self.new else set()
        return all(self._has(own, name, feature.kind) for name, feature in drawn.items())

    def _has(self, types: Iterable[str], name: str, kind: str) -> bool:
        return all(kind in self.kept.usual.get(t, {}).get(name, ()) for t in types)

    def _sources_stay(self) -> bool:
        """Whether each source that stated a size in the rows as they were does so now."""
        names = {(t, n) for t, own in self.said.items() for n in own}
        before = {s for t, n in names if n in self.own_of(t) for s in _sources(self.own_of(t)[n])}
        return before <= self._sized

    @cached_property
    def _sized(self) -> set[str]:
        return {s for own in self.said.values() for feature in own.values() for s in _sources(feature)}

    def pieces(self, tables: dict[str, str], beside: dict[str, str]) -> dict[str, bytes | memoryview]:
        """The pieces of the new copy. Raises NotAlone."""
        self._must_stand_alone()
        base, found = self.base.pieces, dict[str, bytes | memoryview](self.base.pieces)
        inserted = self._put_features(found)
        if self.base.parts:
            found |= plain.parts_now(self.base, self.new)
        for file, now in (("offers.csv", plain.offers_now), ("claims.csv", plain.claims_now)):
            if file in self.differences:
                found |= now(self.base, self.differences[file], self._drawn)
        found |= postings_now(self.base, found, {*self.kinds, *self.new, *self._drawn_alike})
        if "claims.csv" in self.differences:
            found |= claimed_now(self.base, found)
        if inserted:
            for name in base:
                if name.startswith("things "):
                    found[name] = numbers(all_moved(base[name].cast("Q"), inserted))
        self._put_rows(found, inserted)
        sized = self.catalogue.sources_with_sizes
        if not self._sized <= sized or self.notes or len(self.base.sources) > len(self.catalogue.sources):
            notes = by_notes.in_order(self.catalogue.notes | self.notes)
            found["small"] = small_with(base, sized | self._sized, by_notes.in_order(self.base.sources), notes)
        noted = {
            table: self.kept.noted.get(table, frozenset()) | self.noted.get(table, frozenset())
            for table in {*self.kept.noted, *self.noted}
        }
        kept = msgspec.structs.replace(self.kept, tables=tables, beside=beside, noted=noted, times=self.kept.times + 1)
        found["made of"] = msgspec.msgpack.encode(kept)
        return found

    def _put_features(self, found: dict[str, bytes | memoryview]) -> list[int]:
        """Put the features of the things into the pieces; before which ranks new things were put in."""
        base, own = self.base.pieces, dict[str, Mapping[str, Feature]]()
        for thing in {*self.kinds, *self.new}:
            read = self.kinds.get(thing, set())
            others = {n: f for n, f in self.own_of(thing).items() if f.kind not in read}
            both = others | self.said.get(thing, {})
            own[thing] = {name: both[name] for name in sorted(both)}
        done: dict[str, Mapping[str, Feature]] = {}

        def drawn(thing: str) -> Mapping[str, Feature]:
            if thing not in own and thing not in self._drawn_alike:
                return self.catalogue.features_of(thing)
            if thing not in done:
                mine, part = own[thing] if thing in own else self.own_of(thing), self.base.part(thing)
                done[thing] = merged(mine, drawn(part.drawn_as)) if part and part.drawn_as else mine
            return done[thing]

        for thing in (*own, *self._drawn_alike):
            drawn(thing)
        if not done:
            return []
        every = [feature for features in (*own.values(), *done.values()) for feature in features.values()]
        places, found["features data"] = with_features(base, every)
        pieces, inserted = edited(base, FEATURES, {t: named_features(places, features) for t, features in done.items()})
        found |= pieces
        drawn_by = {t for t in self.new if self.base.parts[t].drawn_as}
        kept_own = {t: named_features(places, own[t]) for t in own if t in self.own or t in drawn_by}
        found |= edited(base, OWN, kept_own)[0]
        if self._over:
            over: dict[str, bytes | None] = {b: msgspec.msgpack.encode(more) for b, more in self._over.items()}
            found |= edited(base, TAKEN_OVER, over)[0]
        return inserted

    def _put_rows(self, found: dict[str, bytes | memoryview], inserted: list[int]) -> None:
        names = Keyed({name: memoryview(piece) for name, piece in found.items()}, FEATURES, bytes)
        for file, difference in self.differences.items():
            found[f"rows {file}"] = b"".join(difference.digests)
            if file == "sources.csv":
                continue
            ranks = dict(zip(difference.ranks, all_moved(difference.ranks.values(), inserted), strict=True))
            for digest, (_, cells) in zip(difference.digests, difference.raw.rows, strict=True):
                if digest not in ranks:
                    ranks[digest] = names.rank_of(cells[difference.at])
            found[f"things {file}"] = numbers(map(ranks.__getitem__, difference.digests))


def _sources(feature: Feature) -> set[str]:
    """The sources that state a size of it, or that it is not there."""
    sized = {s.source for statements in feature.dimensions.values() for s in statements}
    return sized | {s.source for s in feature.absent}
