"""The vocabulary as data: tables, feature kinds, fit rules and part types, read from Turtle.

The shapes in ``graph/vocabulary/*.ttl`` (and any ``*.ttl`` of a records folder) are at once the column lists of the
record tables, the check of incoming RDF and the rules of matching. Nothing here knows a particular kind or rule.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from importlib import resources
from pathlib import Path
from typing import Any

import pyoxigraph as ox

VOCAB = "https://knockon.example/vocab#"
FORMULA = "https://knockon.example/formula#"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
RDFS = "http://www.w3.org/2000/01/rdf-schema#"
SH = "http://www.w3.org/ns/shacl#"
SKOS = "http://www.w3.org/2004/02/skos/core#"
DCTERMS = "http://purl.org/dc/terms/"


class VocabularyError(ValueError):
    """A Turtle file of the vocabulary says something that cannot be used; the message names the node."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a record table: a property shape.

    ``refers_to`` names the tables whose keys it may hold; ``names_in`` the table of the same layout that has what it
    names. Following the column from ``no_circle_from`` never leads back; a ``mutual`` one leads back at once.
    ``least`` and ``most`` close the window of a number, or of a size in its base unit. ``usual``: the code that counts
    where nobody wrote one.
    """

    name: str
    path: str
    datatype: str
    description: str = ""
    method: str = ""
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


@dataclass(frozen=True, slots=True)
class Table:
    """One record table, or (``is_kind``) one feature kind, whose columns are the kind's dimensions."""

    iri: str
    label: str
    table: str
    comment: str
    columns: tuple[Column, ...]
    is_kind: bool = False


@dataclass(frozen=True, slots=True)
class Term:
    """One term of a signed sum: ``factor`` times ``dimension`` of the feature in ``role``."""

    factor: float
    role: str
    dimension: str


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of a fit rule, or a number that is told beside it (``need`` is ``told``; ``listed``: also among the
    figures of a plan, where the joint rules something out).

    ``terms`` is a signed sum, unless ``formula`` names a formula whose arguments the terms are, or ``same_code`` asks
    two codes to agree; ``usual`` are then, term by term, the codes that count where nobody wrote one (blank: none).
    ``low``/``high`` is the closed window, ``gross_low``/``gross_high`` the one for nominal sizes. ``says_no`` is told
    of a no, ``says_together`` with it where all conditions of assembly agree.
    """

    label: str
    sort: str
    need: str
    terms: tuple[Term, ...]
    formula: str = ""
    same_code: bool = False
    low: float | None = None
    high: float | None = None
    gross: bool = False
    gross_low: float | None = None
    gross_high: float | None = None
    unit: str = ""
    source: str = ""
    standing: str = ""
    says_no: str = ""
    listed: bool = False
    says_together: str = ""
    usual: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class FitRule:
    """Which two kinds meet, and the conditions on their dimensions."""

    label: str
    first_role: str
    first_kind: str
    second_role: str
    second_kind: str
    safety_critical: bool
    conditions: tuple[Condition, ...]
    comment: str = ""


@dataclass(frozen=True, slots=True)
class PartType:
    """A part type with all the broader types it belongs to (itself included)."""

    label: str
    broader: tuple[str, ...]
    small_fixing: bool = False
    consumable: bool = False


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Everything the Turtle files say. Kinds are keyed by IRI, tables by table name, rules and part types by label;
    ``components`` are the dimensions that one cell of a datatype has."""

    tables: dict[str, Table] = field(default_factory=dict)
    kinds: dict[str, Table] = field(default_factory=dict)
    rules: dict[str, FitRule] = field(default_factory=dict)
    part_types: dict[str, PartType] = field(default_factory=dict)
    components: dict[str, tuple[Column, ...]] = field(default_factory=dict)

    def dimensions(self, kind: str) -> dict[str, Column]:
        """The dimensions of a kind by name: its columns, and the components of those that have some."""
        columns = self.kinds[kind].columns
        parts = {f"{c.name}.{part.name}": part for c in columns for part in self.components.get(c.datatype, ())}
        return {c.name: c for c in columns} | parts

    def dimension(self, kind: str, name: str) -> Column | None:
        """A dimension of a kind by its name: a column, or a component of one (``thread.hand``)."""
        return self.dimensions(kind).get(name)

    def is_a(self, part_type: str, wanted: str) -> bool:
        """Whether ``part_type`` is ``wanted`` or narrower."""
        known = self.part_types.get(part_type)
        return part_type == wanted or (known is not None and wanted in known.broader)


