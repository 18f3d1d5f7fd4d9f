"""The vocabulary as data: tables, feature kinds, fit rules and part types, read from Turtle.

The shapes in ``graph/vocabulary/*.ttl`` (and any ``*.ttl`` of a records folder) are at once the column lists of the
record tables, the check of incoming RDF and the rules of matching. Nothing here knows a particular kind or rule.
"""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections.abc import Collection, Iterable
from pathlib import Path
from typing import Any

import msgspec
from msgspec.structs import replace

from knockon.graph.files.plain import content_of, files_in, why_not
from knockon.graph.files.shipped import shipped
from knockon.graph.formulas import formula_names
from knockon.graph.model.rules import BARE_UNITS, Condition, FitRule, read_rule
from knockon.graph.triples.cautions import Caution, cautions
from knockon.graph.triples.datatypes import WORD, Sizes, datatype_name, datatypes_of
from knockon.graph.triples.statements import (
    DCTERMS,
    FORMULA,
    RDF,
    RDFS,
    SH,
    SKOS,
    VOCAB,
    Statements,
    VocabularyError,
    local_name,
)
from knockon.graph.triples.tools import Tool, Tools, tools
from knockon.graph.triples.usual_checks import UsualCheck, usual_checks

__all__ = [
    "DCTERMS", "FORMULA", "RDF", "RDFS", "SH", "SKOS", "VOCAB", "Column", "PartType",
    "Statements", "Table", "Tool", "UsualCheck", "Vocabulary", "VocabularyError", "local_name", "own_files",
    "read_vocabulary", "vocabulary_files", "vocabulary_of",
]  # fmt: skip


NUMBERS = ("integer", "decimal")
"""The datatypes of plain numbers, without units."""


class Column(msgspec.Struct, frozen=True):
    """One column of a record table: a property shape.

    ``refers_to`` names the tables whose keys it may hold; ``names_in`` the table of the same layout that has what it
    names. Following the column from ``no_circle_from`` never leads back; a ``mutual`` one leads back at once.
    ``least`` and ``most`` close the window of a number, or of a size in its base unit. ``usual``: the code that counts
    where nobody wrote one; ``other``: what else the trade calls it. Not ``measured``: nobody can read it on a part.
    ``flat_jaws_over``: the dimension that counts the tips over which flat jaws read this one.
    """

    name: str
    path: str
    datatype: str
    description: str = ""
    method: str = ""
    method_source: str = ""
    key: bool = False
    required: bool = False
    many: bool = False
    refers_to: tuple[str, ...] = ()
    names: str = ""
    values: tuple[str, ...] = ()
    names_in: str = ""
    no_circle_from: str = ""
    mutual: bool = False
    least: float | None = None
    most: float | None = None
    usual: str = ""
    measured: bool = True
    other: tuple[str, ...] = ()
    flat_jaws_over: str = ""


def column_of(dimension: str) -> str:
    """The column that holds a dimension: ``thread`` of ``thread.pitch``."""
    return dimension.partition(".")[0]


def part_of(dimension: str) -> str:
    """Which part of its column's cell a dimension is: ``pitch`` of ``thread.pitch``; blank where it is the whole."""
    return dimension.partition(".")[2]


class Table(msgspec.Struct, frozen=True):
    """One record table, or (``is_kind``) one feature kind, whose columns are the kind's dimensions."""

    iri: str
    label: str
    table: str
    comment: str
    columns: tuple[Column, ...]
    is_kind: bool = False
    other: tuple[str, ...] = ()

    def datatype_of(self, dimension: str) -> str:
        """The datatype of the column that has a dimension: ``thread`` of ``thread.pitch``; blank of one it lacks."""
        return next((c.datatype for c in self.columns if c.name == column_of(dimension)), "")


