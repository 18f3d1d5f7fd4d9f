"""What no shape can say of a club's Turtle: names that must exist or be one's own, circles, what nobody reads."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator

import pyoxigraph as ox

from knockon.graph.rulebook import conditions
from knockon.graph.rulebook.faults import Book, Fault, Node, short
from knockon.graph.triples.statements import RDF, RDFS, SH, SKOS, VOCAB

OWL_ONTOLOGY = "http://www.w3.org/2002/07/owl#Ontology"
READ = {
    SH + "NodeShape": "a kind of feature",
    VOCAB + "FitRule": "a fit rule",
    VOCAB + "Condition": "a condition",
    SKOS + "Concept": "a part type",
    SKOS + "ConceptScheme": "a scheme of part types",
    VOCAB + "UsualCheck": "a usual check",
    VOCAB + "UsualSize": "a usual size",
    VOCAB + "Caution": "a caution",
    VOCAB + "Tool": "a measuring tool",
    VOCAB + "UsualTool": "a usual tool",
    OWL_ONTOLOGY: "a word about the file",
}
"""The types that something reads, and what each is."""
RESERVED_HEADERS = ("part", "feature", "source")
RESERVED_PATHS = frozenset({VOCAB + "of", VOCAB + "featureName", VOCAB + "knownAbsent", RDF + "type"})
OF_JOINT, OF_CHAIN = ("judgedBy", "partType", "otherPartType"), ("chain", "through", "dimension")
"""What a usual check says of a joint, and what of a chain of sizes (of which the dimensions may be left out)."""
OF_TABLES_ALONE = ("key", "mutual", "refersTo", "names", "namesIn", "noCircleFrom")


def meaning_faults(book: Book) -> Iterator[Fault]:
    """Every such fault of a club's Turtle."""
    yield from _types(book)
    for kind in book.own_of(SH + "NodeShape"):
        yield from _kind(book, kind)
    yield from _alike(book, SH + "NodeShape", VOCAB + "table", "table")
    yield from _alike(book, SH + "NodeShape", RDFS + "label", "label")
    yield from _alike(book, VOCAB + "FitRule", RDFS + "label", "label", ambiguous=True)
    yield from _alike(book, SKOS + "Concept", SKOS + "prefLabel", "label")
    for rule in book.own_of(VOCAB + "FitRule"):
        yield from _rule(book, rule)
    yield from _of_no_rule(book)
    yield from _part_types(book)
    yield from _alike(book, VOCAB + "UsualCheck", RDFS + "label", "label")
    for check in book.own_of(VOCAB + "UsualCheck"):
        yield from _usual_check(book, check)
    for size in book.own_of(VOCAB + "UsualSize"):
        yield from _usual(book, size)
    yield from _alike(book, VOCAB + "Tool", RDFS + "label", "label")
    for usual in book.own_of(VOCAB + "UsualTool"):
        yield from _existing(book, usual, VOCAB + "tool", set(book.every.subjects(VOCAB + "Tool")), "tool")
        yield from _of_a_kind(book, usual)
    concepts = set(book.every.subjects(SKOS + "Concept"))
    for caution in book.own_of(VOCAB + "Caution"):
        yield from _existing(book, caution, VOCAB + "partType", concepts, "part type")


def dependent_faults(book: Book, gone: Collection[Node]) -> Iterator[Fault]:
    """What uses something that is left out, of what is not left out itself."""
    uses = {
        VOCAB + "FitRule": (VOCAB + "firstKind", VOCAB + "secondKind", VOCAB + "condition"),
        SKOS + "Concept": (SKOS + "broader",),
        VOCAB + "UsualCheck": tuple(VOCAB + n for n in (*OF_JOINT, "through")),
        VOCAB + "Caution": (VOCAB + "partType",),
        VOCAB + "UsualTool": (VOCAB + "tool",),
    }
    for type_iri, predicates in uses.items():
        for root in book.own_of(type_iri):
            for predicate in predicates if root not in gone else ():
                for node in book.own.objects(root, predicate):
                    if node in gone:
                        yield Fault(root, "is itself left out", "one that is in order", predicate, node)