class _Graph:
    """Triples of the vocabulary, indexed by subject; blank nodes keep their file apart."""

    def __init__(self) -> None:
        self.by_subject: dict[Any, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))

    def read(self, text: bytes, name: str) -> None:
        try:
            for quad in ox.parse(text, format=ox.RdfFormat.TURTLE, rename_blank_nodes=True):
                self.by_subject[quad.subject][quad.predicate.value].append(quad.object)
        except (SyntaxError, ValueError, OSError) as error:
            raise VocabularyError(f"{name}: {error}") from error

    def subjects(self, type_iri: str) -> list[Any]:
        found = [s for s, p in self.by_subject.items() if any(o.value == type_iri for o in p.get(RDF + "type", ()))]
        return sorted(found, key=lambda s: str(s.value))

    def text(self, subject: Any, predicate: str, default: str = "") -> str:
        values = sorted(str(o.value) for o in self.by_subject[subject].get(predicate, ()))
        return values[0] if values else default

    def texts(self, subject: Any, predicate: str) -> list[str]:
        return sorted(str(o.value) for o in self.by_subject[subject].get(predicate, ()))

    def number(self, subject: Any, predicate: str) -> float | None:
        text = self.text(subject, predicate)
        try:
            return float(text) if text else None
        except ValueError as error:
            raise VocabularyError(f"{subject}: {predicate} is {text!r}, not a number") from error

    def flag(self, subject: Any, predicate: str) -> bool:
        return self.text(subject, predicate) in ("true", "1")

    def items(self, subject: Any, predicate: str) -> Iterator[str]:
        """The members of an RDF list."""
        nodes = self.by_subject[subject].get(predicate, ())
        node = nodes[0] if nodes else None
        seen = 0
        while node is not None and node.value != RDF + "nil" and seen < 10_000:
            yield self.text(node, RDF + "first")
            rest = self.by_subject[node].get(RDF + "rest", ())
            node = rest[0] if rest else None
            seen += 1


def local_name(iri: str) -> str:
    """The part of an IRI after the last # or /."""
    return iri.replace("#", "/").rsplit("/", 1)[-1]


def _is_xsd(datatype: str) -> bool:
    """Whether SHACL itself can compare such numbers; a size with its unit needs a word of our own."""
    return datatype in ("integer", "decimal")


def _column(graph: _Graph, node: Any, shape: str) -> tuple[int, Column]:
    datatype = local_name(graph.text(node, SH + "datatype"))
    column = Column(
        name=graph.text(node, SH + "name"),
        path=graph.text(node, SH + "path"),
        datatype={"splinePitch": "spline pitch"}.get(datatype, datatype),
        description=graph.text(node, SH + "description"),
        method=graph.text(node, VOCAB + "method"),
        key=graph.flag(node, VOCAB + "key"),
        required=graph.text(node, SH + "minCount") not in ("", "0"),
        many=graph.text(node, SH + "maxCount") == "",
        refers_to=tuple(graph.texts(node, VOCAB + "refersTo")),
        names=local_name(graph.text(node, VOCAB + "names")),
        values=tuple(graph.items(node, SH + "in")),
        names_in=graph.text(node, VOCAB + "namesIn"),
        no_circle_from=graph.text(node, VOCAB + "noCircleFrom"),
        mutual=graph.flag(node, VOCAB + "mutual"),
        least=graph.number(node, SH + "minInclusive" if _is_xsd(datatype) else VOCAB + "least"),
        most=graph.number(node, SH + "maxInclusive" if _is_xsd(datatype) else VOCAB + "most"),
        usual=graph.text(node, VOCAB + "usual").strip().casefold(),  # as a cell of codes is read
    )
    if not column.name or not column.path:
        raise VocabularyError(f"a property shape of <{shape}> lacks sh:name or sh:path")
    return int(graph.number(node, SH + "order") or 0), column


