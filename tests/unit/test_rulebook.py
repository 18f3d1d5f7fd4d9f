"""A club's own Turtle: a slip anywhere in it is found, with its line, and what it spoils is not used."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pyoxigraph as ox
import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Vocabulary, vocabulary_files
from knockon.graph.records import Records, load, records_from_text
from knockon.graph.rulebook.checks import meaning_faults
from knockon.graph.rulebook.faults import Book
from knockon.graph.rulebook.own import beside_shipped, usable_vocabulary
from knockon.graph.rulebook.shacl import shape_faults
from knockon.graph.triples.datatypes import datatypes_of
from knockon.graph.triples.lines import Places
from knockon.graph.triples.statements import RDF, RDFS, SH, SKOS, VOCAB, XSD, Statements, triples_of
from knockon.queries.fits.fits import judge_parts
from knockon.queries.intake.check import check_records
from tests.demo.test_new_kind import BRACKET, GEARS, PREFIXES, TAPER_KEY, folder_of


def read(*texts: str) -> tuple[Vocabulary, tuple[Finding, ...]]:
    return usable_vocabulary(tuple((f"{i}.ttl", t.encode()) for i, t in enumerate(texts)))


def changed(old: str, new: str, turtle: str = TAPER_KEY) -> str:
    assert old in turtle
    return turtle.replace(old, new, 1)


def world(turtle: str, tables: Mapping[str, str] = GEARS) -> Records:
    return records_from_text(tables, {"club.ttl": turtle})


def line_of(text: str, part: str) -> int:
    return text[: text.index(part)].count("\n") + 1


def test_what_is_in_order_is_used_without_a_word() -> None:
    for turtle in (TAPER_KEY, BRACKET):
        vocabulary, findings = read(turtle)
        assert findings == () and vocabulary.left_out == {}
    assert {"cup in shell"} <= set(vocabulary.rules)


def test_what_is_shipped_passes_its_own_shapes() -> None:
    triples = [t for name, text in vocabulary_files() for t in triples_of(text, name)]
    book = replace(Book.of(Statements(), triples), datatypes=datatypes_of(Statements(triples)))
    read_by = {SH + "NodeShape", VOCAB + "FitRule", VOCAB + "Condition", SKOS + "Concept"}
    kinds = {s for s in book.every.subjects(SH + "NodeShape") if book.every.objects(s, RDFS + "subClassOf")}
    tables = set(book.every.subjects(SH + "NodeShape")) - kinds
    found = [
        f for f in meaning_faults(book)
        if f.root not in tables and read_by & set(book.every.texts(f.root, RDF + "type"))
    ]  # fmt: skip
    assert found == []
    # Plain tables, which no club adds to, may hold more than the shapes of a club's words admit.
    assert {f.root.value for f in shape_faults(book)} <= {VOCAB + "SetCheck"}
    assert len(kinds) > 60 and len(tables) == 29


# What stands there, what is written instead, what the finding names; each makes "key in hub" or "key in shaft" useless.
SLIPS = [
    ("kn:need kn:required", "kn:need kn:requierd", "kn:need"),
    ("kn:low 0 ; kn:grossLow 0", "kn:lwo 0 ; kn:grossLow 0", "kn:lwo"),
    ("kn:high 0.1 ; kn:grossHigh 0.1 ;", "", "kn:low"),
    ("kn:high 0.1 ; kn:grossHigh 0.1 ;", "kn:grossHigh 0.1 ;", "kn:grossHigh"),
    ("kn:high 0.1 ; kn:grossHigh 0.1 ;", "kn:high 0.1 ; kn:grossHigh 0.05 ;", "kn:grossHigh"),
    ("kn:low -0.001 ; kn:high 0.001", "kn:low 0.1 ; kn:high 0.001", "kn:low"),
    ("kn:low -0.001", 'kn:low "wide"', "kn:low"),
    ("kn:low -0.001", "kn:low 1e999", "kn:low"),
    ("kn:sort kn:service", "kn:sort kn:servcie", "kn:sort"),
    ("kn:sort kn:service", "", "kn:sort"),
    ("kn:safetyCritical true", 'kn:safetyCritical "yes"', "kn:safetyCritical"),
    ("kn:safetyCritical true ;", "", "kn:safetyCritical"),
    ('kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm"', 'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "deg"', "kn:unit"),
    ('kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm" ;', "kn:high 0.1 ; kn:grossHigh 0.1 ;", "kn:unit"),
    ('kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm"', 'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mn"', "kn:unit"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.widht - key.width\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"wy.width - key.width\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.width + key.width\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.width * key.width\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.width - way.width\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.width - way.depth\"", "kn:value"),
    ("kn:value \"way.width - key.width\"", "kn:value \"way.width == key.width\"", "kn:value"),
    ("kn:value \"key.taper - way.taper\"", "kn:value \"key.taper - way.depth\"", "kn:value"),
    ("kn:value \"key.taper - way.taper\"", "kn:valeu \"key.taper - way.taper\"", "kn:valeu"),
    ("kn:value \"key.taper - way.taper\"", "kn:formula club:flank_overlap ; kn:arguments \"key.taper\"", "kn:formula"),
    ("kn:value \"key.taper - way.taper\"", "kn:formula <https://knockon.example/formula#bolt_circel>", "kn:formula"),
    ("kn:value \"key.taper - way.taper\"",
     "kn:formula <https://knockon.example/formula#tooth_depth> ; kn:arguments \"key.taper, way.taper\"",
     "kn:arguments"),
    ("kn:value \"key.taper - way.taper\"",
     "kn:formula <https://knockon.example/formula#tooth_depth> ; kn:arguments \"key.width\"", "kn:arguments"),
    ("kn:value \"key.taper - way.taper\"",
     "kn:formula <https://knockon.example/formula#tooth_depth> ; kn:arguments \"key, way.taper\"", "kn:arguments"),
    ("sh:order 3 ; rdfs:label \"taper\"", "sh:order 2 ; rdfs:label \"taper\"", "sh:order"),
    ("sh:order 3 ; rdfs:label \"taper\"", "sh:order 2.5 ; rdfs:label \"taper\"", "sh:order"),
    ("sh:order 3 ; rdfs:label \"taper\"", f"sh:order 3{400 * '0'} ; rdfs:label \"taper\"", "sh:order"),
    ('sh:name "height"', f'sh:name "height" ; kn:least 1{400 * "0"}', "kn:least"),
    ('sh:name "height"', 'sh:name "height" ; kn:most 1e999', "kn:most"),
    ('sh:name "height"', 'sh:name "height" ; kn:most "NaN"^^<http://www.w3.org/2001/XMLSchema#double>', "kn:most"),
    ("sh:datatype kn:ratio", "sh:datatype kn:pitch", "sh:datatype"),
    ("sh:datatype kn:ratio", "sh:datatype <http://www.w3.org/2001/XMLSchema#string>", "sh:datatype"),
    ('kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm"', 'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "cm"', "kn:unit"),
    ('kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm"', 'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "m"', "kn:unit"),
    ("sh:datatype kn:ratio", 'sh:datatype kn:ratio ; kn:usual "flat"', "kn:usual"),
    ('sh:name "height"', 'sh:name "width"', "sh:name"),
    ('sh:name "height"', 'sh:name "source"', "sh:name"),
    ('sh:name "height"', 'sh:name "Height"', "sh:name"),
    ("sh:path club:TaperKey-height", "sh:path club:TaperKey-width", "sh:path"),
    ("sh:path club:TaperKey-height", "sh:path kn:of", "sh:path"),
    ('kn:table "taper_key"', 'kn:table "spigot"', "kn:table"),
    ('kn:table "taper_key"', 'kn:table "taper key"', "kn:table"),
    ("sh:targetClass club:TaperKey", "sh:targetClass club:TaperKye", "sh:targetClass"),
    ("rdfs:subClassOf kn:Feature", "rdfs:subClassOf kn:Featrue", "rdfs:subClassOf"),
    ('rdfs:label "taper key"@en', 'rdfs:label "taper key"@de', "rdfs:label"),
    ('rdfs:label "taper key"@en', 'rdfs:label " "@en', "rdfs:label"),
    ("sh:path club:TaperKey-taper ;", "sh:path club:TaperKey-taper ; kn:laest 0 ;", "kn:laest"),
    ("sh:path club:TaperKey-taper ;", "sh:path club:TaperKey-taper ; kn:least 2 ; kn:most 1 ;", "kn:least"),
    ("kn:firstKind club:TaperKey", "kn:firstKind club:TaperKye", "kn:firstKind"),
    ('kn:secondRole "way"', 'kn:secondRole "key"', "kn:"),
    ("a kn:FitRule", "a kn:FitRlue", "rdf:type"),
    ("kn:condition club:enters, club:fills", "kn:condition club:enters, club:filsl", "kn:condition"),
    ('rdfs:label "key in shaft keyway"', 'rdfs:label "register"', "rdfs:label"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "named"), SLIPS, ids=[f"{i}" for i in range(len(SLIPS))])
def test_a_slip_is_found_and_nothing_fits_by_it(old: str, new: str, named: str) -> None:
    turtle = changed(old, new)
    records = world(turtle)
    found = [f for f in records.findings if f.file == "club.ttl" and named in f.column]
    assert found and any(f.set_aside and f.row for f in found), records.findings
    assert all(f.problem and f.expected for f in found)
    assert len(found[0].column.split()) >= 2  # of what, and which word of it
    both = {judge_parts(records.catalogue, p.split()).verdict for p in ("KEY-8 GEAR-8", "KEY-8 SHAFT-8")}
    assert Verdict.NOT_KNOWN in both and both <= {Verdict.NOT_KNOWN, Verdict.FITS}
    spoilt = judge_parts(records.catalogue, ["KEY-8", "SHAFT-8", "GEAR-8"])
    assert spoilt.verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("old", "new", "named"),
    [
        ('; kn:method "Caliper." ]', "]", "kn:method"),
        ('dcterms:source "made up for a test" ;', "", "dcterms:source"),
        ('kn:saysNo "the key is wider than the keyway"', "", "kn:saysNo"),
        ('kn:standing "from memory"', 'kn:standing "from mermory"', "kn:standing"),
        ('sh:description "The width."', "", "sh:description"),
    ],
)
def test_a_text_that_is_missing_is_found_and_its_rule_is_used(old: str, new: str, named: str) -> None:
    records = world(changed(old, new))
    found = [f for f in records.findings if f.file == "club.ttl"]
    assert found and all(named in f.column and not f.set_aside and f.row for f in found)
    assert judge_parts(records.catalogue, ["KEY-8", "GEAR-8"]).verdict is Verdict.FITS


def test_a_finding_names_the_line() -> None:
    text = changed("kn:need kn:required", "kn:need kn:requierd")
    (found,) = (f for f in read(text)[1] if "kn:need" in f.column)
    assert found == Finding(
        file="0.ttl", row=line_of(text, "kn:requierd"), column="club:enters kn:need", written="kn:requierd",
        problem="no such word", expected="one of kn:required, kn:supporting, kn:told", suggestions=("kn:required",),
    )  # fmt: skip
    text = changed("sh:datatype kn:ratio", "sh:datatype kn:pitch")
    (found,) = (f for f in read(text)[1] if "sh:datatype" in f.column and f.problem == "no such word")
    assert (found.row, found.column) == (line_of(text, "kn:pitch"), "club:TaperKey club:TaperKey-taper sh:datatype")


@pytest.mark.parametrize("prefix", ["kn", "dcterms", "rdfs", "sh", "skos"])
def test_a_prefix_of_another_namespace_is_no_silence(prefix: str) -> None:
    line = next(x for x in PREFIXES.splitlines() if x.startswith(f"@prefix {prefix}:"))
    records = world(changed(line, line.replace(">", "x>")))
    assert [f for f in records.findings if f.file == "club.ttl" and f.row]
    if prefix != "skos":
        assert judge_parts(records.catalogue, ["KEY-8", "GEAR-8"]).verdict is Verdict.NOT_KNOWN


def test_inches_are_converted() -> None:
    limits = 'kn:high 0.1 ; kn:grossHigh 0.1 ; kn:unit "mm"'
    vocabulary, findings = read(changed(limits, 'kn:high 0.004 ; kn:grossHigh 0.004 ; kn:unit "in"'))
    assert findings == ()
    fills = next(c for c in vocabulary.rules["key in hub keyway"].conditions if c.label == "key fills the keyway")
    assert (fills.high, fills.gross_high, fills.unit) == (0.1016, 0.1016, "mm")  # 0.004 in of 25.4 mm


CODED = (
    BRACKET.replace('sh:name "width" ; sh:datatype kn:length',
                    'sh:name "width" ; sh:datatype kn:code ; sh:in ( "wide" "narrow" ) ; kn:usual "wide"')
)  # fmt: skip


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('kn:usual "wide"', 'kn:usual "wife"', "is none of the words in sh:in"),
        ('sh:in ( "wide" "narrow" ) ; ', "", "is none of the words in sh:in"),
        ("sh:datatype kn:code", "sh:datatype kn:length", "only a code has a usual word"),
    ],
)
def test_a_usual_word_is_one_of_those_that_are_listed(old: str, new: str, problem: str) -> None:
    assert read(CODED)[1] == ()
    found = [f for f in read(changed(old, new, CODED))[1] if "kn:usual" in f.column]
    assert [(f.problem, f.set_aside) for f in found] == [(problem, True)]


@pytest.mark.parametrize(
    "ways",
    ['rdf:first "wide" ; rdf:rest rdf:nil, ( "narrow" )', 'rdf:first "wide", "narrow" ; rdf:rest rdf:nil',
     'rdf:first "wide"', "rdf:rest rdf:nil", "rdf:first \"wide\" ; rdf:rest _:words"],
    ids=["two ways on", "two words in one place", "no end", "no word", "round in a circle"],
)  # fmt: skip
def test_a_list_of_words_goes_one_way_from_word_to_word_and_ends(ways: str) -> None:
    turtle = f"@prefix rdf: <{RDF}> .\n" + changed('( "wide" "narrow" )', "_:words", CODED)
    whole = f'{turtle}\n_:words rdf:first "wide" ; rdf:rest ( "narrow" ) .\n'
    assert read(whole)[1] == ()
    (found,) = (f for f in read(f"{turtle}\n_:words {ways} .\n")[1] if f.problem == "is no list")
    assert "sh:in" in found.column and found.set_aside


def test_words_are_compared_and_counts_are_not() -> None:
    assert read(BRACKET)[1] == ()
    text = changed(
        'sh:name "race depth" ; sh:datatype kn:length', 'sh:name "race depth" ; sh:datatype kn:count', BRACKET
    )
    text = changed("cup.thread.hand == shell.thread.hand", "cup.race_depth == shell.width", text)
    (found,) = (f for f in read(text)[1] if "kn:value" in f.column)
    assert "whole numbers" in found.problem and found.expected == "a difference, with kn:low and kn:high"


@pytest.mark.parametrize("need", ["kn:advised", "kn:wanted"])
def test_a_condition_of_two_slips_is_told_both(need: str) -> None:
    fills = TAPER_KEY[TAPER_KEY.index("club:fills a") :]
    slips = fills.replace("kn:need kn:required", f"kn:need {need}", 1).replace(
        "kn:high 0.1 ; kn:grossHigh 0.1 ;", "", 1
    )
    found = {f.column: f.problem for f in read(TAPER_KEY.replace(fills, slips))[1]}
    assert found["club:fills kn:need"] == "no such word"
    assert found["club:fills kn:low"] == "has no window: every size would do"


@pytest.mark.parametrize("sum_of_words", ["cup.thread.hand - shell.width", "cup.thread.hand - shell.thread.hand"])
def test_words_are_not_added_up(sum_of_words: str) -> None:
    (found,) = (f for f in read(changed("cup.thread.hand == shell.thread.hand", sum_of_words, BRACKET))[1]
                if "kn:value" in f.column)  # fmt: skip
    assert (found.problem, found.expected) == ("adds up words", "ROLE.dimension == ROLE.dimension")
    assert (found.written, found.set_aside) == (sum_of_words, True)


@pytest.mark.parametrize("limits", ["kn:low", "kn:high"])
@pytest.mark.parametrize(
    ("value", "limit", "can_be_crossed"),
    [
        ("way.width + key.width", "5", True),
        ("way.width + key.width", "0", False),
        ("way.width + key.width", "-5", False),
        ("-way.width - key.width", "-5", True),
        ("-way.width - key.width", "0", False),
        ("-way.width - key.width", "5", False),
    ],
)
def test_a_sum_of_sizes_may_have_a_limit_that_it_can_cross(
    value: str, limit: str, can_be_crossed: bool, limits: str
) -> None:
    turtle = changed("way.width - key.width", value).replace("kn:low 0 ; kn:grossLow 0", f"{limits} {limit}", 1)
    found = [f.problem for f in read(turtle)[1]]
    always_or_never = "a sum without a difference keeps such limits always or never"
    assert found == [] if can_be_crossed else always_or_never in found


def test_two_rules_of_one_label_are_both_left_out() -> None:
    vocabulary, findings = read(changed('rdfs:label "key in shaft keyway"', 'rdfs:label "register"'))
    assert "register" not in vocabulary.rules
    assert [f.written for f in findings] == ["register"]
    records = world(changed('rdfs:label "key in shaft keyway"', 'rdfs:label "register"'))
    assert judge_parts(records.catalogue, ["GEAR-8", "SHAFT-8"]).verdict is Verdict.NOT_KNOWN


def test_two_kinds_of_one_table() -> None:
    vocabulary, findings = read(changed('kn:table "taper_key"', 'kn:table "spigot"'))
    assert any("kn:table" in f.column and f.set_aside for f in findings)
    assert [k.label for k in vocabulary.kinds.values() if k.table == "spigot"] == ["spigot"]
    assert "key in hub keyway" not in vocabulary.rules


def test_a_condition_that_no_rule_has() -> None:
    _, findings = read(
        changed("kn:condition club:enters, club:fills, club:taper", "kn:condition club:enters, club:fills")
    )
    assert [(f.column, f.problem) for f in findings] == [
        ("club:taper", "no fit rule has this condition: it judges nothing")
    ]


def test_nothing_is_added_to_what_is_shipped() -> None:
    vocabulary, findings = read(PREFIXES + "kn:register kn:condition kn:thread-hand .\n")
    assert [(f.column, f.row) for f in findings] == [("kn:register", 7)]
    assert vocabulary.rules == read()[0].rules


@pytest.mark.parametrize(
    ("types", "named"),
    [
        ('club:a a skos:Concept ; skos:prefLabel "a"@en ; skos:broader club:nowhere .', "skos:broader"),
        ('club:a a skos:Concept ; skos:prefLabel "a" ; skos:broader club:b .\n'
         'club:b a skos:Concept ; skos:prefLabel "b" ; skos:broader club:a .', "skos:broader"),
        ('club:a a skos:Concept ; skos:prefLabel "wheel bearing"@en .', "skos:prefLabel"),
        ('club:a a skos:Concept ; skos:prefLabel ""@en .', "skos:prefLabel"),
        ('club:a a skos:Concept ; skos:prefLabel "a" ; kn:smallFixing "yes" .', "kn:smallFixing"),
        ('club:a a skos:Concept ; skos:prefLabel "a" ; skos:borader kn:type-brakes .', "skos:borader"),
        ('[] a kn:UsualSize ; kn:table "spigto" ; kn:dimension "diameter" ; kn:low 1 ; kn:high 2 .', "kn:table"),
        ('[] a kn:UsualSize ; kn:table "spigot" ; kn:dimension "lenght" ; kn:low 1 ; kn:high 2 .', "kn:dimension"),
        ('[] a kn:UsualSize ; kn:table "spigot" ; kn:dimension "diameter" ; kn:low 3 ; kn:high 2 .', "kn:low"),
        ("club:a club:b club:c .", "rdf:type"),
        ("club:a a club:Person .", "rdf:type"),
    ],
)  # fmt: skip
def test_other_things_of_a_file(types: str, named: str) -> None:
    vocabulary, findings = read(PREFIXES + types)
    assert findings and all(named in f.column and f.set_aside for f in findings)
    assert vocabulary.part_types == read()[0].part_types


def test_a_finding_names_the_file_that_says_it_and_its_line() -> None:
    """Of several files those that say nothing of the thing are passed over."""
    wrong = changed("sh:datatype kn:ratio", "sh:datatype kn:pitch")
    alone, behind = read(wrong)[1], read(BRACKET, wrong)[1]
    assert alone and all(f.row > 1 for f in alone)
    assert behind == tuple(replace(f, file="1.ttl") for f in alone)


def test_a_finding_has_the_line_of_the_word_that_is_wrong_not_that_where_its_statement_begins() -> None:
    wrong = changed("kn:condition club:enters, club:fills", "kn:condition club:enters,\n   club:filsl")
    (found,) = (f for f in world(wrong).findings if f.file == "club.ttl" and "club:filsl" in f.written)
    assert found.row == line_of(wrong, "club:filsl") > line_of(wrong, "kn:condition club:enters")


def test_a_line_is_that_of_the_value_else_of_the_word_else_of_the_subject_and_0_where_that_is_not_said() -> None:
    text = "@prefix a: <urn:x#> .\n# a:gone a:word 1 .\na:thing\n  a:word\n  'one' ,\n  'two' .\n"
    places = Places.of("own.ttl", text)
    value = "".join(("t", "wo"))
    assert places.line("urn:x#thing", predicate="urn:x#word", value=value) == line_of(text, "'two'") == 6
    assert places.line("urn:x#thing", predicate="urn:x#word", value="three") == line_of(text, "  a:word") == 4
    assert places.line("urn:x#thing", predicate="urn:x#other") == places.line("urn:x#thing") == 3
    assert places.line("urn:x#gone") == 0


def test_of_a_whole_vocabulary_only_what_is_not_shipped_is_a_club_s() -> None:
    """A server may write a number otherwise than it was loaded; a text or a number that differs is kept."""
    said = [t for name, text in vocabulary_files() for t in triples_of(text, name)]
    shipped = [ox.Triple(t.subject, t.predicate, t.object) for t in said]
    again = [_otherwise(t) for t in shipped]
    assert sum(a != b for a, b in zip(again, shipped, strict=True)) > 100
    assert beside_shipped(again) == b""
    number = next(t for t in shipped if _is_number(t) and isinstance(t.subject, ox.NamedNode))
    for value in (ox.Literal("987.5", datatype=ox.NamedNode(XSD + "decimal")), ox.Literal("another word")):
        more = ox.Triple(number.subject, number.predicate, value)
        assert beside_shipped([*again, more]) == f"{more} .\n".encode()


def test_a_shipped_number_is_no_club_s_however_it_is_written_and_another_number_is() -> None:
    name, text = next((n, t) for n, t in vocabulary_files() if b"kn:low 0" in t)
    said = [ox.Triple(t.subject, t.predicate, t.object) for t in triples_of(text, name)]
    number = next(t for t in said if _is_number(t) and isinstance(t.subject, ox.NamedNode))
    other = ox.Triple(number.subject, number.predicate, ox.Literal("987.5", datatype=ox.NamedNode(XSD + "decimal")))
    assert _otherwise(number) != number
    assert beside_shipped([_otherwise(number), other]) == f"{other} .\n".encode()


def _is_number(triple: ox.Triple) -> bool:
    said = triple.object
    return isinstance(said, ox.Literal) and said.datatype.value in (XSD + "decimal", XSD + "double", XSD + "integer")


def _otherwise(triple: ox.Triple) -> ox.Triple:
    if not isinstance(triple.object, ox.Literal) or not _is_number(triple):
        return triple
    said = ox.Literal(repr(float(triple.object.value)) + "0", datatype=triple.object.datatype)
    return ox.Triple(triple.subject, triple.predicate, said)


def test_a_file_that_is_no_turtle_costs_itself_alone() -> None:
    vocabulary, findings = read("this is not Turtle", TAPER_KEY)
    assert [(f.file, f.row, f.set_aside) for f in findings] == [("0.ttl", 1, True)]
    assert "key in hub keyway" in vocabulary.rules
    assert [f.problem for f in read("@prefix kn: <https://knockon.example/vocab#> .\n")[1]] == ["the file says nothing"]


def test_rows_that_use_what_is_left_out_say_where() -> None:
    text = changed("sh:datatype kn:ratio", "sh:datatype kn:pitch")
    records = world(text)
    rows = {f.file: f for f in records.findings if f.file.endswith(".csv")}
    where = f"club.ttl, line {line_of(text, 'club:TaperKey a')}"
    assert rows["features/taper_key.csv"].problem == f"the table of this name has an error and is not used ({where})"
    assert rows["features/taper_key.csv"].many == 4
    assert {r.name for r in records.catalogue.set_aside} == {"key under gear", "key in shaft"}


def test_check_and_load_agree(tmp_path: Path) -> None:
    folder = folder_of("taper key", tmp_path / "club")
    (folder / "club.ttl").write_text(changed("kn:need kn:required", "kn:need kn:requierd"), encoding="utf-8")
    answer = check_records(folder)
    assert {f for f in load(folder).findings if f.file == "club.ttl"} <= set(answer.findings)
    assert answer.set_aside > 0
