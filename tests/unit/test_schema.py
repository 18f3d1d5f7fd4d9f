"""The vocabulary: sums and references, rules and kinds from Turtle, and the shipped files as a whole."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from knockon.graph.formulas import formula, formula_names
from knockon.graph.model.schema import (
    PartType,
    Vocabulary,
    VocabularyError,
    local_name,
    read_vocabulary,
    vocabulary_files,
)
from knockon.graph.triples.sums import Term, parse_reference, parse_sum

HEAD = """\
@prefix kn: <https://knockon.example/vocab#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
kn:Peg a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; rdfs:label "peg"@en ; kn:table "peg" ;
  sh:property [ sh:path kn:pegLength ; sh:name "length" ; sh:datatype kn:length ; sh:order 2 ] ;
  sh:property [ sh:path kn:pegWidth ; sh:name "width" ; sh:datatype kn:length ; sh:order 1 ] .
kn:pegged a kn:FitRule ; rdfs:label "pegged" ; kn:firstRole "peg" ; kn:firstKind kn:Peg ;
  kn:secondRole "hole" ; kn:secondKind kn:Peg ; kn:condition kn:c2, kn:c1 .
kn:c1 a kn:Condition ; sh:order 1 ; kn:value "hole.width - peg.width" ; kn:low 0 .
kn:c2 a kn:Condition ; sh:order 2 ; kn:value "2*hole.length - 0.5*peg.length" ; kn:need kn:told .
"""


def read(*texts: str) -> Vocabulary:
    return read_vocabulary([(f"{i}.ttl", t.encode()) for i, t in enumerate(texts)])


@pytest.fixture(scope="module")
def shipped() -> Vocabulary:
    return read_vocabulary(vocabulary_files())


def test_a_reference_has_role_and_dimension() -> None:
    assert parse_reference("male.major_diameter") == ("male", "major diameter")
    assert parse_reference(" pin_hole.thread.major ") == ("pin hole", "thread.major")


@pytest.mark.parametrize("text", ["male", "male.", ".width", ""])
def test_anything_else_is_no_reference(text: str) -> None:
    with pytest.raises(VocabularyError):
        parse_reference(text)


def test_a_sum_has_signs_and_factors() -> None:
    assert parse_sum("0.5*slot.width - rotor.thickness + -2*x.a_b") == (
        (Term(0.5, "slot", "width"), Term(-1.0, "rotor", "thickness"), Term(-2.0, "x", "a b")),
        False,
    )
    assert parse_sum("a.b + 2*(c.d - 3*e.f)")[0][2] == Term(-6.0, "e", "f")


def test_a_sum_may_have_brackets() -> None:
    terms, _ = parse_sum("a.x - (b.x - c.x)")
    assert [t.factor for t in terms] == [1.0, -1.0, 1.0]


def test_a_comparison_of_codes() -> None:
    assert parse_sum("male.form == female.form") == ((Term(1.0, "male", "form"), Term(1.0, "female", "form")), True)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "a.b *",
        "a.b * c.d",
        "a.b / 2",
        "f(a.b)",
        "a.b == c.d == e.f",
        "__import__('os')",
        "a.b ** 2",
        "1 + a.b",
        "x*a.b",
    ],
)
def test_nothing_but_sums_is_taken(text: str) -> None:
    with pytest.raises(VocabularyError):
        parse_sum(text)


def test_rules_and_kinds_are_read_in_their_order() -> None:
    vocabulary = read(HEAD)
    assert [c.name for c in next(iter(vocabulary.kinds.values())).columns] == ["width", "length"]
    rule = vocabulary.rules["pegged"]
    assert [c.label for c in rule.conditions] == ["c1", "c2"]
    assert [c.need for c in rule.conditions] == ["required", "told"]
    assert (rule.conditions[0].low, rule.conditions[0].high, rule.conditions[0].gross) == (0.0, None, False)


def test_a_kind_is_no_plain_table() -> None:
    assert read(HEAD).tables == {}


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("kn:x a kn:FitRule ; rdfs:label 'x' ; kn:firstKind kn:Nothing ; kn:secondKind kn:Peg .", "Nothing"),
        ("kn:pegged kn:condition kn:c3 . kn:c3 kn:value 'lid.width - peg.width' .", "lid"),
        ("kn:c1 kn:high 'wide' .", "wide"),
        ("kn:Peg sh:property [ sh:name 'nameless path' ] .", "Peg"),
        ("kn:broken ", "1.ttl"),
    ],
)
def test_what_cannot_be_used_is_said(text: str, names: str) -> None:
    prefixes = "".join(line + "\n" for line in HEAD.splitlines() if line.startswith("@prefix"))
    with pytest.raises(VocabularyError, match=names):
        read(HEAD, prefixes + text)


def test_part_types_know_all_broader_ones() -> None:
    prefixes = "".join(line + "\n" for line in HEAD.splitlines() if line.startswith("@prefix"))
    types = """
    kn:a a skos:Concept ; skos:prefLabel "thing" . kn:b a skos:Concept ; skos:prefLabel "bolt" ; skos:broader kn:a .
    kn:c a skos:Concept ; skos:prefLabel "eye bolt" ; skos:broader kn:b ; kn:smallFixing true .
    kn:d a skos:Concept ; skos:prefLabel "round" ; skos:broader kn:e .
    kn:e a skos:Concept ; skos:prefLabel "and round" ; skos:broader kn:d .
    """
    vocabulary = read(prefixes + types)
    assert vocabulary.part_types["eye bolt"] == PartType("eye bolt", ("bolt", "eye bolt", "thing"), True, False)
    assert vocabulary.is_a("eye bolt", "thing") and not vocabulary.is_a("bolt", "eye bolt")
    assert vocabulary.is_a("round", "and round") and vocabulary.is_a("and round", "round")  # a circle ends
    assert vocabulary.is_a("unheard of", "unheard of") and not vocabulary.is_a("unheard of", "thing")


def test_a_folder_adds_to_what_is_shipped(tmp_path: Path) -> None:
    (tmp_path / "club.ttl").write_text(HEAD, encoding="utf-8")
    names = [name for name, _ in vocabulary_files(tmp_path)]
    assert names[-1] == "club.ttl"
    assert names[:-1] == [name for name, _ in vocabulary_files()] == sorted(names[:-1])
    assert "pegged" in read_vocabulary(vocabulary_files(tmp_path)).rules


def test_local_names() -> None:
    assert local_name("https://knockon.example/vocab#length") == "length"
    assert local_name("https://knockon.example/a/b") == "b"


# ------------------------------------------------------------------ what is shipped


def test_every_kind_has_a_table_of_its_own(shipped: Vocabulary) -> None:
    tables = [k.table for k in shipped.kinds.values()]
    assert len(tables) == len(set(tables)) > 40
    for kind in shipped.kinds.values():
        names = [c.name for c in kind.columns]
        assert len(names) == len(set(names)), kind.label
        assert all(c.description and c.datatype for c in kind.columns), kind.label


def test_every_condition_names_its_source_and_standing(shipped: Vocabulary) -> None:
    for rule in shipped.rules.values():
        assert rule.conditions, rule.label
        for condition in rule.conditions:
            assert condition.need in ("required", "supporting", "told")
            assert condition.sort in ("assembly", "service")
            if condition.need != "told":
                assert condition.source and condition.standing in ("standard", "common practice", "from memory"), (
                    rule.label,
                    condition.label,
                )
                assert condition.says_no, (rule.label, condition.label)


PARTS_OF = {"thread": {"major", "pitch", "flank angle", "hand"}}


def test_every_term_of_a_rule_is_a_dimension_of_its_kind(shipped: Vocabulary) -> None:
    for rule in shipped.rules.values():
        for end in rule.ends:
            columns = {c.name: c.datatype for c in shipped.kinds[end.kind].columns}
            for term in (t for c in rule.conditions for t in c.terms if rule.end_of(t) is end):
                name, _, part = term.dimension.partition(".")
                assert name in columns, (rule.label, term)
                assert not part or part in PARTS_OF[columns[name]], (rule.label, term)


def test_every_formula_of_a_rule_is_registered(shipped: Vocabulary) -> None:
    used = {(c.formula, len(c.terms)) for r in shipped.rules.values() for c in r.conditions if c.formula}
    assert used
    for name, terms in used:
        assert name in formula_names()
        assert formula(name).required <= terms <= len(formula(name).arguments)


@pytest.mark.parametrize(
    "text",
    ["9" * 400 + "*a.b - c.d", "a.b - " + "9" * 400 + "*c.d", "1e300*(1e300*a.b) - c.d", "1e400*a.b", "nan*a.b"],
)
def test_a_factor_larger_than_a_number_can_be_is_no_sum(text: str) -> None:
    with pytest.raises(VocabularyError, match="factor"):
        parse_sum(text)


def test_a_sum_nested_deeper_than_it_can_be_followed_is_none() -> None:
    def deep(steps: int) -> None:
        if steps:
            deep(steps - 1)
        else:
            parse_sum("-" * 900 + "a.b - c.d")

    with pytest.raises(VocabularyError, match="cannot read the sum"):
        deep(sys.getrecursionlimit() - 400)
