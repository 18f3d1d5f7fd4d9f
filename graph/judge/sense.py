"""Does a size make sense? One check for readings, imports and the records themselves: the usual sizes of its kind.

Usual is what lies between the least and the greatest recorded size of a kind and dimension, widened by half (from half
the least to one and a half times the greatest); where none is recorded, what we state (``usual-sizes.ttl``), and where
that says nothing, wider ends, outside which only a slip makes sense (``asked-back-sizes.ttl``). A
size outside is asked back, never judged: it may be right.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping

import msgspec

from knockon.graph.judge.usual_sizes import Range, Ranges, asked_back_sizes, is_outside, shipped_sizes, slips
from knockon.graph.model.schema import Column, Table, Vocabulary
from knockon.graph.model.things import Feature, Statement
from knockon.graph.quantity import DATATYPES, Quantity

FEWEST = 3
"""Other sizes of a dimension that must be recorded before one is doubted for being unlike them. No source."""


class Doubt(msgspec.Struct, frozen=True):
    """A size outside the usual ones, and readings to offer; ``low`` and ``high`` are usual, in ``unit``.

    ``stated``: what we state of such sizes admits it; only those that are recorded are all unlike it.
    """

    written: str
    kind: str
    dimension: str
    low: float
    high: float
    unit: str
    offered: tuple[str, ...] = ()
    stated: bool = False

    def __str__(self) -> str:
        unit = f" {self.unit}" if self.unit else ""
        usual = f"{self.dimension} {self.low:.4g} to {self.high:.4g}{unit}"
        article = "an" if self.kind[:1] in "aeiou" else "a"
        said = f"{self.written} is outside the usual sizes of {article} {self.kind} ({usual})"
        return said + (f". Did you mean {' or '.join(self.offered)}?" if self.offered else "")


def widened(sizes: Iterable[float]) -> Range | None:
    """From half the least to one and a half times the greatest, further out where they lie below zero; None of
    nothing."""
    known = list(sizes)
    if not known or not any(known):
        return None
    least, most = min(known), max(known)
    if least <= 0:  # half of nothing is no room: as much as half of the farther end
        room = max(abs(least), abs(most)) / 2
        return least - room, most + room
    return least / 2, most * 1.5


class UsualSizes(msgspec.Struct, frozen=True):
    """The usual sizes by (record table of the kind, dimension; of a thread ``thread.major`` and so on)."""

    recorded: Mapping[tuple[str, str], Range]
    stated: Ranges = msgspec.field(default_factory=dict)

    @classmethod
    def of(
        cls,
        features: Iterable[Feature],
        vocabulary: Vocabulary,
        without: Collection[str] = (),
        stated: Ranges | None = None,
    ) -> UsualSizes:
        """The usual sizes by what is recorded, but for what sources ``without`` say; ``stated``: those of a records
        folder, where it has its own."""
        ends: dict[tuple[str, str], list[float]] = defaultdict(list)
        for at, statement in _sizes(features, vocabulary):
            ends[at] += _ends(statement) if statement.source not in without else ()
        found = {at: usual for at, known in ends.items() if (usual := widened(known)) is not None}
        return cls(found, shipped_sizes() if stated is None else stated)

    def range_of(self, table: str, dimension: str) -> Range | None:
        """What is usual, in the base unit; None where nobody says."""
        return self.recorded.get((table, dimension)) or self.stated.get((f"features/{table}", dimension))

    def doubt(self, kind: Table, column: Column, written: str, sizes: Mapping[str, Quantity]) -> Doubt | None:
        """Whether what a cell says, as it was read, is unusual."""
        for part, quantity in sizes.items():
            dimension = column.name + (f".{part}" if part else "")
            usual = self.range_of(kind.table, dimension)
            usual = usual or asked_back_sizes().get((f"features/{kind.table}", dimension))
            if usual is not None and is_outside(quantity.low, quantity.high, usual):
                unit = DATATYPES[column.datatype].parts.get(part, "")
                offered = tuple(slips(quantity, usual)) if column.datatype == "length" else ()
                own = self.stated.get((f"features/{kind.table}", dimension))
                stated = own is not None and not is_outside(quantity.low, quantity.high, own)
                return Doubt(
                    written=written,
                    kind=kind.label,
                    dimension=dimension.replace(".", " "),
                    low=usual[0],
                    high=usual[1],
                    unit=unit,
                    offered=offered,
                    stated=stated,
                )
        return None


def _sizes(features: Iterable[Feature], vocabulary: Vocabulary) -> Iterator[tuple[tuple[str, str], Statement]]:
    for feature in features:
        table = vocabulary.kinds[feature.kind].table
        for dimension, statements in feature.dimensions.items():
            yield from (((table, dimension), s) for s in statements if _ends(s))


def _ends(statement: Statement) -> list[float]:
    return [x for x in (statement.low, statement.high) if x is not None]


class Unlike(msgspec.Struct, frozen=True, order=True):
    """A recorded size outside what the others of its kind and dimension make usual."""

    thing: str
    feature: str
    dimension: str
    written: str
    source: str
    table: str
    low: float
    high: float


def unlike_the_others(features: Mapping[str, Mapping[str, Feature]], vocabulary: Vocabulary) -> tuple[Unlike, ...]:
    """The recorded sizes that are far from all others of their kind and dimension, and from those that we state.

    A size is doubted where at least FEWEST other values are recorded; what several things share is one value.
    """
    said: dict[tuple[str, str], dict[tuple[float, ...], tuple[str, str, Statement]]] = defaultdict(dict)
    for thing in sorted(features):
        for name, feature in features[thing].items():
            for at, statement in _sizes([feature], vocabulary):
                said[at].setdefault(tuple(_ends(statement)), (thing, name, statement))
    found = []
    for (table, dimension), values in said.items():
        stated = shipped_sizes().get((f"features/{table}", dimension))
        for ends in {min(values), max(values, key=max)}:
            thing, name, statement = values[ends]
            others = [x for e in values if e != ends for x in e]
            usual = widened([*(others if len(values) > FEWEST else ()), *(stated or ())])
            if usual is not None and is_outside(min(ends), max(ends), usual):
                found.append(
                    Unlike(
                        thing=thing,
                        feature=name,
                        dimension=dimension,
                        written=statement.written,
                        source=statement.source,
                        table=table,
                        low=usual[0],
                        high=usual[1],
                    )
                )
    return tuple(sorted(found))
