"""Readings of a part in the hand, as they are typed: ``external spline: teeth=25, across=27.41 mm ±0.03 mm``.

The name before the colon is a feature's, or a kind's; readings under one name are of one feature. Each reading names a
dimension and its value; a designation needs no dimension, and of it only what it says is read.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import isclose

import msgspec

from knockon.graph.judge.beliefs import presence_of
from knockon.graph.model.catalogue import Catalogue, UnknownNameError, name_meant
from knockon.graph.model.nearest import meanings, nearest
from knockon.graph.model.schema import Column, Table, Tool, column_of, part_of
from knockon.graph.model.things import Feature
from knockon.graph.quantity import LENIENT, CellError, Quantity, ReadingContext, read_cell
from knockon.queries.as_typed import RequestError, fold

ACROSS = ("across", "over the tips", "across the tips", "flat jaws")
"""What is read over the tips with flat jaws, which touch one tip on one side and two on the other if their count is
odd."""
THERE, NOT_THERE = ("there", "present", "yes"), ("absent", "not there", "none", "no")
MM_PER_INCH = 25.4
_NEXT_ITEM = re.compile(r"\s*;\s*|,\s+|\s*,(?=[^,=]*=)")
_TO_THE_INCH = re.compile(r"(\d+(?:\.\d+)?)\s*(?:tpi|threads? (?:to|per) (?:the )?inch)", re.IGNORECASE)
HOW = "FEATURE: DIMENSION = VALUE, DIMENSION = VALUE"
Features = Sequence[Mapping[str, Feature]]


class Named(msgspec.Struct, frozen=True):
    """What a name before the colon means: the feature of this name; where a part has none, and the name is a kind's
    (``by_kind``), its features of that kind. ``kind``: by whose dimensions the readings are read (an IRI);
    ``dimension``: the one that the name says too (``nut height``)."""

    name: str
    kind: str
    by_kind: bool
    dimension: str = ""

    def of(self, features: Mapping[str, Feature]) -> list[Feature]:
        """The features of a part that it may mean, by name."""
        found = features.get(self.name)
        if found is not None:
            return [found]
        return [features[n] for n in sorted(features) if features[n].kind == self.kind] if self.by_kind else []


class Reading(msgspec.Struct, frozen=True):
    """One reading: a size in its base unit ``within`` ± (a count from ``low`` to ``high``), a code, or whether the
    feature is ``there``.

    ``tool``: what the ± is from, where it was not said; ``over``: the dimension that counts the tips which flat jaws
    touch; ``flags``: each help that reading needed.
    """

    named: Named
    dimension: str
    written: str
    unit: str
    value: float | None = None
    within: float = 0.0
    code: str | None = None
    there: bool | None = None
    tool: str = ""
    over: str = ""
    flags: tuple[str, ...] = ()

    @property
    def is_size(self) -> bool:
        """Whether it is a size, which a tool may read a little off: no count, no word, no look."""
        return self.value is not None and self.unit != "count"

    @property
    def deviation(self) -> float:
        """The standard deviation of the tool: half of what is stated."""
        return self.within / 2


def split(typed: str) -> tuple[str, tuple[str, ...]]:
    """The name and the readings of one argument. Raises RequestError."""
    name, colon, said = typed.partition(":")
    items = tuple(item.strip() for item in _NEXT_ITEM.split(said) if item.strip())
    if not colon or not name.strip() or not items:
        raise RequestError(f"{typed!r} is not a reading. Write {HOW!r}, or FEATURE: THREAD")
    return name.strip(), items


def meant(catalogue: Catalogue, name: str, features: Features) -> Named | None:
    """What a name means among these parts' features: a feature's name, else a kind's, else the words of one feature;
    None: nothing there."""
    asked, kind = fold(name), kind_named(catalogue, name)
    kinds: Counter[tuple[str, str]] = Counter()
    of_kind = False
    for own in features:
        for known, feature in own.items():
            if fold(known) == asked:
                kinds[known, feature.kind] += 1
            of_kind = of_kind or (kind is not None and feature.kind == kind.iri)
    if kinds:
        (known, iri), _ = min(kinds.items(), key=lambda pair: (-pair[1], pair[0]))
        return Named(known, iri, by_kind=kind is not None and kind.iri == iri)
    if kind and of_kind:
        return Named(kind.label, kind.iri, by_kind=True)
    return _worded(catalogue, asked, features)


def _worded(catalogue: Catalogue, asked: str, features: Features) -> Named | None:
    """The one feature that has these words between its name and its dimensions: ``end thread`` of a stub end."""
    wanted = set(asked.split())
    found: dict[tuple[str, str], None] = {}
    for known, iri in dict.fromkeys((n, f.kind) for own in features for n, f in own.items()):
        own_words = set(fold(known).split())
        sizes = {w for c in catalogue.vocabulary.kinds[iri].columns for w in fold(c.name).split()}
        if wanted & own_words and wanted <= own_words | sizes:
            found[known, iri] = None
    if len({known for known, _ in found}) != 1:
        return None
    known, iri = min(found)
    more = " ".join(w for w in asked.split() if w not in fold(known).split())
    columns = [c.name for c in catalogue.vocabulary.kinds[iri].columns]
    return Named(known, iri, by_kind=False, dimension=more if more in columns else "")


def kind_named(catalogue: Catalogue, name: str) -> Table | None:
    """The kind with this label or table, or the one that the trade calls so."""
    kinds = sorted(catalogue.vocabulary.kinds.values(), key=lambda k: k.table)
    itself = next((k for k in kinds if fold(name) in (fold(k.label), fold(k.table))), None)
    if itself is not None:
        return itself
    called = meanings(name, {k.label: k.other for k in kinds})
    return next((k for k in kinds if k.label in called), None) if len(called) == 1 else None


def unknown_feature(catalogue: Catalogue, name: str, features: Features) -> UnknownNameError:
    """That no part here has such a feature, with those that are most like it."""
    known = {f.name for own in features for f in own.values()}
    known |= {catalogue.vocabulary.kinds[f.kind].label for own in features for f in own.values()}
    return UnknownNameError("feature", name, nearest(name, known) or tuple(sorted(known))[:8])


class Reader(msgspec.Struct, frozen=True):
    """Reads what is typed of parts with these features; ``tool``: the one that was used where no ± is said."""

    catalogue: Catalogue
    features: Features
    tool: Tool | None = None

    def readings(self, named: Named, items: Sequence[str]) -> Iterator[Reading]:
        """The readings of one feature. Raises UnknownNameError, RequestError."""
        for item in items:
            yield from self._item(named, item)

    def _item(self, named: Named, item: str) -> Iterator[Reading]:
        if fold(item) in (*THERE, *NOT_THERE):
            yield Reading(named, "", item, "", there=fold(item) in THERE)
            return
        name, value = self._parted(named, item)
        if fold(name) in ACROSS:
            yield self._across(named, name, value)
            return
        dimension = self._dimension(named, name) if name else self._of_designation(named, item)
        column = self._columns(named)[column_of(dimension)]
        if column.datatype == "thread" and dimension == column.name:
            yield from self._thread(named, column, value)
        else:
            yield self._one(named, dimension, value)

    def _columns(self, named: Named) -> dict[str, Column]:
        return {c.name: c for c in self.catalogue.vocabulary.kinds[named.kind].columns}

    def _parted(self, named: Named, item: str) -> tuple[str, str]:
        """The dimension and the value: around a sign, or side by side (``25 teeth``); a blank for the dimension."""
        name, sign, value = item.partition("=")
        if sign and value.strip():
            return name.strip(), value.strip()
        item = " ".join(item.split())
        words = item.casefold()
        dimensions = self.catalogue.vocabulary.dimensions(named.kind)
        called = {*dimensions, *ACROSS, *(w for column in dimensions.values() for w in column.other)}
        for known in sorted(called, key=lambda word: (-len(word), word)):
            if words.endswith(" " + known.casefold()):
                return known, item[: -len(known)].strip()
            if words.startswith(known.casefold() + " "):
                return known, item[len(known) :].strip()
        return "", item

    def _dimension(self, named: Named, name: str) -> str:
        """The dimension that is meant: whole, by its part (``pitch`` of a thread) or by the one that has the word."""
        known = self.catalogue.vocabulary.dimensions(named.kind)
        asked = fold(name.replace(".", " "))
        wholly = [d for d in known if fold(d.replace(".", " ")) == asked]
        partly = [d for d in known if fold(part_of(d)) == asked]
        for found in (wholly, partly):
            if len(found) == 1:
                return found[0]
        others = {d: known[d].other for d in known}
        holding = [d for d in known if f" {asked} " in f" {fold(d)} "]
        if len(holding) == 1 and not meanings(name, others):
            return holding[0]
        label = self.catalogue.vocabulary.kinds[named.kind].label
        return name_meant(f"dimension of {label}", name, known, others)

    def _of_designation(self, named: Named, item: str) -> str:
        """The dimension of a value that names none: the designation, else the only one that the kind has."""
        if named.dimension:
            return named.dimension
        columns = self._columns(named)
        designations = [c.name for c in columns.values() if c.datatype == "thread"]
        if designations or len(columns) == 1:
            return designations[0] if designations else next(iter(columns))
        label = self.catalogue.vocabulary.kinds[named.kind].label
        raise RequestError(f"{item!r} names no dimension. {label.capitalize()} has: {', '.join(columns)}")

    def _across(self, named: Named, name: str, value: str) -> Reading:
        column = next((c for c in self._columns(named).values() if c.flat_jaws_over), None)
        if column is None:
            label = self.catalogue.vocabulary.kinds[named.kind].label
            expected = ", ".join(self._columns(named))
            raise RequestError(f"{name!r} is read over the tips of teeth. {label.capitalize()} has: {expected}")
        return msgspec.structs.replace(self._one(named, column.name, value), over=column.flat_jaws_over)

    def _thread(self, named: Named, column: Column, value: str) -> Iterator[Reading]:
        """The parts that a designation says; of a plain size the major diameter."""
        try:
            parts = read_cell(value, "thread", context=LENIENT)
        except CellError as error:
            try:
                yield self._one(named, f"{column.name}.major", value)
            except RequestError:
                raise RequestError(str(error)) from None
            return
        for part, quantity in parts.items():
            dimension = f"{column.name}.{part}"
            if part and not quantity.unknown and self.catalogue.vocabulary.dimension(named.kind, dimension):
                yield self._of_quantity(named, dimension, value, quantity)

    def _one(self, named: Named, dimension: str, value: str) -> Reading:
        column = self.catalogue.vocabulary.dimension(named.kind, dimension)
        assert column is not None
        to_the_inch = _TO_THE_INCH.fullmatch(value.strip())
        if to_the_inch and column.datatype == "length" and float(to_the_inch[1]) > 0:
            pitch = MM_PER_INCH / float(to_the_inch[1])
            return self._of_quantity(named, dimension, value, Quantity(low=pitch, high=pitch, written=value))
        quantity = self._read(named, dimension, value, column)
        if quantity.unknown or quantity.not_applicable or (quantity.low is None) != (quantity.high is None):
            raise RequestError(f"{value!r} is no reading of {dimension}. Leave out what you did not read")
        if quantity.absent:
            return Reading(named, "", value, "", there=False)
        return self._of_quantity(named, dimension, value, quantity)

    def _read(self, named: Named, dimension: str, value: str, column: Column) -> Quantity:
        """The quantity; a unit that is lacking is taken from the recorded sizes where only one can be meant."""
        try:
            return read_cell(value, column.datatype, context=LENIENT)[""]
        except CellError as error:
            usual = self._recorded_range(named, dimension) if column.datatype == "length" else None
            try:
                if usual is None:
                    raise
                return read_cell(value, column.datatype, context=ReadingContext(feature_range=usual))[""]
            except CellError:
                raise RequestError(f"{dimension}: {error}") from None

    def _recorded_range(self, named: Named, dimension: str) -> tuple[float, float] | None:
        """From the least to the greatest that is recorded, widened by half."""
        sizes = [s for own in self.features for f in named.of(own) for s in f.dimensions.get(dimension, ())]
        ends = [x for s in sizes for x in (s.low, s.high) if x is not None]
        return (min(ends) / 1.5, max(ends) * 1.5) if ends else None

    def _of_quantity(self, named: Named, dimension: str, value: str, quantity: Quantity) -> Reading:
        vocabulary = self.catalogue.vocabulary
        unit = vocabulary.unit_of(vocabulary.kinds[named.kind], dimension) or ""
        if quantity.code is not None:
            return self._code(named, dimension, value, quantity.code)
        if quantity.low is None or quantity.high is None:
            raise RequestError(f"{value!r} is no reading of {dimension}")
        middle, within = (quantity.low + quantity.high) / 2, (quantity.high - quantity.low) / 2
        reading = Reading(
            named=named,
            dimension=dimension,
            written=value,
            unit=unit,
            value=round(middle, 9),
            within=round(within, 9),
            flags=quantity.flags,
        )
        if unit == "count" and quantity.high < 1:
            raise RequestError(f"{dimension}: {value!r} counts none. Leave it out, or write 'absent' for the feature")
        if unit == "count" or not isclose(within, 0, abs_tol=1e-12):
            return reading
        if "±" in value:
            raise RequestError(f"{dimension}: no tool reads exactly. Write how far off {value!r} may be")
        tool = self.tool if self.tool and self.tool.unit == unit else vocabulary.usual_tool(named.kind, dimension)
        if tool is None or tool.unit != unit:
            raise RequestError(f"{dimension}: say how far off {value!r} may be, such as {value} ±0.1")
        return msgspec.structs.replace(reading, within=tool.within, tool=tool.name)

    def _code(self, named: Named, dimension: str, value: str, code: str) -> Reading:
        """A word; one that is recorded nowhere and looks like one that is is asked back."""
        recorded = {
            s.code for own in self.features for f in named.of(own) for s in f.dimensions.get(dimension, ()) if s.code
        }
        if recorded and code not in recorded:
            like = nearest(code, recorded)
            if like:
                raise UnknownNameError(dimension, value, like)
        return Reading(named, dimension, value, "code", code=code)


def are_there(features: Sequence[Feature]) -> str:
    """Whether a part has one of these features: ``recorded``, ``absent`` or ``not recorded``."""
    states = {presence_of(f) for f in features}
    if states & {"recorded", "contested"}:
        return "recorded"
    return "absent" if states == {"absent"} else "not recorded"
