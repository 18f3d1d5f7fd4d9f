"""The hand of a thread, in every shipped rule that joins two threads: all nine ways to write it on both sides.

A thread whose hand nobody wrote is usually right. That agrees with right, is open against left (and required), and left
on right does not go together. ASME B1.1 and ISO 965-1 say LH in the designation of a left hand thread only.
"""

from __future__ import annotations

from functools import cache

import pytest

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.rules import FitRule
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.records import records_from_text
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.fits import judge_parts

VOCABULARY = read_vocabulary(vocabulary_files())
FITS, OPEN, NO = Verdict.FITS, Verdict.NOT_KNOWN, Verdict.DOES_NOT_FIT
EXPECTED = {
    ("", ""): FITS, ("", "RH"): FITS, ("RH", ""): FITS, ("RH", "RH"): FITS, ("LH", "LH"): FITS,
    ("LH", ""): OPEN, ("", "LH"): OPEN,
    ("LH", "RH"): NO, ("RH", "LH"): NO,
}  # fmt: skip
RULES = [r for r in VOCABULARY.rules.values() if any(c.label == "thread hand" for c in r.conditions)]
# the same, goes together and must not be used (another pitch), does not go together
NEAR = {"M12x1.25": FITS, "M12x1": Verdict.DO_NOT_USE, "M8x1.25": NO}
TABLES = {
    "sources.csv": "source,title,standing\nbook,a drawing,drawing\nstall,a stall,seller\n",
    "layouts.csv": "layout,title\nbench,two threads\n",
    "positions.csv": "layout,position,level,part type,quantity,need,carried by,pressed in,group,order\n"
    "bench,screw,vehicle,caliper bolt,1,needed,,no,a,10\nbench,hole,vehicle,hub nut,1,needed,,no,b,20\n",
}


def test_every_rule_between_two_threads_compares_their_hands() -> None:
    threaded = {
        rule.label
        for rule in VOCABULARY.rules.values()
        if len({t.role for c in rule.conditions for t in c.terms if t.dimension == "thread.pitch"}) == 2
    }
    assert threaded == {rule.label for rule in RULES} and len(RULES) > 5


def _table(kind: str, number: str, thread: str, source: str) -> tuple[str, str]:
    """The record of one part: its thread, and one word in every column of codes."""
    shape = VOCABULARY.kinds[kind]
    columns = [c.name for c in shape.columns]
    cells = {c.name: thread if c.datatype == "thread" else "x" if c.datatype == "code" else "" for c in shape.columns}
    head = ",".join(["part", "feature", *columns, "source"])
    return f"features/{shape.table}.csv", head + f"\n{number},end,{','.join(cells[c] for c in columns)},{source}\n"


@cache
def bench(rule: str, male: str, female: str, source: str = "book", claim: bool = False) -> Catalogue:
    """Two parts with a thread each, and a joint between them under a rule."""
    found = VOCABULARY.rules[rule]
    first, second = (
        _table(found.ends[0].kind, "SCREW", male, source),
        _table(found.ends[1].kind, "HOLE", female, "book"),
    )
    if first[0] == second[0]:
        second = (second[0], first[1] + second[1].partition("\n")[2])
    tables = {
        **TABLES,
        "parts.csv": "part,name,part type,hand,one use,source\nSCREW,a screw,caliper bolt,either,no,book\n"
        "HOLE,a hole,hub nut,either,no,book\n",
        "joints.csv": "layout,joint,position,feature,other position,other feature,rule,reached,other reached\n"
        f"bench,screw in hole,screw,end,hole,end,{rule},,\n",
        **dict((first, second)),
    }
    if claim:
        tables["claims.csv"] = "part,claim,vehicle,other part,text,source\nSCREW,goes with,,HOLE,,book\n"
    records = records_from_text(tables)
    assert not [f for f in records.findings if f.set_aside], records.findings
    return records.catalogue


def asked(rule: str, male: str, female: str, **how: object) -> Evidence:
    (evidence,) = judge_parts(bench(rule, male, female, **how), ["SCREW", "HOLE"]).joints
    return evidence


@pytest.mark.parametrize("rule", RULES, ids=lambda r: r.label)
@pytest.mark.parametrize("hands", EXPECTED, ids=lambda h: "-".join(x or "none" for x in h))
@pytest.mark.parametrize("female", NEAR)
def test_all_nine(rule: FitRule, hands: tuple[str, str], female: str) -> None:
    """Also beside another no: the worse of the two counts, never the better."""
    evidence = asked(rule.label, f"M12x1.25 {hands[0]}".strip(), f"{female} {hands[1]}".strip())
    assert evidence.verdict is max((EXPECTED[hands], NEAR[female]), key=SEVERITY.__getitem__)
    line = next(x for x in evidence.lines if x.label == "thread hand")
    assert line.state == {FITS: "yes", OPEN: "open: not recorded", NO: "no"}[EXPECTED[hands]]