class PartType(msgspec.Struct, frozen=True):
    """A part type with all the broader types it belongs to (itself included), and what else the trade calls it.
    ``hand_sign``: how to see which side such a part is for; blank where nobody says it."""

    label: str
    broader: tuple[str, ...]
    small_fixing: bool = False
    consumable: bool = False
    other: tuple[str, ...] = ()
    hand_sign: str = ""


class Vocabulary(msgspec.Struct, frozen=True):
    """Everything the Turtle files say. Kinds are keyed by IRI, tables by table name, rules and part types by label;
    ``components`` are the dimensions that one cell of a datatype has, ``sizes`` the base unit of each by datatype."""

    tables: dict[str, Table] = msgspec.field(default_factory=dict)
    kinds: dict[str, Table] = msgspec.field(default_factory=dict)
    rules: dict[str, FitRule] = msgspec.field(default_factory=dict)
    part_types: dict[str, PartType] = msgspec.field(default_factory=dict)
    components: dict[str, tuple[Column, ...]] = msgspec.field(default_factory=dict)
    sizes: dict[str, Sizes] = msgspec.field(default_factory=dict)
    usual_checks: tuple[UsualCheck, ...] = ()
    cautions: tuple[Caution, ...] = ()
    tools: Tools = msgspec.field(default_factory=Tools)
    left_out: dict[str, str] = msgspec.field(default_factory=dict)
    """Where a rule, a part type (by label) or a kind (by table) of a club's own is said that could not be used."""

    def dimensions(self, kind: str) -> dict[str, Column]:
        """The dimensions of a kind by name: its columns, and the components of those that have some."""
        columns = self.kinds[kind].columns
        parts = {f"{c.name}.{part.name}": part for c in columns for part in self.components.get(c.datatype, ())}
        return {c.name: c for c in columns} | parts

    def dimension(self, kind: str, name: str) -> Column | None:
        """A dimension of a kind by its name: a column, or a component of one (``thread.hand``)."""
        return self.dimensions(kind).get(name)

    def sizes_of(self, column: Column) -> tuple[str, ...]:
        """The numbers that a dimension has by name: itself, or its parts; none of a word."""
        units = self.sizes.get(column.datatype, {})
        return tuple(f"{column.name}.{part}" if part else column.name for part, u in units.items() if u != WORD)

    def unit_of(self, kind: Table, dimension: str) -> str | None:
        """The base unit of a size of a kind by its name (``thread.pitch``); ``code`` of a word, None of what is not."""
        return self.sizes.get(kind.datatype_of(dimension), {}).get(part_of(dimension))

    def shown_unit(self, kind: Table, dimension: str) -> str:
        """The base unit as it stands behind a number; blank of bare numbers and words."""
        unit = self.unit_of(kind, dimension) or WORD
        return "" if unit in (*BARE_UNITS, WORD) else unit

    def usual_tool(self, kind: str, dimension: str) -> Tool | None:
        """What a dimension of a kind (by IRI) is usually measured with, and how far off that reads, in the
        dimension's base unit; None where nothing in a workshop measures it."""
        table = self.kinds[kind]
        column = self.dimension(kind, column_of(dimension))
        if column is None or not column.measured:
            return None
        return self.tools.usual(table.table, dimension, column.datatype)

    def named(self, sort: str) -> Collection[str]:
        """The names that a column of this sort may hold: of part types, of kinds, of fit rules or of formulas."""
        if sort == "Formula":
            return formula_names()
        if sort == "Kind":
            return {kind.label for kind in self.kinds.values()}
        return self.part_types if sort == "PartType" else self.rules

    def others(self, sort: str) -> dict[str, tuple[str, ...]]:
        """What else the trade calls what a column of this sort may hold, by name."""
        if sort == "PartType":
            return {name: known.other for name, known in self.part_types.items() if known.other}
        return {kind.label: kind.other for kind in self.kinds.values() if kind.other} if sort == "Kind" else {}

    def words_of_type(self, part_type: str) -> tuple[str, ...]:
        """A part type's label, and what else the trade calls it."""
        known = self.part_types.get(part_type)
        return (part_type, *(known.other if known else ()))

    def hand_sign(self, part_type: str) -> str:
        """How to see which side a part of a type is for, as common practice has it: of it, else of a broader type."""
        known = self.part_types.get(part_type)
        said = (self.part_types[label].hand_sign for label in (known.broader if known else ()))
        return (known.hand_sign if known else "") or next((sign for sign in said if sign), "")

    def is_a(self, part_type: str, wanted: str) -> bool:
        """Whether ``part_type`` is ``wanted`` or narrower."""
        known = self.part_types.get(part_type)
        return part_type == wanted or (known is not None and wanted in known.broader)


