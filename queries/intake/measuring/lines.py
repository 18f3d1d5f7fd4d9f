"""The lines of a measuring sheet: each place of a vehicle and each size there that can matter, as they can be reached.

A size matters if a joint or a figure of the vehicle's layout reads it. What nobody can measure (the name of a pattern)
has no line. When a size can be reached is the layout's data; where it says nothing, on the vehicle as it stands.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from functools import cache

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.judge.conditions import dimensions_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout_words import words_of
from knockon.graph.model.layouts.layout import Places, stands_in
from knockon.graph.model.layouts.measuring import how_in_place
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.schema import Column, Table, Tool, Vocabulary, column_of
from knockon.graph.model.things import SIDES, Vehicle
from knockon.graph.notes.places import kinds_at
from knockon.graph.quantity import DATATYPES
from knockon.graph.standards.thread_series import StandardThread, standard_threads
from knockon.queries.answers import cautions_at_work
from knockon.queries.intake.measuring.form import LINE_LETTERS

INCH = "in"
UNITS = ("mm", INCH)
MM_IN_AN_INCH = 25.4
LARGEST_COUNT = 48
_OFFERED_THREADS = (4.0, 45.0)
"""Major diameters in mm from which to which drop-down lists offer threads. Others are typed."""


class Line(msgspec.Struct, frozen=True):
    """One size to measure: at a ``position`` (on the sheet's side), of a ``feature``, its ``dimension``.

    ``reached``: when, as the layout's column has it. ``unit``: what a bare number is read in, blank where there is
    none. ``what`` the size is and ``how`` to get it: the words of the layout and the vocabulary. ``tool``: what it
    is usually measured with, and how far off that reads (``within``, in the unit; blank where it is exact or has
    none). ``offered``: what a drop-down list offers.
    """

    position: str
    feature: str
    dimension: str
    reached: str
    kind: str
    datatype: str
    unit: str
    what: str
    how: str
    tool: str
    within: str
    offered: tuple[str, ...]


class Side(msgspec.Struct, frozen=True):
    """The lines of one side, or (blank) of what the vehicle has once."""

    side: str
    lines: tuple[Line, ...]

    @property
    def numbered(self) -> tuple[tuple[str, Line], ...]:
        """The lines with their numbers, the same on paper and in the workbook."""
        return tuple((f"{LINE_LETTERS[self.side]}{number}", line) for number, line in enumerate(self.lines, 1))


class MeasuringSheet(msgspec.Struct, frozen=True):
    """All lines of a vehicle, side by side; ``stages``: when sizes can be reached, in order, with the layout's
    word; ``cautions``: what its part types bring."""

    vehicle: str
    title: str
    layout: str
    unit: str
    sides: tuple[Side, ...]
    stages: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many lines there are."""
        return sum(len(side.lines) for side in self.sides)


def measuring_sheet(catalogue: Catalogue, vehicle: Vehicle, unit: str = "mm") -> MeasuringSheet:
    """The measuring sheet of a vehicle; ``unit`` is that of all lengths, mm or in."""
    layout = catalogue.layouts[vehicle.layout]
    stages = _stages(catalogue)
    words = words_of([layout.words])
    lines = sorted(_lines(catalogue, vehicle, layout, unit), key=lambda found: stages.index(found.reached))
    level = {p.position: p.level for p in layout.positions}
    sides = tuple(
        Side(side, tuple(line for line in lines if (level[line.position] == "corner") == bool(side)))
        for side in (*SIDES, "")
    )
    said = tuple((stage, words.get(stage, stage)) for stage in stages)
    filled = tuple(s for s in sides if s.lines)
    return MeasuringSheet(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        layout=layout.title or layout.layout,
        unit=unit,
        sides=filled,
        stages=said,
        cautions=cautions_at_work(catalogue, [layout]),
    )


def _stages(catalogue: Catalogue) -> tuple[str, ...]:
    """When sizes can be reached, first to last: as the vocabulary lists them."""
    columns = {c.name: c for c in catalogue.vocabulary.tables["joints"].columns}
    return columns["reached"].values


def _lines(catalogue: Catalogue, vehicle: Vehicle, layout: Layout, unit: str) -> Iterator[Line]:
    """The lines in the layout's order of positions, features as they are first named, dimensions as their kind has
    them."""
    stages = _stages(catalogue)
    reached = _reached(catalogue, vehicle, layout, stages)
    kinds = {p.position: kinds_at(catalogue, layout, {p.position}) for p in layout.positions}
    for position in sorted(layout.positions, key=lambda p: p.order):
        if not stands_in(position, vehicle.arrangements):
            continue
        for feature in dict.fromkeys(f for p, f, _ in reached if p == position.position):
            for kind in (catalogue.vocabulary.kinds[iri] for iri in sorted(kinds[position.position].get(feature, ()))):
                for column in kind.columns:
                    at = reached.get((position.position, feature, column.name))
                    how = how_in_place(layout, kind, position.position, feature, column.name).text
                    if at is not None and how:
                        tools = usual_tools(catalogue.vocabulary, kind, column)
                        yield _line((position.position, feature, stages[at], how), kind, column, unit, tools)


def _reached(
    catalogue: Catalogue, vehicle: Vehicle, layout: Layout, stages: Sequence[str]
) -> Mapping[tuple[str, str, str], int]:
    """(position, feature, column of the size) that some joint or figure reads, with the number of the earliest stage at
    which it can be reached."""
    found: dict[tuple[str, str, str], int] = {}

    def note(position: str, feature: str, dimension: str, when: str) -> None:
        at = (position, feature, column_of(dimension))
        found[at] = min(found.get(at, len(stages)), stages.index(when) if when in stages else 0)

    for joint in layout.joints:
        rule = catalogue.vocabulary.rules.get(joint.rule)
        if rule is None or not stands_in(joint, vehicle.arrangements):
            continue
        for here, end in zip(joint.ends, rule.ends, strict=True):
            for dimension in dimensions_of(rule, end.role):
                note(here.position, here.feature, dimension, here.reached)
    places = Places(layout)
    for figure in (*layout.figures, *layout.told):
        for term in figure.terms if stands_in(figure, vehicle.arrangements) else ():
            if term.position in places.positions:
                note(term.position, term.feature, term.dimension, term.reached)
    return found


def _line(
    where: tuple[str, str, str, str], kind: Table, column: Column, length_unit: str, tools: Sequence[Tool]
) -> Line:
    """A line of a position, a feature, when it is reached and how it is measured."""
    position, feature, reached, how = where
    unit = unit_of(column, length_unit)
    return Line(
        position=position,
        feature=feature,
        dimension=column.name,
        reached=reached,
        kind=kind.label,
        datatype=column.datatype,
        unit=unit,
        what=column.description,
        how=how,
        tool=", ".join(tool.name for tool in tools),
        within=within_of(tools[0], unit) if unit and tools else "",
        offered=tuple(offered(kind, column)),
    )


def usual_tools(vocabulary: Vocabulary, kind: Table, column: Column) -> tuple[Tool, ...]:
    """What a size is usually measured with, of a designation its parts; not what reads exactly, as a count does."""
    parts = vocabulary.sizes.get(column.datatype, {})
    names = [f"{column.name}.{part}" if part else column.name for part in parts]
    found = [vocabulary.usual_tool(kind.iri, name) for name in names or [column.name]]
    return tuple({tool.name: tool for tool in found if tool is not None and tool.within}.values())


def within_of(tool: Tool, unit: str) -> str:
    """How far off a tool reads, as a number of a line's unit; blank where it reads exactly or another unit."""
    if tool.unit == "mm" and unit == INCH:
        return f"{tool.within / MM_IN_AN_INCH:.1g}"
    return f"{tool.within:g}" if tool.unit == unit else ""


def unit_of(column: Column, length_unit: str) -> str:
    """What a bare number of a column is read in: mm or inch for a length, its base unit for another size; blank of
    counts, words and designations."""
    known = DATATYPES.get(column.datatype)
    if known is None or not known.units:
        return ""
    return length_unit if known.symbol == "mm" else known.symbol


def offered(kind: Table, column: Column) -> Iterator[str]:
    """What a drop-down list offers for a size: its codes, usual thread designations, counts; nothing of a length."""
    if column.datatype == "thread":
        yield from usual_threads()
    elif column.datatype == "count":
        yield from (str(n) for n in range(1, LARGEST_COUNT + 1))
    else:
        yield from column.values or _usual_codes().get((kind.label, column.name), ())


@cache
def usual_threads() -> tuple[str, ...]:
    """The designations of standard threads by size, as a cell of a thread has them."""
    found: dict[str, None] = {}
    for thread in sorted(standard_threads(), key=lambda t: (t.major, t.series)):
        if _OFFERED_THREADS[0] <= thread.major <= _OFFERED_THREADS[1]:
            found[designation_of(thread)] = None
    return tuple(found)


def designation_of(thread: StandardThread) -> str:
    """A standard thread as a cell has it: ``M10x1``, ``3/8 UNF``, ``2 BA``."""
    if thread.series.startswith("M "):
        return f"{thread.size}x{float(thread.pitch):g}"
    return thread.size if thread.size.endswith(thread.series) else f"{thread.size} {thread.series}"


@cache
def _usual_codes() -> Mapping[tuple[str, str], tuple[str, ...]]:
    """The words that a code usually is, by (kind, dimension)."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    text = shipped("graph", "vocabulary", "usual_codes.csv").read_text(encoding="utf-8")
    for row in csv.DictReader(text.splitlines()):
        at = (row["kind"], row["dimension"])
        found[at] = (*found.get(at, ()), row["code"])
    return found
