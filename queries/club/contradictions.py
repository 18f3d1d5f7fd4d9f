"""Contradictions: where statements of one size share no value, where one source records a feature that another says
is absent, and where notes on one check disagree in outcome."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.beliefs import computing, share_a_value
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature, Note, Said, Statement
from knockon.queries.fits.checking.candidates import alike
from knockon.queries.fits.checking.note_checks import check_of

GOOD, BAD = ("worked", "made to fit"), ("failed",)
PRESENCE = "presence"
"""What stands for the dimension where sources disagree whether the feature is there at all."""
RECORDED, ABSENT = "recorded", "absent"


class SizeConflict(msgspec.Struct, frozen=True):
    """One dimension of which two statements share no value; ``things`` all have it (one drawing, several parts).

    The dimension is PRESENCE where some sources record the feature and others say that it is absent.
    """

    things: tuple[str, ...]
    feature: str
    dimension: str
    statements: tuple[Statement, ...]

    @property
    def equal_standing(self) -> bool:
        """Whether those of the best standing contradict each other."""
        return any(not share_a_value(a, b) for a, b in combinations(computing(self.statements), 2))


class NoteConflict(msgspec.Struct, frozen=True):
    """Notes on one joint or figure about the same parts, some saying that it went well, some that it failed."""

    check: str
    parts: tuple[str, ...]
    notes: tuple[Note, ...]


def is_sized(statement: Statement) -> bool:
    """Whether a statement says a size or a code."""
    return statement.low is not None or statement.high is not None or statement.code is not None


def size_conflicts(catalogue: Catalogue) -> tuple[SizeConflict, ...]:
    """All contradictions of sizes, each once, those of equal standing first.

    A reading on a particular thing stands before its number's sizes and contradicts only other readings on it.
    """
    found: dict[tuple[str, str, tuple[Statement, ...]], list[str]] = defaultdict(list)
    for thing, features in catalogue.features.items():
        for feature in features.values():
            for dimension, statements in (*_conflicts(feature), *_presence(feature)):
                found[(feature.name, dimension, statements)].append(thing)
    conflicts = [SizeConflict(tuple(sorted(things)), f, d, s) for (f, d, s), things in found.items()]
    return tuple(sorted(conflicts, key=lambda c: (not c.equal_standing, c.things, c.feature, c.dimension)))


def _conflicts(feature: Feature) -> Iterator[tuple[str, tuple[Statement, ...]]]:
    """The dimensions that are contradicted; of a thread, which is one dimension with several numbers, the first."""
    told: set[str] = set()
    for dimension, statements in feature.dimensions.items():
        sized = {s for s in statements if is_sized(s) and not s.of_number}
        if column_of(dimension) in told or all(share_a_value(a, b) for a, b in combinations(sized, 2)):
            continue
        told.add(column_of(dimension))
        yield dimension, tuple(sorted(sized, key=_own_first))


def _presence(feature: Feature) -> Iterator[tuple[str, tuple[Statement, ...]]]:
    """Who records the feature and who says that it is absent, if both are there."""
    stated = (s for statements in feature.dimensions.values() for s in statements if is_sized(s))
    there = {*(Said(s.source, s.rank, s.of_number) for s in stated), *feature.there}
    sides = [Statement(RECORDED, s.source, s.rank, code=RECORDED) for s in there if not s.of_number]
    sides += [Statement(ABSENT, s.source, s.rank, code=ABSENT) for s in set(feature.absent) if not s.of_number]
    if len({s.code for s in sides}) == 2:
        yield PRESENCE, tuple(sorted(sides, key=_own_first))


def _own_first(statement: Statement) -> tuple[int, bool, str, str]:
    """Best evidence first, one's own sources before those of clubs."""
    return statement.rank, ": " in statement.source, statement.source, statement.written


def note_conflicts(catalogue: Catalogue) -> tuple[NoteConflict, ...]:
    """All notes that disagree in outcome, each group once.

    That parts went well together, without a word of where, speaks of each place where others say that they failed.
    """
    groups: dict[tuple[str, tuple[str, ...]], list[Note]] = defaultdict(list)
    for note in catalogue.notes.values():
        if note.outcome in (*GOOD, *BAD) and note.parts:
            groups[(check_of(catalogue, note), tuple(sorted({alike(catalogue, p) for p in note.parts})))].append(note)
    found = []
    for (check, parts), notes in sorted(groups.items()):
        if check:
            notes = notes + [n for n in groups.get(("", parts), ()) if n.outcome in GOOD]
        outcomes = {n.outcome in BAD for n in notes}
        if len(outcomes) == 2:
            ordered = sorted(notes, key=lambda n: (n.outcome not in BAD, n.note))
            found.append(NoteConflict(check, parts, tuple(ordered)))
    return tuple(found)


def believing(catalogue: Catalogue, conflict: SizeConflict, source: str, written: str) -> Catalogue:
    """The catalogue as it would be if only this statement of the contradicted size were there, at the best standing:
    what changes is the size, not how good the evidence is."""
    best = min(s.rank for s in conflict.statements)
    base = column_of(conflict.dimension)
    features: dict[str, dict[str, Feature]] = {}
    for thing in conflict.things:
        own = catalogue.features[thing]
        feature = own[conflict.feature]
        if conflict.dimension == PRESENCE:
            there = replace(feature, absent=())
            gone = replace(feature, dimensions={}, absent=(Said(source, best),), there=())
            features[thing] = {**own, feature.name: gone if written == ABSENT else there}
            continue
        dimensions = {
            d: v
            if column_of(d) != base
            else tuple(replace(s, rank=best) for s in v if (s.source, s.written) == (source, written))
            for d, v in feature.dimensions.items()
        }
        features[thing] = {**own, feature.name: replace(feature, dimensions=dimensions)}
    return catalogue.with_sizes(features)