def _types(book: Book) -> Iterator[Fault]:
    expected = "one of " + ", ".join(short(ox.NamedNode(t)) for t in READ)
    for root in book.roots:
        types = book.own.objects(root, RDF + "type")
        ours = [t for t in types if t.value in READ]
        if len(ours) > 1:
            said = " and ".join(sorted(READ[t.value] for t in ours))
            yield Fault(root, f"is {said} at once", "one of them", RDF + "type")
        elif not ours:
            known = tuple(short(ox.NamedNode(t)) for t in READ)
            wrong = next((t for t in types), None)
            problem = "nothing reads a thing of this type" if wrong else "has no type, so that nothing reads it"
            yield Fault(root, problem, expected, RDF + "type", wrong, known=known)


def _alike(book: Book, type_iri: str, predicate: str, what: str, ambiguous: bool = False) -> Iterator[Fault]:
    """Two of one type with one name. Where what names it may mean either (``ambiguous``), neither is used."""
    named: dict[str, list[Node]] = defaultdict(list)
    for root in book.every.subjects(type_iri):
        if book.every.text(root, predicate):
            named[book.every.text(root, predicate)].append(root)
    for name, roots in named.items():
        own = [r for r in roots if r in book.own.by_subject]
        for root in own if len(roots) > 1 else ():
            other = next(r for r in roots if r != root)
            value = next(iter(book.own.objects(root, predicate)), None)
            yield Fault(root, f"{short(other)} has the {what} {name!r} too", f"a {what} of its own", predicate, value)
        for root in roots if own and len(roots) > 1 and ambiguous else ():
            if root not in own:
                yield Fault(root, f"{short(own[0])} has the {what} {name!r} too: which is meant?", f"another {what}")


# ------------------------------------------------------------------------------------------------- kinds


def _kind(book: Book, kind: Node) -> Iterator[Fault]:
    if not any(p.value == VOCAB + "Feature" for p in book.own.objects(kind, RDFS + "subClassOf")):
        yield Fault(kind, "is no kind of feature", "rdfs:subClassOf kn:Feature", RDFS + "subClassOf")
    for target in book.own.objects(kind, SH + "targetClass"):
        if target != kind:
            yield Fault(kind, "is another than the kind itself", short(kind), SH + "targetClass", target)
    dimensions = book.own.objects(kind, SH + "property")
    for predicate, what in (("path", "property"), ("name", "name"), ("order", "place in the order")):
        yield from _twice(book, kind, dimensions, SH + predicate, what)
    for node in dimensions:
        yield from _dimension(book, kind, node)


def _twice(book: Book, root: Node, parts: Iterable[Node], predicate: str, what: str) -> Iterator[Fault]:
    """Parts of one thing that say the same where each must say something of its own."""
    seen: dict[str, Node] = {}
    for node in parts:
        for value in book.every.objects(node, predicate):
            text = str(value.value)
            if seen.setdefault(text, node) != node:
                path = book.every.text(node, SH + "path")
                yield Fault(root, f"another has this {what} too", f"a {what} of its own", predicate, value, path)


def _dimension(book: Book, kind: Node, node: Node) -> Iterator[Fault]:
    own, path = book.own, book.own.text(node, SH + "path")

    def fault(problem: str, expected: str, predicate: str, value: Node = None, out: bool = True) -> Fault:
        return Fault(kind, problem, expected, predicate, value, path, out=out)

    name, datatype = own.text(node, SH + "name"), own.text(node, SH + "datatype")
    if name in RESERVED_HEADERS:
        yield fault("every table of features has a column of this name", "another name", SH + "name", ox.Literal(name))
    if "  " in name:
        yield fault("holds two blanks together", "single blanks", SH + "name", ox.Literal(name))
    if path in RESERVED_PATHS:
        yield fault("says something else of every feature", "a property of the kind's own", SH + "path")
    if not datatype or datatype not in book.datatypes:
        wrong = next(iter(own.objects(node, SH + "datatype")), None)
        words = tuple(sorted(short(ox.NamedNode(d)) for d in book.datatypes))
        yield fault("no datatype of sizes", "one of " + ", ".join(words), SH + "datatype", wrong)
    method, measured = own.text(node, VOCAB + "method"), own.objects(node, VOCAB + "measured")
    if not method and not measured:
        yield fault('is missing: "measure first" would pass the size over', "kn:method", VOCAB + "method", out=False)
    least, most = (_float(own.text(node, VOCAB + n)) for n in ("least", "most"))
    if least is not None and most is not None and least > most:
        yield fault("is above kn:most", "a number below kn:most", VOCAB + "least")
    for word in (*(VOCAB + w for w in OF_TABLES_ALONE), SH + "minInclusive", SH + "maxInclusive", SH + "nodeKind"):
        if own.objects(node, word):
            yield fault("is a word for plain tables", "kn:least, kn:most or sh:in", word)
    yield from _flat_jaws(book, kind, node, path)
    yield from _words(book, kind, node, path)
    yield from _usual_word(book, kind, node, path)