def _column(graph: Statements, node: Any, shape: str) -> tuple[int, Column]:
    datatype = datatype_name(graph.text(node, SH + "datatype"))
    # SHACL itself can compare plain numbers; a size with its unit needs a word of our own.
    ends = (SH + "minInclusive", SH + "maxInclusive") if datatype in NUMBERS else (VOCAB + "least", VOCAB + "most")
    column = Column(
        name=graph.text(node, SH + "name"),
        path=graph.text(node, SH + "path"),
        datatype=datatype,
        description=graph.text(node, SH + "description"),
        method=graph.text(node, VOCAB + "method"),
        method_source=graph.text(node, VOCAB + "methodSource"),
        key=graph.flag(node, VOCAB + "key"),
        required=graph.text(node, SH + "minCount") not in ("", "0"),
        many=graph.text(node, SH + "maxCount") == "",
        refers_to=tuple(graph.texts(node, VOCAB + "refersTo")),
        names=local_name(graph.text(node, VOCAB + "names")),
        values=tuple(graph.items(node, SH + "in")),
        names_in=graph.text(node, VOCAB + "namesIn"),
        no_circle_from=graph.text(node, VOCAB + "noCircleFrom"),
        mutual=graph.flag(node, VOCAB + "mutual"),
        least=graph.number(node, ends[0]),
        most=graph.number(node, ends[1]),
        usual=graph.text(node, VOCAB + "usual").strip().casefold(),  # as a cell of codes is read
        measured=graph.text(node, VOCAB + "measured") not in ("false", "0"),
        other=tuple(w for path in graph.objects(node, SH + "path") for w in graph.texts(path, SKOS + "altLabel")),
        flat_jaws_over=graph.text(node, VOCAB + "flatJawsOver"),
    )
    if not column.name or not column.path:
        raise VocabularyError(f"a property shape of <{shape}> has no sh:name or no sh:path")
    return int(graph.number(node, SH + "order") or 0), column


def _table(graph: Statements, node: Any) -> Table:
    columns = sorted(
        (_column(graph, p, str(node.value)) for p in graph.by_subject[node].get(SH + "property", ())),
        key=lambda c: (c[0], c[1].name),
    )
    parents = graph.texts(node, RDFS + "subClassOf")
    return Table(
        iri=str(node.value),
        label=graph.text(node, RDFS + "label"),
        table=graph.text(node, VOCAB + "table"),
        comment=graph.text(node, RDFS + "comment"),
        columns=tuple(c for _, c in columns),
        is_kind=VOCAB + "Feature" in parents,
        other=tuple(graph.texts(node, SKOS + "altLabel")),
    )


def _part_types(graph: Statements) -> dict[str, PartType]:
    broader = {s: graph.by_subject[s].get(SKOS + "broader", []) for s in graph.subjects(SKOS + "Concept")}
    types: dict[str, PartType] = {}
    for subject in broader:
        chain: list[Any] = [subject]
        for one in chain:  # grows while it is walked: all broader concepts, each once
            chain.extend(o for o in broader.get(one, ()) if o not in chain)
        label = graph.text(subject, SKOS + "prefLabel")
        types[label] = PartType(
            label=label,
            broader=tuple(sorted(graph.text(o, SKOS + "prefLabel") for o in chain)),
            small_fixing=graph.flag(subject, VOCAB + "smallFixing"),
            consumable=graph.flag(subject, VOCAB + "consumable"),
            other=tuple(graph.texts(subject, SKOS + "altLabel")),
            hand_sign=graph.text(subject, VOCAB + "handSign"),
        )
    return types


