"""A flat sheet: a row a part, and its sizes of several features side by side. It fills several tables in one go.

A title names the feature and the dimension, in any order: ``stub spline teeth``, ``journal dia``, ``end thread``. Which
features there are, and which part types have them, is read from the records. A title that could be two of them is left,
and both are named.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import lru_cache

import msgspec
from msgspec.structs import replace

from knockon.graph.mapping.model import CONDITION, LISTED_FOR, SUPERSEDED_BY, ColumnMap, Target
from knockon.graph.mapping.model import Mapping as OfSheet
from knockon.graph.mapping.propose import OTHER_WORDS, Proposal, propose
from knockon.graph.mapping.titles import telling_words, words_of_title
from knockon.graph.model.nearest import Others, meanings
from knockon.graph.sheets import Head, Sheet

FEWEST = 2
"""A sheet whose titles name so many features is flat."""
WHOLE, PART_OF, MORE, OF_PART = 100.0, 84.0, 90.0, 83.0
"""Likeness of a title that says a feature's name, some of its words, words of its part or kind as well, or only the
part type that has the feature."""
SHORT = 0.5
"""How much less alike a title is that says a dimension with fewer words than it has: ``major`` for major diameter."""
MOSTLY = 0.5
"""The share of a column's cells that are part types, from which it is a column of part types."""
SHARED = ("part", "source", CONDITION)
"""Columns that each table of a flat sheet takes over, where it has them."""
PLAIN = ("parts", "offers")
"""The plain tables that a flat sheet may fill beside its features, in the order in which they are read."""
Feature = tuple[str, str]
"""A feature's name and its table."""


class Column(msgspec.Struct, frozen=True, order=True):
    """Where one title of a flat sheet may lead."""

    feature: str
    table: str
    name: str

    def __str__(self) -> str:
        return f"{self.feature}, {self.name} ({self.table})"


def propose_flat(
    sheet: Sheet,
    head: Head,
    known: Mapping[str, Target],
    features: Mapping[str, Collection[Feature]],
    types: Mapping[str, str],
    labels: Others,
    fixed: tuple[tuple[str, str], ...],
) -> tuple[Proposal, ...]:
    """The mappings of a flat sheet, plain tables first; none where its titles name fewer than two features.

    ``features``: by part type what its parts have; ``types``: the part types of recorded parts;
    ``labels``: all part types, with what else the trade calls them.
    """
    rows = [cells for number, cells in sheet.rows if number > head.last]
    named = _part_types(rows, features, types, labels)
    pool = {f for part_type in named for f in features[part_type]} or {f for all_ in features.values() for f in all_}
    about = {word for label in named or features for word in words_of_title(label)}
    having = _having(named or sorted(features), features, labels)
    places: dict[int, tuple[Column, float]] = {}
    could: dict[int, tuple[str, ...]] = {}
    for place, title in enumerate(head.titles):
        found = _leads_to(title, tuple(sorted(pool)), known, about, having)
        best = max(found.values(), default=0.0)
        options = sorted(c for c, score in found.items() if score == best)
        if len(options) == 1:
            places[place] = options[0], best
        elif options:
            could[place] = tuple(map(str, options))
    for place, (column, likeness) in tuple(places.items()):  # of two titles for one size the likelier
        if any(c == column and (-s, p) < (-likeness, place) for p, (c, s) in places.items()):
            del places[place]
    if len({(c.feature, c.table) for c, _ in places.values()}) < FEWEST:
        return ()
    left = [place for place in range(len(head.titles)) if place not in places and place not in could]
    plain = _plain_tables(sheet, head, rows, known, left, fixed, labels)
    groups: dict[Feature, dict[int, tuple[str, float]]] = {}
    for place, (column, likeness) in places.items():
        groups.setdefault((column.feature, column.table), {})[place] = column.name, likeness
    said = [(head.titles[place], options) for place, options in could.items()]
    first = not any(p.mapping.table == "parts" for p in plain)
    found_all = list(plain)
    for (feature, table), own in groups.items():
        names = (*SHARED, LISTED_FOR, SUPERSEDED_BY) if first else SHARED
        chosen = {**_beside(head, known[table], left, names), **own}
        found_all.append(_proposal(sheet.name, head, known[table], chosen, (*fixed, ("feature", feature))))
        first = False
    whole = tuple(found_all)
    return (replace(whole[0], could_be=tuple(said)), *whole[1:]) if said else whole


@lru_cache(maxsize=4096)
def _alike(word: str) -> frozenset[str]:
    """A word of a column's name and those that people write for it: ``dia`` for ``diameter``."""
    return frozenset({word, *(w[0] for w in map(words_of_title, OTHER_WORDS.get(word, ())) if len(w) == 1)})


@lru_cache(maxsize=4096)
def _without(title: str, name: str, other: tuple[str, ...]) -> tuple[frozenset[str], ...]:
    """What is left of a title, as words, when it says a column's name, in each way in which it may. A word that the
    name needs is needed for it: of `rotor circle pitch circle diameter` the rotor circle is left."""
    found = []
    for phrase in (name, *OTHER_WORDS.get(name, ()), *other):
        left = list(telling_words(title))
        for word in telling_words(phrase):
            hit = next((w for w in sorted(left) if w in _alike(word)), None)
            if hit is None:
                break
            left.remove(hit)
        else:
            found.append(frozenset(left))
    return tuple(found)


def _having(
    part_types: Sequence[str], features: Mapping[str, Collection[Feature]], labels: Others
) -> dict[Feature, list[str]]:
    """By feature what the parts that have it are called."""
    found: dict[Feature, list[str]] = {}
    for part_type in part_types:
        for feature in features[part_type]:
            found.setdefault(feature, []).extend((part_type, *labels.get(part_type, ())))
    return found