def _flat_jaws(book: Book, kind: Node, node: Node, path: str) -> Iterator[Fault]:
    """The dimension that counts the tips over which flat jaws read a length."""
    own = book.own
    dimensions = own.objects(kind, SH + "property")
    counts = [own.text(n, SH + "name") for n in dimensions if own.text(n, SH + "datatype") == VOCAB + "count"]
    for over in own.objects(node, VOCAB + "flatJawsOver"):
        if over.value not in counts or own.text(node, SH + "datatype") != VOCAB + "length":
            expected = "on a length, the name of a count of this kind"
            yield Fault(kind, "counts no tips of it", expected, VOCAB + "flatJawsOver", over, path)


def _usual_word(book: Book, kind: Node, node: Node, path: str) -> Iterator[Fault]:
    """The word that counts where nobody wrote one: one of those that are listed, or a slip in it would go unseen."""
    for usual in book.own.objects(node, VOCAB + "usual"):
        words = tuple(book.own.items(node, SH + "in"))
        expected = "one of " + ", ".join(words) if words else "sh:in with the words that it may be"
        if book.own.text(node, SH + "datatype") != VOCAB + "code":
            yield Fault(kind, "only a code has a usual word", "sh:datatype kn:code", VOCAB + "usual", usual, path)
        elif usual.value not in words:
            yield Fault(
                root=kind,
                problem="is none of the words in sh:in",
                expected=expected,
                predicate=VOCAB + "usual",
                value=usual,
                path=path,
                known=words,
            )


def _words(book: Book, kind: Node, node: Node, path: str) -> Iterator[Fault]:
    """The list of the words that a code may be."""
    for first in book.own.objects(node, SH + "in"):
        words: list[Node] = []
        at = first
        while at.value != RDF + "nil":
            said, rest = book.own.objects(at, RDF + "first"), book.own.objects(at, RDF + "rest")
            if len(said) != 1 or len(rest) != 1 or len(words) > 1_000:
                yield Fault(kind, "is no list", 'a list such as ( "round" "square" )', SH + "in", path=path)
                return
            words.append(said[0])
            at = rest[0]
        texts = [w.value for w in words if isinstance(w, ox.Literal) and w.value and w.value == w.value.strip()]
        if len(texts) != len(words) or not texts or len(set(texts)) != len(texts):
            yield Fault(
                kind, "is no list of words", 'different words, such as ( "round" "square" )', SH + "in", path=path
            )