def vocabulary_files(folder: Path | None = None) -> list[tuple[str, bytes]]:
    """The shipped Turtle files, then those of a records folder, each with its name, in a fixed order.

    Raises VocabularyError for one that cannot be read, RecordsError where the folder cannot be looked into.
    """
    ours = [(p.name, content_of(p)) for p in files_in(shipped("graph", "vocabulary"), ".ttl")]
    return ours + own_files(folder)


def own_files(folder: Path | None) -> list[tuple[str, bytes]]:
    """The Turtle files of a records folder, each with its name, in a fixed order. Raises as ``vocabulary_files``."""
    return [(p.name, _own_turtle(p)) for p in files_in(folder, ".ttl")] if folder else []


def _own_turtle(path: Path) -> bytes:
    try:
        return content_of(path)
    except OSError as error:
        raise VocabularyError(f"{path} cannot be read: {why_not(error)}") from error


def read_vocabulary(files: Iterable[tuple[str, bytes]]) -> Vocabulary:
    """Read Turtle files into a Vocabulary, as they stand (``knockon.graph.rulebook.own`` checks those of a club).

    Raises VocabularyError, naming file or node, where a file is not Turtle or a rule cannot be understood.
    """
    graph = Statements()
    for name, text in files:
        graph.read(text, name)
    return vocabulary_of(graph)


def vocabulary_of(graph: Statements, left_out: dict[str, str] | None = None) -> Vocabulary:
    """The Vocabulary that these statements make; raises VocabularyError."""
    shapes = [_table(graph, s) for s in graph.subjects(SH + "NodeShape") if graph.text(s, VOCAB + "table")]
    kinds = {t.iri: t for t in shapes if t.is_kind}
    rules = {r.label: r for r in (read_rule(graph, s) for s in graph.subjects(VOCAB + "FitRule"))}
    for rule in rules.values():
        for end in rule.ends:
            if end.kind not in kinds:
                raise VocabularyError(
                    f"rule {rule.label!r} names the kind <{end.kind}>, which no Turtle file describes"
                )
    vocabulary = Vocabulary(
        tables={t.table: t for t in shapes if not t.is_kind},
        kinds=kinds,
        part_types=_part_types(graph),
        components=_components(graph),
        sizes={datatype_name(iri): s for iri, s in datatypes_of(graph).items()},
        usual_checks=usual_checks(graph),
        cautions=cautions(graph),
        tools=tools(graph),
        left_out=dict(left_out or {}),
    )
    return replace(vocabulary, rules={label: _with_usual(rule, vocabulary) for label, rule in rules.items()})


def _components(graph: Statements) -> dict[str, tuple[Column, ...]]:
    """The dimensions that one cell of a datatype has beside each other, by datatype."""
    found: dict[str, tuple[Column, ...]] = {}
    for subject in graph.subjects(RDFS + "Datatype"):
        nodes = graph.by_subject[subject].get(VOCAB + "component", ())
        columns = sorted((_column(graph, node, str(subject.value)) for node in nodes), key=lambda c: c[0])
        if columns:
            found[datatype_name(str(subject.value))] = tuple(column for _, column in columns)
    return found


def _with_usual(rule: FitRule, vocabulary: Vocabulary) -> FitRule:
    """The rule, its comparisons of codes with the codes that count where nobody wrote one."""

    def usual(condition: Condition) -> tuple[str, ...]:
        found = (vocabulary.dimension(rule.end_of(t).kind, t.dimension) for t in condition.terms)
        return tuple(column.usual if column else "" for column in found)

    conditions = tuple(replace(c, usual=usual(c)) if c.same_code else c for c in rule.conditions)
    return replace(rule, conditions=conditions)