def _leads_to(
    title: str,
    pool: Sequence[Feature],
    known: Mapping[str, Target],
    about: Collection[str],
    having: Mapping[Feature, Collection[str]],
) -> dict[Column, float]:
    """The columns to which a title may lead, with how alike they are: it says a feature and one of its dimensions.

    ``having``: what the parts that have a feature are called, which a title may say in its place.
    """
    found: dict[Column, float] = {}
    for feature, table in pool:
        target = known.get(table)
        if target is None:
            continue
        own = set(words_of_title(feature))
        beside = set(about) | {w for said in (target.shape.label, *target.shape.other) for w in words_of_title(said)}
        for column in target.shape.columns:
            for left in _without(title, column.name, column.other):
                parts = [{*telling_words(called)} for called in having.get((feature, table), ())]
                likeness = max(_likeness(left, own, beside), OF_PART * (set(left) in parts))
                if likeness:
                    likeness -= SHORT * (len(telling_words(title)) - len(left) < len(telling_words(column.name)))
                    at = Column(feature, table, column.name)
                    found[at] = max(found.get(at, 0.0), likeness)
    return found


def _likeness(left: Collection[str], own: set[str], beside: set[str]) -> float:
    """How well the words beside the dimension name a feature; 0 where they do not."""
    words = set(left)
    if not words & own or words - own - beside:
        return 0.0
    if words == own:
        return WHOLE
    if own <= words:
        return MORE
    return PART_OF - 4.0 * len(own - words)


def _part_types(
    rows: Sequence[tuple[str, ...]],
    features: Mapping[str, Collection[Feature]],
    types: Mapping[str, str],
    labels: Others,
) -> list[str]:
    """The part types of the sheet's rows, as far as a cell says one, or the number of a recorded part."""
    found: set[str] = set()
    for cell in {c.strip() for cells in rows for c in cells if c}:
        label = types.get(cell) or _as_part_type(cell, labels)
        if label in features:
            found.add(label)
    return sorted(found)


def _as_part_type(cell: str, labels: Others) -> str:
    """The part type that a cell says, also by another word that the trade has for it and for nothing else."""
    meant = meanings(cell, labels)
    return meant[0] if len(meant) == 1 else ""


def _plain_tables(
    sheet: Sheet,
    head: Head,
    rows: Sequence[tuple[str, ...]],
    known: Mapping[str, Target],
    left: Sequence[int],
    fixed: tuple[tuple[str, str], ...],
    labels: Others,
) -> list[Proposal]:
    """Proposals for parts and offers out of the titles that name no size."""
    only = replace(head, titles=tuple(t if n in left else "" for n, t in enumerate(head.titles)))
    found = []
    for table in PLAIN:
        target = known[table]
        mine = tuple(f for f in fixed if f[0] in {c.name for c in target.columns})
        proposal = propose(sheet.name, only, target, mine)
        columns = _titles_of(head, _what(proposal.mapping, rows, labels) if table == "parts" else proposal.mapping)
        filled = {n for c in columns.columns for n in c.names} | {n for n, _ in mine}
        if filled - {*SHARED, *(n for n, _ in mine)}:
            lacking = tuple(n for n in target.required if n not in filled)
            found.append(replace(proposal, mapping=columns, lacking=lacking))
    return found


def _titles_of(head: Head, mapping: OfSheet) -> OfSheet:
    """A mapping made over some of the titles, with all of them."""
    columns = tuple(replace(c, title=t) for c, t in zip(mapping.columns, head.titles, strict=True))
    return replace(mapping, columns=columns)


def _what(mapping: OfSheet, rows: Sequence[tuple[str, ...]], labels: Others) -> OfSheet:
    """A column taken for names, whose cells are mostly part types, as that of part types: it is the name too."""
    if any(c.name == "part type" for c in mapping.columns):
        return mapping
    columns = list(mapping.columns)
    for place, column in enumerate(columns):
        cells = [row[place] for row in rows if place < len(row) and row[place]] if column.name == "name" else []
        if cells and sum(bool(_as_part_type(c, labels)) for c in cells) >= MOSTLY * len(cells):
            columns[place] = replace(column, name="part type", too=("name",))
    return replace(mapping, columns=tuple(columns))


def _beside(head: Head, target: Target, left: Sequence[int], names: Collection[str]) -> dict[int, tuple[str, float]]:
    """The columns of these names, of part numbers, sources, conditions and claims, for a table of features."""
    only = replace(head, titles=tuple(t if n in left else "" for n, t in enumerate(head.titles)))
    proposal = propose("", only, target)
    return {
        place: (column.name, likeness)
        for place, (column, likeness) in enumerate(zip(proposal.mapping.columns, proposal.likeness, strict=True))
        if column.name in names
    }


def _proposal(
    sheet: str, head: Head, target: Target, chosen: Mapping[int, tuple[str, float]], fixed: tuple[tuple[str, str], ...]
) -> Proposal:
    columns = {c.name for c in target.columns}
    own = tuple(sorted(dict(f for f in fixed if f[0] in columns).items()))
    taken = {n for n, _ in own}
    mapped = tuple(
        ColumnMap(title, "" if chosen.get(n, ("",))[0] in taken else chosen.get(n, ("",))[0], unit)
        for n, (title, unit) in enumerate(zip(head.titles, head.units, strict=True))
    )
    filled = taken | {c.name for c in mapped}
    return Proposal(
        mapping=OfSheet(sheet, target.table, mapped, own),
        likeness=tuple(chosen.get(n, ("", 0.0))[1] for n in range(len(mapped))),
        lacking=tuple(n for n in target.required if n not in filled),
        sourceless="source" in columns and "source" not in filled,
    )
