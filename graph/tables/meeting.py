"""Joints and figures against the features that are recorded: what can never be judged as it is written.

Nothing is set aside for it: a feature that nobody has recorded yet may be recorded tomorrow.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from difflib import get_close_matches

from msgspec.structs import replace

from knockon.graph.model.findings import Finding
from knockon.graph.model.layouts.ready_made import is_ready_made
from knockon.graph.model.schema import Table, Vocabulary
from knockon.graph.tables.cells import near, shown
from knockon.graph.tables.joint_ends import FEATURES, POSITIONS
from knockon.graph.tables.recorded import FeaturesAt, Recorded
from knockon.graph.tables.rows import Row

MISTYPED = 0.75
"""So like a recorded name that it is hardly another: one letter in four to six, or two of them changed over."""


def never_judged(
    rows: Iterable[Row], recorded: Recorded, standing: FeaturesAt, vocabulary: Vocabulary
) -> Iterator[Finding]:
    """Joints whose feature is mistyped; terms of a feature that nothing there has, or of a size that it has not."""
    rows = list(rows)
    joined: dict[tuple[str, str], set[str]] = defaultdict(set)
    ends: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    for row in rows:
        if row.shape.table == "joints":
            rule = vocabulary.rules[row.cells["rule"]]
            for position, feature, end in zip(POSITIONS, FEATURES, rule.ends, strict=True):
                joined[(row.cells["layout"], row.cells[position])].add(row.cells[feature])
                ends[(row.cells["layout"], row.cells[position], row.cells[feature])].add(end.kind)
            if rule.conditions:  # else nothing is measured, and nobody need have recorded the feature
                for column, end in zip(FEATURES, rule.ends, strict=True):
                    yield from _side(row, column, end.kind, recorded, vocabulary)
    for row in rows:
        if row.shape.table == "figure_terms" and not row.cells.get("assumed"):
            place = row.cells["layout"], row.cells["position"]
            there = standing.at(*place)
            said = _said(row, ends, vocabulary)
            kinds = there.get(row.cells["feature"]) or said or recorded.kinds.get(row.cells["feature"], set())
            named = joined[place] and not is_ready_made(row.file)  # that names features of which nobody has any yet
            misplaced = list(_place(row, {*there, *joined[place]})) if named else []
            elsewhere = not said and row.cells["feature"] not in there
            yield from misplaced or _term(row, kinds, vocabulary, elsewhere)


def _said(row: Row, ends: Mapping[tuple[str, str, str], set[str]], vocabulary: Vocabulary) -> set[str]:
    """The kinds of a term's feature as its row says, or the joints of its position."""
    named = row.cells.get("kind", "")
    by_name = {iri for iri, kind in vocabulary.kinds.items() if named and named in (iri, kind.label)}
    return by_name or ends.get((row.cells["layout"], row.cells["position"], row.cells["feature"]), set())


def _place(row: Row, names: set[str]) -> Iterator[Finding]:
    """A term of a feature that neither a thing that stands there has nor a joint of the position names."""
    if row.cells["feature"] not in names:
        problem = f"nothing at {shown(row.cells['position'])} has such a feature, so the figure is not known"
        found = row.finding("feature", problem, "one of " + ", ".join(sorted(names)), set_aside=False)
        yield replace(found, suggestions=near(row.cells["feature"], names))


def _side(row: Row, column: str, kind: str, recorded: Recorded, vocabulary: Vocabulary) -> Iterator[Finding]:
    name = row.cells[column]
    names = () if name in recorded.kinds else sorted(recorded.names.get(kind, ()))
    like = get_close_matches(name, names, cutoff=MISTYPED)
    if like:
        expected = f"the name of a feature of the kind {vocabulary.kinds[kind].label}"
        found = row.finding(column, "nothing has such a feature, so the joint is not known", expected, set_aside=False)
        yield replace(found, suggestions=tuple(like))


def _term(row: Row, found: Iterable[str], vocabulary: Vocabulary, elsewhere: bool) -> Iterator[Finding]:
    """A size that the feature has not. ``elsewhere``: only what stands in other places says of which kind it may be,
    which is little: the name may be that of another feature. It is a fault then if no kind has such a size."""
    kinds = [vocabulary.kinds[k] for k in sorted(found)]
    sizes = _sizes(kinds, vocabulary)
    every = _sizes(vocabulary.kinds.values(), vocabulary) if elsewhere else sizes
    if kinds and row.cells["dimension"] not in every:
        labels = " or ".join(k.label for k in kinds)
        problem = f"the feature is {shown(labels)}, which has no such size, so the figure is not known"
        found_one = row.finding("dimension", problem, "one of " + ", ".join(sizes), set_aside=False)
        yield replace(found_one, suggestions=near(row.cells["dimension"], sizes))


def _sizes(kinds: Iterable[Table], vocabulary: Vocabulary) -> list[str]:
    return sorted({s for kind in kinds for c in kind.columns for s in vocabulary.sizes_of(c)})
