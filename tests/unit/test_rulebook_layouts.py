"""Rows of a layout that use a club's own words: a joint or a figure that cannot be judged so is found."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.fits.fits import judge_parts
from tests.demo.test_new_kind import BICYCLE, BRACKET, GEARS, TAPER_KEY
from tests.unit.test_rulebook import world

# ------------------------------------------------------------------------------------------------ joints


def rows(table: str, old: str, new: str, tables: Mapping[str, str] = GEARS) -> dict[str, str]:
    assert old in tables[table]
    return {**tables, table: tables[table].replace(old, new, 1)}


def test_a_joint_with_its_ends_the_wrong_way_round_is_turned() -> None:
    turned = rows(
        "joints.csv",
        "key in shaft,key,key,shaft,keyway,key in shaft keyway,corner apart,corner apart",
        "key in shaft,shaft,keyway,key,key,key in shaft keyway,corner apart,corner apart",
    )
    one, other = world(TAPER_KEY), world(TAPER_KEY, turned)
    assert other.findings == () and one.catalogue == other.catalogue


def test_a_joint_of_features_of_other_kinds_is_not_judged() -> None:
    records = world(
        TAPER_KEY, rows("joints.csv", "gear on shaft,gear,bore,shaft,seat", "gear on shaft,gear,keyway,shaft,seat")
    )
    (found,) = records.findings
    assert (found.file, found.column, found.written, found.set_aside) == ("joints.csv", "feature", "keyway", True)
    assert judge_parts(records.catalogue, ["GEAR-8", "SHAFT-8"]).verdict is Verdict.NOT_KNOWN


def test_one_part_whose_feature_is_of_another_kind_is_not_judged_by_its_sizes() -> None:
    tables = rows("features/hub_keyway.csv", "GEAR-8,keyway,8 mm,3 mm,1:100,book\n", "")
    tables["features/shaft_keyway.csv"] += "GEAR-8,keyway,8 mm,3 mm,book\n"
    records = world(TAPER_KEY, tables)
    assert judge_parts(records.catalogue, ["KEY-8", "GEAR-8"]).verdict is Verdict.NOT_KNOWN
    assert judge_parts(records.catalogue, ["KEY-6", "GEAR-6"]).verdict is Verdict.FITS


# ----------------------------------------------------------------------------------------------- figures

FIGURE = "gear drive,key tightens,stack,service,0 mm,0.3 mm,mm,limits,yes,from memory,"


@pytest.mark.parametrize(
    ("old", "new", "column", "is_aside"),
    [
        ("key,height,1", "key,hieght,1", "dimension", False),
        ("shaft,keyway,depth", "shaft,kyway,depth", "feature", False),
        ("shaft,keyway,depth", "shaft,bore,depth", "feature", False),
    ],
)
def test_a_term_that_names_nothing(old: str, new: str, column: str, is_aside: bool) -> None:
    records = world(TAPER_KEY, rows("figure_terms.csv", old, new))
    assert [(f.file, f.column, f.set_aside) for f in records.findings] == [("figure_terms.csv", column, is_aside)]
    assert judge_parts(records.catalogue, ["KEY-8", "SHAFT-8", "GEAR-8"]).verdict is Verdict.NOT_KNOWN


@pytest.mark.parametrize(
    ("new", "column"),
    [
        (FIGURE.replace("0.3 mm", "-0.3 mm"), "low"),
        (FIGURE.replace("0 mm,0.3 mm", ","), "low"),
    ],
)
def test_a_figure_that_every_size_would_keep_or_none(new: str, column: str) -> None:
    records = world(TAPER_KEY, rows("figures.csv", FIGURE, new))
    assert ("figures.csv", column, True) in {(f.file, f.column, f.set_aside) for f in records.findings}
    assert judge_parts(records.catalogue, ["KEY-8", "SHAFT-8", "GEAR-8"]).verdict is Verdict.NOT_KNOWN


def _with_formula(name: str, *roles: str) -> dict[str, str]:
    header = "layout,figure,is,formula,sort,low,high,unit,compared with,safety critical\n"
    terms = zip(roles, ("key,key,height", "gear,keyway,depth"), strict=True)
    return {
        **GEARS,
        "figures.csv": header + f"gear drive,f,figure,{name},service,0 mm,1 mm,mm,limits,yes\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,role\n"
        + "".join(f"gear drive,f,{i},{at},{role}\n" for i, (role, at) in enumerate(terms, 1)),
    }


@pytest.mark.parametrize(
    ("name", "roles", "file", "column"),
    [
        ("tooth_detph", ("female_major", "female_minor"), "figures.csv", "formula"),
        ("tooth_depth", ("female_major", "female_mnior"), "figure_terms.csv", "role"),
        ("tooth_depth", ("female_major", "female_major"), "figure_terms.csv", "role"),
    ],
)
def test_a_formula_that_cannot_be_used(name: str, roles: tuple[str, str], file: str, column: str) -> None:
    assert world(TAPER_KEY, _with_formula("tooth_depth", "female_major", "female_minor")).findings == ()
    records = world(TAPER_KEY, _with_formula(name, *roles))
    assert (file, column, True) in {(f.file, f.column, f.set_aside) for f in records.findings}
    assert judge_parts(records.catalogue, ["KEY-8", "SHAFT-8", "GEAR-8"]).verdict is Verdict.NOT_KNOWN


def test_a_misspelt_part_of_a_thread_in_a_figure() -> None:
    tables = rows("figure_terms.csv", "cup,race depth,-1", "cup,thread.majr,-1", BICYCLE)
    assert [(f.file, f.column) for f in world(BRACKET, tables).findings] == [("figure_terms.csv", "dimension")]
