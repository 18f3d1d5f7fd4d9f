"""A club's own vocabulary: what of it is in order is used, what is not is left out, and every fault is a finding.

What uses something that is left out is left out too: a rule without one of its conditions would be another rule.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import cache, lru_cache

import pyoxigraph as ox

from knockon.graph.model.findings import Finding
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import Vocabulary, VocabularyError, vocabulary_files, vocabulary_of
from knockon.graph.rdf.nesting import DEEPEST, is_too_deep
from knockon.graph.rulebook.checks import READ, dependent_faults, meaning_faults
from knockon.graph.rulebook.faults import Book, Fault, Node, owners_of, short
from knockon.graph.rulebook.shacl import shape_faults
from knockon.graph.triples.lines import Places
from knockon.graph.triples.statements import RDFS, SH, SKOS, VOCAB, XSD, Statements

Files = tuple[tuple[str, bytes], ...]
NAMED_BY = {SH + "NodeShape": ("table", VOCAB + "table"), VOCAB + "FitRule": ("rule", RDFS + "label")}
NAMED_BY |= {SKOS + "Concept": ("part type", SKOS + "prefLabel")}
"""What records name a thing by: the sort of name, and the property that holds it."""


def usable_vocabulary(files: Files) -> tuple[Vocabulary, tuple[Finding, ...]]:
    """The shipped vocabulary with what can be used of a club's Turtle files, each with its name; and the findings.

    Pays for the shapes only where the files state something.
    """
    vocabulary, findings, _ = _read(files)
    return vocabulary, findings


def usable_triples(files: Files) -> tuple[ox.Triple, ...]:
    """The statements of a club's Turtle files without those that are left out."""
    return _read(files)[2]


def beside_shipped(triples: Sequence[ox.Triple]) -> bytes:
    """Of the statements of a whole vocabulary those that are not shipped, as N-Triples; blank: none.

    What is shipped stands as it is shipped here; a statement added to it is kept, so that it is found.
    """
    shipped = _shipped()
    owners = owners_of(Statements(triples))
    kept = []
    for t in triples:
        if not any(root in shipped.by_subject for root in owners.get(t.subject, (t.subject,))):
            kept.append(t)
        elif t.subject in shipped.by_subject and isinstance(t.subject, ox.NamedNode):
            said = [_value(node) for node in shipped.objects(t.subject, t.predicate.value)]
            kept += [t] if not isinstance(t.object, ox.BlankNode) and _value(t.object) not in said else []
    return ox.serialize(sorted(kept, key=str), format=ox.RdfFormat.N_TRIPLES) or b""


def _value(node: Node) -> object:
    """What a node says: 0.50 and 0.5 are one number, and a server may write either."""
    if isinstance(node, ox.Literal) and node.datatype.value in (XSD + "decimal", XSD + "double", XSD + "integer"):
        with suppress(ValueError):
            return float(node.value)
    return node


@lru_cache(maxsize=16)
def _read(files: Files) -> tuple[Vocabulary, tuple[Finding, ...], tuple[ox.Triple, ...]]:
    shipped = _shipped()
    findings: list[Finding] = []
    triples: list[ox.Triple | ox.Quad] = []
    places: list[Places] = []
    for name, text in files:
        try:
            if is_too_deep(text, is_json=False):
                raise ValueError(f"nested more than {DEEPEST} deep")
            said = list(ox.parse(text, format=ox.RdfFormat.TURTLE, rename_blank_nodes=True))
        except (SyntaxError, ValueError, OSError) as error:
            line = getattr(error, "lineno", None) or 0
            problem = f"is not Turtle, so that nothing of the file is used: {error}"
            findings.append(Finding(file=name, row=line, problem=problem, expected="Turtle"))
            continue
        if not said:
            problem = "the file says nothing"
            findings.append(
                Finding(file=name, problem=problem, expected="a kind, a fit rule or a part type", set_aside=False)
            )
        triples += said
        places.append(Places.of(name, text.decode("utf-8", "replace")))
    if not triples:
        return _shipped_vocabulary(), tuple(findings), ()
    vocabulary, more, kept = _checked(shipped, triples, places)
    return vocabulary, tuple(sorted({*findings, *more})), kept


@cache
def _shipped() -> Statements:
    statements = Statements()
    for name, text in vocabulary_files():
        statements.read(text, name)
    return statements


@cache
def _shipped_vocabulary() -> Vocabulary:
    return vocabulary_of(_shipped())