@pytest.mark.parametrize("hands", EXPECTED, ids=lambda h: "-".join(x or "none" for x in h))
def test_what_is_assumed_is_shown_as_assumed(hands: tuple[str, str]) -> None:
    evidence = asked("nut on stub", f"M12x1.25 {hands[0]}", f"M12x1.25 {hands[1]}")
    line = next(x for x in evidence.lines if x.label == "thread hand")
    unwritten = [thing for thing, hand in zip(("SCREW", "HOLE"), hands, strict=True) if not hand]
    assert [(x.of, x.dimension, x.code) for x in line.assumed] == [
        (thing, "end: thread.hand", "right") for thing in unwritten
    ]
    assert [v.of for v in line.values if v.computes] == [t for t in ("SCREW", "HOLE") if t not in unwritten]
    if EXPECTED[hands] is OPEN:
        assert evidence.to_measure == (f"{unwritten[0]}, end: thread",)


def test_a_claim_stands_in_for_a_hand_that_nobody_wrote_and_for_no_other() -> None:
    assert asked("nut on stub", "M12x1.25 LH", "M12x1.25", claim=True).verdict is Verdict.FITS_ON_PAPER
    assert asked("nut on stub", "M12x1.25 LH", "M12x1.25 RH", claim=True).verdict is NO
    assert asked("nut on stub", "M12x1.25", "M12x1.25", claim=True).verdict is FITS


def test_a_hand_that_nobody_wrote_is_not_one_that_its_source_does_not_know() -> None:
    """A claim stands in for the pitch that the row does not have; it never does for a thread that is written ``?``."""
    assert asked("nut on stub", "?", "M12x1.25", claim=True).verdict is OPEN
    assert "thread.hand" not in bench("nut on stub", "M12x1.25", "M12x1.25").features["SCREW"]["end"].dimensions


def test_an_assumed_hand_is_no_weaker_than_the_thread_and_a_written_one_counts_with_its_standing() -> None:
    assert asked("nut on stub", "M12x1.25", "M12x1.25", source="stall").verdict is Verdict.FITS_ON_PAPER
    assert asked("nut on stub", "M12x1.25 LH", "M12x1.25 LH", source="stall").verdict is Verdict.FITS_ON_PAPER
    assert asked("nut on stub", "M12x1.25 LH", "M12x1.25 RH", source="stall").verdict is NO


def _club(usual: str) -> str:
    return f"""
@prefix kn: <https://knockon.example/vocab#> . @prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> . @prefix dcterms: <http://purl.org/dc/terms/> .
kn:Screw a sh:NodeShape, rdfs:Class ; rdfs:subClassOf kn:Feature ; sh:targetClass kn:Screw ; rdfs:label "screw"@en ;
  rdfs:comment "A leadscrew."@en ; kn:table "screw" ;
  sh:property [ sh:path kn:helix ; sh:name "helix" ; sh:datatype kn:code ; sh:in ( "L" "R" ) ; sh:order 1 ;
    sh:description "L or R." ;
    kn:method "Look." {usual} ] ;
  sh:property [ sh:path kn:screwLength ; sh:name "length" ; sh:datatype kn:length ; sh:order 2 ;
    sh:description "Length." ; kn:method "Measure it." ] .
kn:leads a kn:FitRule ; rdfs:label "leads"@en ; rdfs:comment "Made up."@en ; kn:firstRole "screw" ;
  kn:firstKind kn:Screw ; kn:secondRole "nut" ; kn:secondKind kn:Screw ; kn:safetyCritical false ;
  kn:condition kn:leads-hand .
kn:leads-hand a kn:Condition ; sh:order 1 ; rdfs:label "helix"@en ; kn:sort kn:assembly ; kn:need kn:required ;
  kn:value "screw.helix == nut.helix" ; dcterms:source "made up" ; kn:standing "from memory" ; kn:saysNo "no" .
"""


@pytest.mark.parametrize(("usual", "expected"), [("", OPEN), ('; kn:usual "R"', FITS), ('; kn:usual "L"', OPEN)])
def test_a_club_says_what_is_usual_of_a_code_of_its_own(usual: str, expected: Verdict) -> None:
    features = "part,feature,helix,length,source\nSCREW,end,R,,book\nHOLE,end,,9 mm,book\n"
    tables = {
        **TABLES,
        "parts.csv": "part,name,part type,hand,one use,source\nSCREW,a screw,caliper bolt,either,no,book\n"
        "HOLE,a hole,hub nut,either,no,book\n",
        "joints.csv": "layout,joint,position,feature,other position,other feature,rule,reached,other reached\n"
        "bench,screw in hole,screw,end,hole,end,leads,,\n",
        "features/screw.csv": features,
    }
    records = records_from_text(tables, {"club.ttl": _club(usual)})
    (evidence,) = judge_parts(records.catalogue, ["SCREW", "HOLE"]).joints
    assert evidence.verdict is expected