def _float(text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError:
        return None


# ------------------------------------------------------------------------------------------------- rules


def _rule(book: Book, rule: Node) -> Iterator[Fault]:
    own = book.own
    roles = [own.text(rule, VOCAB + r).replace("_", " ") for r in ("firstRole", "secondRole")]
    if roles[0] and roles[0] == roles[1]:
        yield Fault(rule, "both sides have the same role", "two roles", VOCAB + "secondRole")
    kinds = _of_type(book, SH + "NodeShape", lambda s: VOCAB + "Feature" in book.every.texts(s, RDFS + "subClassOf"))
    for predicate in (VOCAB + "firstKind", VOCAB + "secondKind"):
        yield from _existing(book, rule, predicate, kinds, "kind of feature")
    known = _of_type(book, VOCAB + "Condition", lambda s: True)
    yield from _existing(book, rule, VOCAB + "condition", known, "condition")
    used = [c for c in own.objects(rule, VOCAB + "condition") if c in known]
    for f in _twice(book, rule, used, SH + "order", "place in the order"):
        yield Fault(rule, "two of its conditions have one place in the order", "an order of their own", f.predicate)
    if used and not any(book.every.text(c, VOCAB + "need") == VOCAB + "required" for c in used):
        yield Fault(rule, "none of its conditions is required: it would always fit", "kn:need kn:required in one")
    for condition in used:
        yield from conditions.faults(book, rule, condition)


def _of_type(book: Book, type_iri: str, holds: Callable[[Node], bool]) -> set[Node]:
    return {s for s in book.every.subjects(type_iri) if holds(s)}


def _existing(book: Book, root: Node, predicate: str, known: Collection[Node], what: str) -> Iterator[Fault]:
    for node in book.own.objects(root, predicate):
        if node not in known:
            names = tuple(sorted(short(k) for k in known if isinstance(k, ox.NamedNode)))
            yield Fault(root, f"no such {what}", f"a {what} that is described", predicate, node, known=names)


def _of_no_rule(book: Book) -> Iterator[Fault]:
    used = {c for r in book.every.subjects(VOCAB + "FitRule") for c in book.every.objects(r, VOCAB + "condition")}
    for condition in book.own_of(VOCAB + "Condition"):
        if condition not in used:
            yield Fault(condition, "no fit rule has this condition: it judges nothing", "kn:condition in a fit rule")


# --------------------------------------------------------------------------------------------- part types


def _part_types(book: Book) -> Iterator[Fault]:
    known = set(book.every.subjects(SKOS + "Concept"))
    for concept in book.own_of(SKOS + "Concept"):
        yield from _existing(book, concept, SKOS + "broader", known, "part type")
        way = list(book.every.objects(concept, SKOS + "broader"))
        for one in way:  # grows while it is walked
            way += [b for b in book.every.objects(one, SKOS + "broader") if b not in way]
        if concept in way:
            yield Fault(concept, "leads back to itself", "a broader part type", SKOS + "broader")


def _usual_check(book: Book, check: Node) -> Iterator[Fault]:
    own = book.own
    joint, chain = ([n for n in names if own.objects(check, VOCAB + n)] for names in (OF_JOINT, OF_CHAIN))
    if joint and chain:
        yield Fault(check, "says of a joint and of a chain at once", "one of the two", VOCAB + chain[0])
    for name in [n for n in (OF_CHAIN[:2] if chain and not joint else OF_JOINT) if n not in (*joint, *chain)]:
        yield Fault(check, f"kn:{name} is missing", f"kn:{name}", VOCAB + name)
    yield from _existing(book, check, VOCAB + "judgedBy", set(book.every.subjects(VOCAB + "FitRule")), "fit rule")
    for name in ("partType", "otherPartType", "through"):
        yield from _existing(book, check, VOCAB + name, set(book.every.subjects(SKOS + "Concept")), "part type")
    known = _dimension_names(book)
    for value in own.objects(check, VOCAB + "dimension"):
        if value.value not in known:
            yield Fault(
                check, "no kind has such a dimension", "a dimension", VOCAB + "dimension", value, known=tuple(known)
            )


def _dimension_names(book: Book) -> list[str]:
    """The dimensions of all kinds, by name; a thread's parts (``thread.major``) too."""
    names: set[str] = set()
    for kind in book.every.subjects(SH + "NodeShape"):
        for node in book.every.objects(kind, SH + "property"):
            name, datatype = (book.every.text(node, SH + n) for n in ("name", "datatype"))
            parts = book.every.objects(ox.NamedNode(datatype), VOCAB + "component") if datatype else []
            names |= {name, *(f"{name}.{book.every.text(p, SH + 'name')}" for p in parts)}
    return sorted(names)


def _usual(book: Book, size: Node) -> Iterator[Fault]:
    yield from _of_a_kind(book, size)
    low, high = (_float(book.own.text(size, VOCAB + n)) for n in ("low", "high"))
    if low is not None and high is not None and low >= high:
        yield Fault(size, "is not below kn:high", "a number below kn:high", VOCAB + "low")


def _of_a_kind(book: Book, said: Node) -> Iterator[Fault]:
    """The table of a kind and the name of one of its dimensions; of a designation a part may follow a point."""
    table, name = (book.own.text(said, VOCAB + n) for n in ("table", "dimension"))
    kinds = {book.every.text(k, VOCAB + "table"): k for k in book.every.subjects(SH + "NodeShape")}
    if table not in kinds:
        yield Fault(said, "no kind has this table", "a kind's table", VOCAB + "table", known=tuple(sorted(kinds)))
        return
    names = {book.every.text(p, SH + "name") for p in book.every.objects(kinds[table], SH + "property")}
    if name.partition(".")[0] not in names:
        known = tuple(sorted(names))
        expected = "one of " + ", ".join(known)
        yield Fault(said, f"{table} has no such dimension", expected, VOCAB + "dimension", known=known)