def _table(graph: _Graph, node: Any) -> Table:
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
    )


def parse_reference(text: str) -> tuple[str, str]:
    """``male.thread_major`` or ``male.thread.major`` -> (role, dimension), underscores standing for blanks."""
    role, _, dimension = text.strip().partition(".")
    if not role or not dimension:
        raise VocabularyError(f"{text!r} is not of the form role.dimension")
    return role.replace("_", " "), dimension.replace("_", " ")


def parse_sum(text: str) -> tuple[tuple[Term, ...], bool]:
    """Read ``0.5*slot.width - rotor.thickness`` as terms; ``male.form == female.form`` as two terms and True."""
    try:
        tree = ast.parse(text.strip(), mode="eval").body
    except SyntaxError as error:
        raise VocabularyError(f"cannot read the sum {text!r}") from error
    if isinstance(tree, ast.Compare) and isinstance(tree.ops[0], ast.Eq) and len(tree.ops) == 1:
        sides = (tree.left, tree.comparators[0])
        return tuple(Term(1.0, *parse_reference(ast.unparse(s))) for s in sides), True
    return tuple(_sum_terms(tree, 1.0, text)), False


def _sum_terms(node: ast.expr, factor: float, text: str) -> Iterator[Term]:
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
        yield from _sum_terms(node.left, factor, text)
        yield from _sum_terms(node.right, -factor if isinstance(node.op, ast.Sub) else factor, text)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        yield from _sum_terms(node.operand, -factor if isinstance(node.op, ast.USub) else factor, text)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
        yield from _sum_terms(node.right, factor * _factor(node.left, text), text)
    elif isinstance(node, ast.Attribute):
        yield Term(factor, *parse_reference(ast.unparse(node)))
    else:
        raise VocabularyError(f"{text!r} is not a signed sum of role.dimension terms")


def _factor(node: ast.expr, text: str) -> float:
    try:
        return float(ast.literal_eval(node))
    except (ValueError, TypeError) as error:
        raise VocabularyError(f"{text!r}: a factor must be a number") from error


def _condition(graph: _Graph, node: Any) -> tuple[float, Condition]:
    formula = local_name(graph.text(node, VOCAB + "formula"))
    if formula:
        arguments = [a for a in graph.text(node, VOCAB + "arguments").split(",") if a.strip()]
        terms, same = tuple(Term(1.0, *parse_reference(a)) for a in arguments), False
    else:
        terms, same = parse_sum(graph.text(node, VOCAB + "value"))
    gross_low, gross_high = graph.number(node, VOCAB + "grossLow"), graph.number(node, VOCAB + "grossHigh")
    condition = Condition(
        label=graph.text(node, RDFS + "label") or local_name(str(node.value)),
        sort=local_name(graph.text(node, VOCAB + "sort", "service")),
        need=local_name(graph.text(node, VOCAB + "need", "required")),
        terms=terms,
        formula=formula,
        same_code=same,
        low=graph.number(node, VOCAB + "low"),
        high=graph.number(node, VOCAB + "high"),
        gross=gross_low is not None or gross_high is not None,
        gross_low=gross_low,
        gross_high=gross_high,
        unit=graph.text(node, VOCAB + "unit"),
        source=graph.text(node, DCTERMS + "source"),
        standing=graph.text(node, VOCAB + "standing"),
        says_no=graph.text(node, VOCAB + "saysNo"),
        listed=graph.flag(node, VOCAB + "listed"),
        says_together=graph.text(node, VOCAB + "saysTogether"),
    )
    return graph.number(node, SH + "order") or 0.0, condition


