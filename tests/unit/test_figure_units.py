"""A figure's unit and limits against the sizes that it adds up, in tables and in what comes as RDF."""

from __future__ import annotations

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.in_order import in_order
from knockon.graph.formulas import formula
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.limits import read_limit, read_limit_in
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.records import records_from_text
from knockon.graph.tables.files import raw_tables
from knockon.graph.tables.read import Reader
from knockon.queries.fits.fits import judge_parts
from tests.unit.small import TABLES

HEAD = "layout,figure,is,formula,sort,low,high,unit,compared with,standing,source,says\n"
TERMS = "layout,figure,order,position,feature,dimension,factor,role\n"
AXLE = "cart axle,room,1,axle,seat,diameter,{},{}\n"
HUB = "cart axle,room,2,hub,bore,diameter,{},{}\n"
SHARE = formula("front_share_of_braking")
CONES = {"features/countersink.csv": "part,feature,angle,source\nAXLE-20,cone,90 deg,book\n"}


def asked(figure: str, *terms: str) -> dict[str, str]:
    """The small world with one figure."""
    return {**TABLES, **CONES, "figures.csv": HEAD + figure, "figure_terms.csv": TERMS + "".join(terms)}


SUM = (AXLE.format(-1, ""), HUB.format(1, ""))
DEPTH = (AXLE.format("", "female_minor"), HUB.format("", "female_major"))


@pytest.mark.parametrize("low", ["-1 mm", "0", "-0.5 in", "-1"])
@pytest.mark.parametrize("unit", ["mm", ""])
def test_a_figure_in_its_terms_unit_is_in_order(low: str, unit: str) -> None:
    row = f"cart axle,room,stack,,service,{low},1 mm,{unit},limits,from memory,nobody,too little\n"
    assert records_from_text(asked(row, *SUM)).findings == ()


@pytest.mark.parametrize(
    ("row", "terms", "column", "problem"),
    [
        ("room,stack,,service,-1 mm,1 mm,in", SUM, "unit", "the result is in mm"),
        ("room,stack,,service,-1 mm,1 mm,deg", SUM, "unit", "the result is in mm"),
        ("room,stack,,service,-1 deg,1 mm,mm", SUM, "low", "the result is in mm"),
        ("room,stack,,service,-1 mm,2 psi,mm", SUM, "high", "the result is in mm"),
        ("room,stack,,service,-1 mm,5 %,mm", SUM, "high", "the result is in mm"),
        ("room,figure,tooth_depth,service,-1 mm,1 mm,turns", DEPTH, "unit", "the result is in mm"),
        ("room,figure,tooth_depth,service,-1 deg,1 mm,mm", DEPTH, "low", "the result is in mm"),
        ("room,told,tooth_depth,service,,,%", DEPTH, "unit", "the result is in mm"),
        (
            "room,stack,,service,-1 mm,1 mm,mm",
            (*SUM, "cart axle,room,3,axle,cone,angle,1,\n"),
            "figure",
            "it adds deg and mm together",
        ),
    ],
)
def test_a_figure_in_another_unit_is_set_aside(row: str, terms: tuple[str, ...], column: str, problem: str) -> None:
    tables = asked(f"cart axle,{row},limits,from memory,nobody,too little\n", *terms)
    records = records_from_text(tables)
    found = [(f.file, f.column, f.problem) for f in records.findings if f.file == "figures.csv"]
    assert found == [("figures.csv", column, problem)]
    answer = judge_parts(records.catalogue, ["AXLE-20", "HUB-20L"])
    assert (answer.verdict is Verdict.NOT_KNOWN) is ("told" not in row)


def test_an_argument_of_another_sort_takes_the_figure_with_it() -> None:
    row = "cart axle,room,figure,tooth_depth,service,-1 mm,90 mm,mm,limits,from memory,nobody,too little\n"
    records = records_from_text(asked(row, DEPTH[0], "cart axle,room,2,axle,cone,angle,,female_major\n"))
    assert ("figure_terms.csv", "dimension") in {(f.file, f.column) for f in records.findings}
    answer = judge_parts(records.catalogue, ["AXLE-20", "HUB-20L"])
    assert (answer.verdict, [r.name for r in answer.set_aside]) == (Verdict.NOT_KNOWN, ["room"])


def test_what_comes_as_rdf_is_checked_alike() -> None:
    vocabulary = read_vocabulary(vocabulary_files())
    row = "cart axle,room,stack,,service,-1 mm,1 mm,mm,limits,from memory,nobody,too little\n"
    quads = list(Reader(vocabulary).read(raw_tables(asked(row, *SUM), [])))
    assert in_order(quads, vocabulary).findings == []
    (unit,) = (c.path for c in vocabulary.tables["figures"].columns if c.name == "unit")
    changed = [
        ox.Quad(q.subject, q.predicate, ox.Literal("deg"), q.graph_name) if q.predicate.value == unit else q
        for q in quads
    ]
    found = {(f.column, f.problem) for f in in_order(changed, vocabulary).findings}
    assert ("figures/cart axle/room: unit", "the result is in mm") in found


def test_a_limit_knows_its_sort() -> None:
    assert [read_limit(x).unit for x in ("3", "3 mm", "1/2 in", "2 psi", "4 deg")] == ["", "mm", "mm", "kPa", "deg"]
    assert read_limit("1/2 in").value == 12.7


def test_the_sizes_of_each_datatype_are_those_of_the_vocabulary() -> None:
    vocabulary = Catalogue(read_vocabulary(vocabulary_files())).vocabulary
    assert vocabulary.sizes["thread"] == {"major": "mm", "pitch": "mm", "flank angle": "deg", "hand": "code"}
    used = {c.datatype for kind in vocabulary.kinds.values() for c in kind.columns}
    assert used <= set(vocabulary.sizes)
    parts = {d: {c.name for c in columns} for d, columns in vocabulary.components.items()}
    assert parts == {d: set(s) for d, s in vocabulary.sizes.items() if d in parts}


@pytest.mark.parametrize(
    ("written", "in_percent", "bare"), [("0.5 %", 0.5, 0.005), ("0.5", 0.5, 0.5), ("60%", 60, 0.6)]
)
def test_a_limit_in_percent_is_in_points_of_a_result_in_percent(written: str, in_percent: float, bare: float) -> None:
    assert read_limit_in(written, "%").value == in_percent
    assert read_limit_in(written, "").value == read_limit_in(written, "1").value == bare


@pytest.mark.parametrize("unit", ["%", ""])
@pytest.mark.parametrize(("low", "high", "within"), [("55 %", "80 %", "0.5 %"), ("55", "80", "0.5")])
def test_a_figure_in_percent_has_the_limits_that_are_written(unit: str, low: str, high: str, within: str) -> None:
    terms = [f"cart axle,share,{i},axle,seat,diameter,,{r}\n" for i, r in enumerate(SHARE.arguments)]
    head = HEAD.replace("says", "says,remark within,remark source")
    row = f"cart axle,share,figure,{SHARE.name},service,{low},{high},{unit},limits,from memory,nobody,few,{within},me\n"
    figures = {"figures.csv": head + row, "figure_terms.csv": TERMS + "".join(terms)}
    tables = {name: text for name, text in TABLES.items() if name != "features/spigot.csv"}  # of no kind: of any unit
    records = records_from_text({**tables, **figures})
    (figure,) = records.catalogue.layouts["cart axle"].figures
    assert (figure.low, figure.high, figure.remark_within) == (55, 80, 0.5)
