"""What is understood of foreign RDF: schema.org's products, offers and property values, QUDT's quantities.

``foreign.csv`` says what a term means here, in which table and column. What is understood becomes rows, which are
checked as all rows are; everything else is counted. A product is a part of the records by its IRI or its number; one
that is known only by its seller's own number takes offers and claims, no sizes. A size is taken with its unit only,
and only where its name is that of a feature and dimension recorded of the part, or of one of its dimensions here.

Terms: schema.org (isAccessoryOrSparePartFor, Offer, PropertyValue); QUDT (numericValue, unit and quantityValue stand in
its schema 2.1, SCHEMA_QUDT-v2.1.ttl; hasUnit and hasQuantity, which other releases have, and the names of its units
are from memory); unit codes of UN/CEFACT Recommendation 20 (from memory): MMT millimetre, CMT centimetre, MTR metre,
INH inch, DD degree, GRM gram, KGM kilogram.
isSimilarTo and isVariantOf are left alone: similar is not "same as".
"""

from __future__ import annotations

import csv
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any, NamedTuple

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import CLUBS, TYPE
from knockon.graph.files.shipped import shipped
from knockon.graph.model import names
from knockon.graph.model.schema import DCTERMS, RDF, SKOS, VOCAB, Vocabulary
from knockon.graph.rdf.canonical import PROV, iri_of
from knockon.graph.triples.datatypes import cell_literal

MOST_EXAMPLES = 5
_OTHER_SCHEME = "http://schema.org/"
_OF_A_STANDARD = {SKOS + "altLabel": names.ID + "positions/"}
"""Columns that stand as a standard's own property, and what they are columns of: what else a position is called."""
NOT_MAPPED = "this term means nothing here"


class NotUnderstood(msgspec.Struct, frozen=True, order=True):
    """A foreign statement that does nothing here, and why."""

    statement: str
    reason: str


class Foreign(msgspec.Struct, frozen=True):
    """What is understood of foreign statements: rows as what (how many), the statements that they rest on; how many
    statements are not understood, with examples. ``currency``: that of the prices."""

    understood: int = 0
    rows: tuple[tuple[str, int], ...] = ()
    currency: str = ""
    not_understood: int = 0
    examples: tuple[NotUnderstood, ...] = ()


class _Term(NamedTuple):
    means: str
    value: str


@cache
def _terms() -> dict[str, _Term]:
    text = shipped("graph", "exchange", "foreign.csv").read_text(encoding="utf-8")
    return {row["term"]: _Term(row["means"], row["value"]) for row in csv.DictReader(text.splitlines())}


def _means(iri: str) -> str:
    known = _terms().get(iri.replace(_OTHER_SCHEME, "https://schema.org/", 1))
    return known.means if known and known.means != "unit" else ""


def is_foreign(quad: ox.Quad) -> bool:
    """Whether a statement is in nobody's words here: no column, no type of ours, no provenance."""
    path, subject = quad.predicate.value, iri_of(quad.subject)
    ours = subject.startswith(names.ID) and not subject.startswith(names.ID + "nodes/")
    told = ours and (path.startswith((PROV, DCTERMS)) or (path == TYPE.value and iri_of(quad.object).startswith(PROV)))
    typed = path == TYPE.value and iri_of(quad.object).startswith(VOCAB)
    about = iri_of(quad.graph_name).startswith(CLUBS) and iri_of(quad.graph_name).endswith("/about")
    column = path in _OF_A_STANDARD and subject.startswith(_OF_A_STANDARD[path])
    return not (path.startswith(VOCAB) or told or typed or about or column)


def is_understood(quad: ox.Quad) -> bool:
    """Whether a statement's words are foreign, and mean something here: it may become a row."""
    return bool(_means(quad.predicate.value))