def _rule(graph: _Graph, node: Any) -> FitRule:
    nodes = graph.by_subject[node].get(VOCAB + "condition", ())
    found = sorted((_condition(graph, n) for n in nodes), key=lambda c: (c[0], c[1].label))
    rule = FitRule(
        label=graph.text(node, RDFS + "label"),
        first_role=graph.text(node, VOCAB + "firstRole").replace("_", " "),
        first_kind=graph.text(node, VOCAB + "firstKind"),
        second_role=graph.text(node, VOCAB + "secondRole").replace("_", " "),
        second_kind=graph.text(node, VOCAB + "secondKind"),
        safety_critical=graph.flag(node, VOCAB + "safetyCritical"),
        conditions=tuple(c for _, c in found),
        comment=graph.text(node, RDFS + "comment"),
    )
    roles = {rule.first_role, rule.second_role}
    for condition in rule.conditions:
        for term in condition.terms:
            if term.role not in roles:
                raise VocabularyError(f"rule {rule.label!r}, condition {condition.label!r}: no role {term.role!r}")
    return rule


def _part_types(graph: _Graph) -> dict[str, PartType]:
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
        )
    return types


def vocabulary_files(folder: Path | None = None) -> list[tuple[str, bytes]]:
    """The shipped Turtle files, then those of a records folder, each with its name, in a fixed order."""
    shipped = resources.files("knockon.graph").joinpath("vocabulary")
    files = [(f.name, f.read_bytes()) for f in shipped.iterdir() if f.name.endswith(".ttl")]
    own = [(p.name, p.read_bytes()) for p in folder.glob("*.ttl")] if folder else []
    return sorted(files) + sorted(own)


def read_vocabulary(files: Iterable[tuple[str, bytes]]) -> Vocabulary:
    """Read Turtle files into a Vocabulary.

    Raises VocabularyError, naming file or node, where a file is not Turtle or a rule cannot be understood.
    """
    graph = _Graph()
    for name, text in files:
        graph.read(text, name)
    shapes = [_table(graph, s) for s in graph.subjects(SH + "NodeShape") if graph.text(s, VOCAB + "table")]
    kinds = {t.iri: t for t in shapes if t.is_kind}
    rules = {r.label: r for r in (_rule(graph, s) for s in graph.subjects(VOCAB + "FitRule"))}
    for rule in rules.values():
        for kind in (rule.first_kind, rule.second_kind):
            if kind not in kinds:
                raise VocabularyError(f"rule {rule.label!r} names the kind <{kind}>, which no file describes")
    vocabulary = Vocabulary(
        tables={t.table: t for t in shapes if not t.is_kind},
        kinds=kinds,
        part_types=_part_types(graph),
        components=_components(graph),
    )
    return replace(vocabulary, rules={label: _with_usual(rule, vocabulary) for label, rule in rules.items()})


def _components(graph: _Graph) -> dict[str, tuple[Column, ...]]:
    """The dimensions that one cell of a datatype has beside each other, by datatype."""
    found: dict[str, tuple[Column, ...]] = {}
    for subject in graph.subjects(RDFS + "Datatype"):
        nodes = graph.by_subject[subject].get(VOCAB + "component", ())
        columns = sorted((_column(graph, node, str(subject.value)) for node in nodes), key=lambda c: c[0])
        if columns:
            found[local_name(str(subject.value))] = tuple(column for _, column in columns)
    return found


def _with_usual(rule: FitRule, vocabulary: Vocabulary) -> FitRule:
    """The rule, its comparisons of codes with the codes that count where nobody wrote one."""
    kinds = {rule.first_role: rule.first_kind, rule.second_role: rule.second_kind}

    def usual(condition: Condition) -> tuple[str, ...]:
        found = (vocabulary.dimension(kinds[t.role], t.dimension) for t in condition.terms)
        return tuple(column.usual if column else "" for column in found)

    conditions = tuple(replace(c, usual=usual(c)) if c.same_code else c for c in rule.conditions)
    return replace(rule, conditions=conditions)
