"""What is recorded of features before any is read: of which kind each is, and what may stand at a position."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Set

import msgspec

from knockon.graph.model.schema import Vocabulary
from knockon.graph.tables.rows import Row, members_of_set


class Recorded(msgspec.Struct):
    """The kinds (by IRI) that a feature's name is recorded with, on anything and on each thing; the names of a kind."""

    kinds: dict[str, set[str]] = msgspec.field(default_factory=lambda: defaultdict(set))
    names: dict[str, set[str]] = msgspec.field(default_factory=lambda: defaultdict(set))

    things: dict[tuple[str, str], frozenset[str]] = msgspec.field(default_factory=dict)

    def add(self, thing: str, name: str, kind: str) -> None:
        """One recorded feature."""
        self.add_all([(thing, name)], kind)

    def add_all(self, features: Iterable[tuple[str, str]], kind: str) -> None:
        """Features of one kind, each a thing with a name."""
        only = frozenset((kind,))  # one for all: most features are recorded as one kind
        names = set()
        for feature in features:
            if (others := self.things.setdefault(feature, only)) is not only:
                self.things[feature] = others | only
            names.add(feature[1])
        if names:
            self.names[kind] |= names
        for name in names:
            self.kinds[name].add(kind)

    def otherwise(self, thing: str, name: str, kind: str) -> list[str]:
        """The other kinds that this feature of this thing is recorded as: a bore and a journal are not one feature."""
        return sorted(self.things[(thing, name)] - {kind})


THINGS = frozenset({"parts", "items", "set_members", "positions"})
"""The tables whose rows say what may stand where."""


class FeaturesAt(msgspec.Struct):
    """What is recorded of the things that may stand at a position: the kinds of each feature, by its name."""

    vocabulary: Vocabulary
    features: dict[str, dict[str, set[str]]] = msgspec.field(
        default_factory=lambda: defaultdict(lambda: defaultdict(set))
    )
    """By part type, then by the feature's name."""
    members: dict[str, dict[str, set[str]]] = msgspec.field(
        default_factory=lambda: defaultdict(lambda: defaultdict(set))
    )
    """The same by position, of sets' members."""
    types: dict[tuple[str, str], str] = msgspec.field(default_factory=dict)
    """The part type of each position of each layout."""

    @classmethod
    def of(cls, rows: Iterable[Row], recorded: Recorded, vocabulary: Vocabulary) -> FeaturesAt:
        """What these rows and recorded features say."""
        found = cls(vocabulary)
        rows = list(rows)
        numbers = {r.cells["part"]: r.cells["part type"] for r in rows if r.shape.table == "parts"}
        where: dict[str, list[dict[str, set[str]]]] = {}
        unnamed: dict[int, dict[str, set[str]]] = {}  # where things without a drawing stand, each place once
        for row in rows:
            if row.shape.table == "positions":
                found.types[(row.cells["layout"], row.cells["position"])] = row.cells["part type"]
            for place, things in _things(row, numbers, found):
                for thing in things:
                    if thing:
                        where.setdefault(thing, []).append(place)
                    else:
                        unnamed[id(place)] = place
        where[""] = list(unnamed.values())
        for (thing, name), kinds in recorded.things.items():
            for place in where.get(thing, ()):
                place[name] |= kinds
        return found

    def now(self, before: Iterable[Row], after: Iterable[Row], recorded: Recorded) -> FeaturesAt:
        """The same of those of the rows that were kept; ``before``: of which this was made."""
        after = list(after)
        same = sum(r.shape.table in THINGS for r in before) == sum(r.shape.table in THINGS for r in after)
        return self if same else FeaturesAt.of(after, recorded, self.vocabulary)

    @property
    def by_type(self) -> dict[str, dict[str, list[str]]]:
        """By part type the kinds of each feature, by its name."""
        return {t: {name: sorted(kinds) for name, kinds in own.items()} for t, own in self.features.items()}

    def has(self, rows: Iterable[Row], features: Mapping[str, Set[tuple[str, str]]]) -> bool:
        """Whether further features of things, each a name and a kind, are such as others in the same places have: then
        all this is the same with them. ``rows``: all that say where things are."""
        rows = [r for r in rows if r.shape.table in THINGS]
        named = {r.cells.get("part", "") for r in rows if r.shape.table == "items" and r.cells["item"] in features}
        parts = (r.cells for r in rows if r.shape.table == "parts" and r.cells["part"] in named)
        numbers = {cells["part"]: cells["part type"] for cells in parts}
        return all(
            kind in place.get(name, ())
            for row in rows
            for place, things in _things(row, numbers, self)
            for thing in things
            for name, kind in features.get(thing, ())
        )

    def at(self, layout: str, position: str) -> dict[str, set[str]]:
        """The kinds by feature of what may stand there."""
        wanted = self.types.get((layout, position), "")
        kinds: dict[str, set[str]] = defaultdict(set)
        for part_type, features in self.features.items():
            if wanted and self.vocabulary.is_a(part_type, wanted):
                _add(kinds, features)
        _add(kinds, self.members.get(position, {}))
        return kinds


def _things(
    row: Row, numbers: Mapping[str, str], found: FeaturesAt
) -> Iterator[tuple[dict[str, set[str]], tuple[str, ...]]]:
    """The things whose features a row says to be somewhere, its own and those of a drawing that it shares."""
    cells = row.cells
    if row.shape.table == "parts":
        yield found.features[cells["part type"]], (cells["part"], cells.get("drawn as", ""))
    elif row.shape.table == "items":
        yield found.features[numbers.get(cells.get("part", ""), "")], (cells["item"],)
    elif row.shape.table == "set_members":
        yield found.members[cells["position"]], (*members_of_set("set_members", row.key), cells.get("as part", ""))


def _add(kinds: dict[str, set[str]], more: Mapping[str, set[str]]) -> None:
    for name, found in more.items():
        kinds[name] |= found