class _Known(msgspec.Struct):
    """What the records know of: parts and vehicles as made by what they may be called, and features of parts."""

    parts: dict[str, str] = msgspec.field(default_factory=dict)
    vehicles: dict[str, set[str]] = msgspec.field(default_factory=lambda: defaultdict(set))
    features: dict[str, dict[str, set[str]]] = msgspec.field(
        default_factory=lambda: defaultdict(lambda: defaultdict(set))
    )

    @classmethod
    def of(cls, quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> _Known:
        said: dict[Any, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
        wanted = {TYPE.value, *(VOCAB + n for n in ("part", "vehicle", "title", "asMade", "of", "featureName"))}
        for quad in quads:
            if quad.predicate.value in wanted:
                said[quad.subject][quad.predicate.value].append(quad.object)
        found = cls()
        for subject, stated in said.items():
            types = {iri_of(t) for t in stated[TYPE.value]}
            table, _, key = iri_of(subject).removeprefix(names.ID).partition("/")
            if VOCAB + "Part" in types and table == "parts" and key:
                found.parts[names.key_of(iri_of(subject))] = iri_of(subject)
            made = not any(v.value in ("false", "0") for v in stated[VOCAB + "asMade"])
            if VOCAB + "Vehicle" in types and made and table == "vehicles" and key:
                called = [names.key_of(iri_of(subject)), *(t.value for t in stated[VOCAB + "title"])]
                for name in called:
                    found.vehicles[name.casefold()].add(iri_of(subject))
            for kind in types & set(vocabulary.kinds):
                for bearer in stated[VOCAB + "of"]:
                    for name in stated[VOCAB + "featureName"]:
                        found.features[iri_of(bearer)][name.value].add(kind)
        return found


class _Reader:
    """Reads one club's foreign statements against what is known."""

    def __init__(self, quads: Iterable[ox.Quad], known: _Known, vocabulary: Vocabulary) -> None:
        self.known, self.vocabulary = known, vocabulary
        self.by_subject: dict[Any, list[ox.Quad]] = defaultdict(list)
        self.statements = sorted(quads, key=str)
        for quad in self.statements:
            self.by_subject[quad.subject].append(quad)
        self.used: set[ox.Quad] = set()
        self.reasons: dict[ox.Quad, str] = {}
        self.rows: dict[tuple[str, Any], list[ox.Quad]] = {}
        self.replaced: dict[ox.Quad, ox.Quad] = {}
        self.currencies: set[str] = set()
        self.datatypes = {c.path: c.datatype for k in vocabulary.kinds.values() for c in k.columns}

    def run(self) -> None:
        for quad in self.statements:
            means = _means(quad.predicate.value)
            if means in ("claim", "offer", "offered", "property"):
                reason = getattr(self, "_" + means)(quad)
                self.reasons |= {quad: reason} if reason else {}
            elif quad.predicate.value in self.datatypes:
                self._quantity_of_column(quad)
        if len(self.currencies) > 1:
            self._without_offers()

    def said(self, node: Any, *means: str) -> list[ox.Quad]:
        return [q for q in self.by_subject.get(node, ()) if _means(q.predicate.value) in means]

    def text(self, node: Any, *means: str) -> tuple[str, list[ox.Quad]]:
        """The one text that a node states so, with its statements; blank where there is none or there are two."""
        found = self.said(node, *means)
        texts = {str(getattr(q.object, "value", q.object)).strip() for q in found}
        return (texts.pop(), found) if len(texts) == 1 else ("", [])

    def part(self, node: Any) -> tuple[str, bool, list[ox.Quad]]:
        """The IRI of the part that a node is, whether that is sure, and what says so; blank: no part known here."""
        own = iri_of(node).startswith(names.ID + "parts/")
        if own and names.key_of(iri_of(node)) in self.known.parts:
            return iri_of(node), True, []
        for means, sure in (("number", True), ("seller's number", False)):
            number, why = self.text(node, means)
            if number:
                return self.known.parts.get(number, ""), sure, why
        return "", False, []

    def vehicle(self, node: Any) -> tuple[str, list[ox.Quad]]:
        if isinstance(node, ox.NamedNode) and any(node.value in v for v in self.known.vehicles.values()):
            return node.value, []
        name, why = self.text(node, "name") if not isinstance(node, ox.Literal) else (node.value, [])
        found = self.known.vehicles.get(name.casefold(), set())
        return (min(found), why) if len(found) == 1 else ("", [])

    def use(self, *quads: ox.Quad) -> None:
        self.used |= {*quads, *(q for u in quads for q in self.by_subject[u.subject] if q.predicate == TYPE)}

    def row(self, what: str, shape: str, key: tuple[str, ...], cells: dict[str, Any], graph: Any) -> None:
        subject = ox.NamedNode(names.iri(what, *key))
        quads = [ox.Quad(subject, TYPE, ox.NamedNode(VOCAB + shape), graph)]
        quads += [ox.Quad(subject, ox.NamedNode(VOCAB + c), v, graph) for c, v in cells.items()]
        self.rows[(what, (subject, str(cells.get("price", ""))))] = quads

    def _claim(self, quad: ox.Quad) -> str:
        part, _, why = self.part(quad.subject)
        if not part:
            return "the records have no part of this number"
        vehicle, told = self.vehicle(quad.object)
        other, _, whose = ("", True, []) if vehicle else self.part(quad.object)
        if not vehicle and not other:
            return "the records have no part and no vehicle as made of this name"
        claim = "listed for" if vehicle else "goes with"
        cells = {"part": ox.NamedNode(part), "claim": ox.Literal(claim)}
        cells |= {"vehicle": ox.NamedNode(vehicle)} if vehicle else {"otherPart": ox.NamedNode(other)}
        key = tuple(names.key_of(iri) if iri else "" for iri in (part, vehicle, other))
        self.row("claims", "Claim", (key[0], claim, key[1], key[2]), cells, quad.graph_name)
        self.use(quad, *why, *told, *whose)
        return ""

    def _offer(self, quad: ox.Quad) -> str:
        return self._offer_of(quad.subject, quad.object, quad)

    def _offered(self, quad: ox.Quad) -> str:
        return self._offer_of(quad.object, quad.subject, quad)

    def _offer_of(self, product: Any, offer: Any, quad: ox.Quad) -> str:
        part, _, why = self.part(product)
        price, priced = self.text(offer, "price")
        currency, told = self.text(offer, "currency")
        sellers = self.said(offer, "seller")
        seller, named = self._seller(sellers[0].object) if len(sellers) == 1 else ("", [])
        amount = _amount(price)
        if not part or amount is None or not currency or not seller:
            lacks = {
                "part of this number in the records": part,
                "price": amount,
                "currency": currency,
                "seller": seller,
            }
            return "the offer has no " + next(k for k, v in lacks.items() if v in ("", None))
        graph = quad.graph_name
        supplier = ox.NamedNode(names.iri("suppliers", seller))
        self.row("suppliers", "Supplier", (seller,), {"supplier": ox.Literal(seller)}, graph)
        decimal = ox.NamedNode("http://www.w3.org/2001/XMLSchema#decimal")
        cells = {"supplier": supplier, "part": ox.NamedNode(part), "price": ox.Literal(amount, datatype=decimal)}
        self.row("offers", "Offer", (seller, names.key_of(part)), cells, graph)
        self.currencies.add(currency)
        self.use(quad, *why, *priced, *told, *sellers, *named)
        return ""

    def _seller(self, node: Any) -> tuple[str, list[ox.Quad]]:
        return (node.value.strip(), []) if isinstance(node, ox.Literal) else self.text(node, "name")

    def _without_offers(self) -> None:
        """Prices of several currencies cannot stand side by side: the records hold bare numbers."""
        self.rows = {k: v for k, v in self.rows.items() if k[0] not in ("offers", "suppliers")}
        of_offers = {"offer", "offered", "price", "currency", "seller"}
        gone = {q for q in self.used if _means(q.predicate.value) in of_offers}
        self.used -= gone
        self.reasons |= dict.fromkeys(gone, f"prices in {' and '.join(sorted(self.currencies))}: one is needed")
        self.currencies = set()

    def quantity(self, node: Any) -> tuple[str, list[ox.Quad]]:
        """A quantity as a cell has it, with its unit; blank where number or unit is not stated or not known."""
        number, why = self.text(node, "number of a quantity")
        unit, of_unit = self.text(node, "unit of a quantity")
        known = _terms().get(unit)
        plain = _amount(number)
        if plain is None or known is None or known.means != "unit":
            return "", []
        return f"{plain} {known.value}", [*why, *of_unit]

    def size(self, path: str, written: str) -> ox.Literal:
        """A size as a cell of this dimension holds it."""
        return cell_literal(self.datatypes[path], written)

    def _quantity_of_column(self, quad: ox.Quad) -> None:
        if not isinstance(quad.object, ox.NamedNode):
            return
        written, why = self.quantity(quad.object)
        path = quad.predicate.value
        if written:
            self.replaced[quad] = ox.Quad(quad.subject, quad.predicate, self.size(path, written), quad.graph_name)
            self.use(*why)
        for told in self.by_subject.get(quad.object, ()) if not written else ():
            self.reasons[told] = "a size needs a number and a unit known here"

    def _property(self, quad: ox.Quad) -> str:
        part, sure, why = self.part(quad.subject)
        if not part or not sure:
            return "the records have no part of this maker's number"
        values = self.said(quad.object, "value of a quantity")
        written, told = self.quantity(values[0].object if len(values) == 1 else quad.object)
        if not written:
            return "a size needs a number and a unit known here"
        named = self.said(quad.object, "property name", "name")
        found = {f for q in named for f in self._dimensions(part, str(getattr(q.object, "value", "")))}
        if len(found) != 1:
            return "its name is not that of one feature and dimension recorded of the part"
        feature, kind, path = found.pop()
        graph, subject = quad.graph_name, ox.NamedNode(names.iri("features", names.key_of(part), feature))
        cells: list[tuple[ox.NamedNode, Any]] = [
            (TYPE, ox.NamedNode(kind)),
            (ox.NamedNode(VOCAB + "of"), ox.NamedNode(part)),
        ]
        cells += [
            (ox.NamedNode(VOCAB + "featureName"), ox.Literal(feature)),
            (ox.NamedNode(path), self.size(path, written)),
        ]
        self.rows[("sizes", (subject, path + written))] = [ox.Quad(subject, p, o, graph) for p, o in cells]
        self.use(quad, *why, *values, *told, *named)
        return ""

    def _dimensions(self, part: str, name: str) -> Iterator[tuple[str, str, str]]:
        for feature, kinds in self.known.features.get(part, {}).items():
            for kind in kinds if len(kinds) == 1 else ():
                for column in self.vocabulary.kinds[kind].columns:
                    if name == column.path or _plain(name) == _plain(f"{feature} {column.name}"):
                        yield feature, kind, column.path


def _plain(text: str) -> str:
    return " ".join(re.sub(r"[:,;]", " ", text.casefold()).split())


def _amount(written: str) -> str | None:
    """A number of a file as a plain decimal; None for what is none."""
    try:
        number = Decimal(written)
    except InvalidOperation:
        return None
    return format(number, "f") if number.is_finite() and -20 < number.adjusted() < 12 else None


def translated(
    quads: Iterable[ox.Quad], known: Iterable[ox.Quad], vocabulary: Vocabulary
) -> tuple[list[ox.Quad], Foreign]:
    """The statements with the rows that are understood of foreign ones, and what was understood."""
    quads = list(quads)
    foreign = [q for q in quads if is_foreign(q)]
    if not foreign:
        return quads, Foreign()
    reader = _Reader(quads, _Known.of(known, vocabulary), vocabulary)
    reader.run()
    counts: dict[str, int] = defaultdict(int)
    for what, _ in reader.rows:
        counts[what] += 1
    counts["sizes"] += len(reader.replaced)
    missed = [q for q in foreign if q not in reader.used]
    rows = [q for quads_ in reader.rows.values() for q in quads_]
    return [*(reader.replaced.get(q, q) for q in quads), *rows], Foreign(
        len(foreign) - len(missed),
        tuple(sorted((what, n) for what, n in counts.items() if n)),
        "".join(reader.currencies),
        len(missed),
        tuple(_examples(missed, reader.reasons)),
    )


def _examples(missed: list[ox.Quad], reasons: dict[ox.Quad, str]) -> list[NotUnderstood]:
    """Up to five, those with a reason of their own first, each property once as long as there are others."""
    ordered = sorted(missed, key=lambda q: (q not in reasons, q.predicate.value == RDF + "type", str(q)))
    first = {q.predicate: q for q in reversed(ordered)}
    chosen = sorted(ordered, key=lambda q: first[q.predicate] != q)[:MOST_EXAMPLES]
    return [NotUnderstood(_said(q), reasons.get(q, NOT_MAPPED)) for q in chosen]


def _said(quad: ox.Quad) -> str:
    return " ".join(str(getattr(n, "value", n)) for n in (quad.subject, quad.predicate, quad.object))[:300]