def _checked(
    shipped: Statements, triples: Sequence[ox.Triple | ox.Quad], places: Sequence[Places]
) -> tuple[Vocabulary, list[Finding], tuple[ox.Triple, ...]]:
    book = Book.of(shipped, triples)
    touched = dict.fromkeys(t.subject for t in triples if t.subject in shipped.by_subject and not _is_word(t))
    problem = (
        "is part of the vocabulary that is shipped, to which nothing but other words (skos:altLabel) can be added: "
        "anything else here is not used"
    )
    faults = [Fault(subject, problem, "a name of your own") for subject in touched]
    found = [*shape_faults(book), *meaning_faults(book)]
    gone = {f.root for f in found if f.out}
    while more := list(dependent_faults(book, gone)):
        found += more
        gone |= {f.root for f in more}
    findings = [_finding(f, places) for f in (*faults, *found) if f.root not in shipped.by_subject or f in faults]
    left_out = {name: where for root in sorted(gone, key=str) for name, where in _names(book, root, places)}
    try:
        kept = _kept(book, gone)
        used = [t for t in triples if t.subject in kept.by_subject and t.subject not in shipped.by_subject]
        words = [t for t in triples if t.subject in shipped.by_subject and _is_word(t)]
        used += words
        kept = _with_words(kept, words)
        triples_used = tuple(ox.Triple(t.subject, t.predicate, t.object) for t in used)
        return vocabulary_of(kept, left_out), findings, triples_used
    except VocabularyError as error:  # what the checks above should have found: nothing of it is used
        findings.append(
            Finding(file=places[0].file, problem=f"cannot be used: {error}", expected="a vocabulary in order")
        )
        return vocabulary_of(shipped), findings, ()


def _is_word(triple: ox.Triple | ox.Quad) -> bool:
    """Whether it says only what else something is called."""
    return bool(triple.predicate.value == SKOS + "altLabel" and isinstance(triple.object, ox.Literal))


def _with_words(kept: Statements, words: Sequence[ox.Triple | ox.Quad]) -> Statements:
    """With a club's words for what is shipped; what is shipped itself stays as it is."""
    for triple in words:
        said = {p: list(objects) for p, objects in kept.by_subject[triple.subject].items()}
        said.setdefault(SKOS + "altLabel", []).append(triple.object)
        kept.by_subject[triple.subject] = defaultdict(list, said)
    return kept


def _kept(book: Book, gone: Iterable[Node]) -> Statements:
    """The statements without those about what is left out."""
    left = set(gone)
    kept = Statements()
    for subject, said in book.every.by_subject.items():
        if not left & set(book.roots_of(subject)):
            kept.by_subject[subject] = said
    return kept


def _names(book: Book, root: Node, places: Sequence[Places]) -> Iterable[tuple[str, str]]:
    for type_iri, (sort, predicate) in NAMED_BY.items():
        name = book.every.text(root, predicate)
        if name and root in book.every.subjects(type_iri):
            file, line = _place(root, places, root)
            yield f"{sort} {name}", f"{file}, line {line}" if line else file or "the vocabulary"


def _place(root: Node, places: Sequence[Places], *said: object) -> tuple[str, int]:
    words = [str(getattr(word, "value", word) or "") for word in said]
    for place in places:
        line = place.line(*words)
        if line:
            return place.file, line
    return places[0].file if len(places) == 1 else "", 0


def _finding(fault: Fault, places: Sequence[Places]) -> Finding:
    value = "" if fault.value is None else str(fault.value.value)
    file, line = _place(fault.root, places, fault.root, fault.path, fault.predicate, value)
    here = next((p for p in places if p.file == file), places[0])

    def name(iri: str) -> str:
        try:
            shown = short(ox.NamedNode(iri)) if ":" in iri else iri
        except ValueError:  # a name with a colon in it is no IRI
            return iri
        return here.shown(iri) if shown == iri else shown

    subject = name(fault.root.value) if isinstance(fault.root, ox.NamedNode) else ""
    column = " ".join(w for w in (subject, name(fault.path), name(fault.predicate)) if w)
    written = name(value) if isinstance(fault.value, ox.NamedNode) else value
    offered: tuple[str, ...] = ()
    if fault.known:
        like = {name(k): k for k in fault.known}
        meant = written if fault.value is not None else name(fault.predicate)
        offered = nearest(meant.removeprefix("kn:"), like)
    problem = fault.problem.replace("<", "").replace(">", "")
    file = file or "the vocabulary"
    return Finding(
        file=file,
        row=line,
        column=column,
        written=written,
        problem=problem,
        expected=fault.expected,
        suggestions=offered,
        set_aside=fault.out,
    )


__all__ = ["READ", "beside_shipped", "usable_triples", "usable_vocabulary"]
