"""What one tries first, over the whole demo world: take a size away, change the units, look behind a "fits".

Mirrors, left-out spacers and shuffled sheets stand in test_mirrored_and_shuffled.py.
"""

from __future__ import annotations

import random
import re
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import OTHER_RANK, SAFE_RANK, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, stands_in
from knockon.graph.model.things import STANDINGS, Statement
from knockon.graph.quantity import read_cell
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.fits import judge_parts
from knockon.queries.plan.kit import check_kit
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count
from knockon.queries.plan.swap import read_request, swap
from tests.demo.compare import differences, plain
from tests.demo.demo import (
    AS_FOUND,
    AS_MADE,
    Row,
    changed,
    checks,
    class_pairs,
    demo,
    figure_on,
    figures,
    kitted,
    pairs,
    rows_of,
    standing_in,
    swapped,
    texts,
    with_tables,
    without,
    written,
)

DISCS = "rotor=LARCH-201"


# ------------------------------------------------ (2) take any one deciding size away


def fitting_pairs() -> list[tuple[JointAt, Candidate, Candidate]]:
    return [(at, a, b) for at, a, b, verdict in class_pairs(checks()).values() if verdict is Verdict.FITS]


def deciding(at: JointAt, role: str) -> list[str]:
    """The dimensions that the required conditions read on one side, whole columns and their parts; without those of
    which a usual code counts where nobody wrote one (the hand of a thread)."""
    rule = checks().rule_of(at)
    required = [c for c in rule.conditions if c.need == "required"]
    terms = [(t, u) for c in required for t, u in zip(c.terms, c.usual or ("",) * len(c.terms), strict=True)]
    return sorted({t.dimension for t, usual in terms if t.role == role and not usual})


def test_there_is_something_to_take_away() -> None:
    assert len(fitting_pairs()) > 80
    assert len({at.joint.joint for at, _, _ in fitting_pairs()}) > 25


@pytest.mark.parametrize("end", [0, 1], ids=["first side", "second side"])
def test_without_a_deciding_size_no_joint_fits(end: int) -> None:
    tried = 0
    for at, first, second in fitting_pairs():
        rule = checks().rule_of(at)
        thing, feature = ((first.thing, at.joint.feature), (second.thing, at.joint.other_feature))[end]
        for dimension in deciding(at, rule.ends[end].role):
            world = Checks(changed(demo(), thing, feature, without(dimension)), checks().places)
            verdict = world.joint(at, first, second).verdict
            assert verdict in (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER), (at.joint.joint, thing, feature, dimension)
            tried += 1
    assert tried > 150


@pytest.mark.parametrize("end", [0, 1], ids=["first side", "second side"])
def test_a_size_that_a_source_asks_for_is_not_known_whatever_is_claimed(end: int) -> None:
    """``?`` in the cell: no "listed for" may stand in for it."""
    for at, first, second in fitting_pairs():
        rule = checks().rule_of(at)
        thing, feature = ((first.thing, at.joint.feature), (second.thing, at.joint.other_feature))[end]
        for dimension in deciding(at, rule.ends[end].role):
            asked = changed(demo(), thing, feature, lambda f, d=dimension: replace(f, dimensions={  # type: ignore[misc]
                **f.dimensions,
                d: tuple(replace(s, low=None, high=None, code=None, unknown=True) for s in f.dimensions[d]),
            }))  # fmt: skip
            verdict = Checks(asked, checks().places).joint(at, first, second).verdict
            assert verdict is Verdict.NOT_KNOWN, (at.joint.joint, thing, feature, dimension)


def figure_cases() -> Iterator[tuple[FigureAt, str, dict[Place, Candidate]]]:
    """Every figure that fits on a vehicle as made, with all its parts new."""
    for vehicle in AS_MADE:
        standing = standing_in(checks(), vehicle)
        for at in figures(checks()):
            in_use = stands_in(at.figure, demo().vehicles[vehicle].arrangements)
            if in_use and figure_on(checks(), at, standing, vehicle).verdict is Verdict.FITS:
                yield at, vehicle, standing


def test_without_a_term_no_figure_fits() -> None:
    tried = 0
    for at, vehicle, standing in figure_cases():
        for place, term in zip(at.places, at.figure.terms, strict=True):
            if place not in standing:
                continue
            world = Checks(
                changed(demo(), standing[place].thing, term.feature, without(term.dimension)), checks().places
            )
            verdict = figure_on(world, at, standing, vehicle).verdict
            assert verdict is Verdict.NOT_KNOWN, (at.figure.figure, vehicle, term)
            tried += 1
    assert tried > 100


def test_a_float_that_a_set_states_falls_with_the_statement() -> None:
    at = figures(checks(), "bearing float")[0]
    standing = standing_in(checks(), "tansy-mk-b")
    chosen = {p: next((c for c in new_parts(demo(), checks().places, p) if c.number == "ALDER-213"), standing[p])
              for p in at.places}  # fmt: skip
    assert figure_on(checks(), at, chosen, "tansy-mk-b").verdict is Verdict.FITS
    silent = Checks(replace(demo(), set_checks={}), checks().places)
    assert figure_on(silent, at, chosen, "tansy-mk-b").verdict is Verdict.FITS_ON_PAPER


def test_an_empty_cell_in_the_sheet_does_the_same() -> None:
    rows = rows_of("features/internal_spline.csv")
    for column in ("teeth", "pitch", "major diameter", "minor diameter"):
        emptied: list[Row] = [{**r, column: ""} if r["part"] == "ROWAN-241" else r for r in rows]
        world = with_tables({"features/internal_spline.csv": written(emptied)})
        answer = judge_parts(world, ["ROWAN-201", "ROWAN-241"], at="flange on stub")
        assert answer.verdict in (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER), column
        assert any(column in m for m in answer.joints[0].to_measure)
    assert judge_parts(demo(), ["ROWAN-201", "ROWAN-241"], at="flange on stub").verdict is Verdict.FITS


# --------------------------------------------------- (3) write every size in another unit

PLAIN = re.compile(r"(?P<number>[\d. /]+?) (?P<unit>mm|in)(?: ±(?P<give>[\d.]+) (?P<other>mm|in))?")


def fraction(text: str) -> Fraction:
    return sum((Fraction(piece) for piece in text.split()), Fraction(0))


def turned(number: str, unit: str) -> str:
    """The same length, exactly, in the other unit; an inch is 25.4 mm, so a mm is 5/127 in."""
    if unit == "in":
        return f"{float(fraction(number) * Fraction(254, 10))!r} mm"
    inches = fraction(number) / Fraction(254, 10)
    return f"{inches.numerator}/{inches.denominator} in" if inches.denominator > 1 else f"{inches.numerator} in"


def in_the_other_unit(cell: str, datatype: str) -> str:
    match = PLAIN.fullmatch(cell.replace("½", " 1/2"))
    if datatype == "length" and match:
        size = turned(match["number"], match["unit"])
        return size + (f" ±{turned(match['give'], match['other'])}" if match["give"] else "")
    if datatype == "spline pitch" and re.fullmatch(r"\d+/\d+", cell):
        return f"module {25.4 / int(cell.split('/')[0])!r}"
    if datatype == "pressure" and re.fullmatch(r"[\d.]+ psi", cell):
        return f"{read_cell(cell, 'pressure')[''].low!r} kPa"
    return cell


@cache
def in_other_units(share: float = 1.0) -> Catalogue:
    """The demo world with every length, spline pitch and pressure written in another unit, or a ``share`` of them."""
    chance = random.Random(7)
    kinds = {k.table: {c.name: c.datatype for c in k.columns} for k in demo().vocabulary.kinds.values()}
    tables, turned_cells = {}, 0
    for name in texts():
        types = kinds.get(name.removeprefix("features/").removesuffix(".csv"), {}) if "/" in name else {}
        types = types or ({"low": "length", "high": "length"} if name == "figures.csv" else {})
        rows = [
            {h: in_the_other_unit(c, types[h]) if h in types and chance.random() < share else c for h, c in r.items()}
            for r in rows_of(name)
        ]
        turned_cells += sum(a != b for one, other in zip(rows, rows_of(name), strict=True) for a, b in
                            zip(one.values(), other.values(), strict=True))  # fmt: skip
        tables[name] = written(rows)
    assert turned_cells > 350 * share
    return with_tables(tables)


def test_the_other_unit_is_exact() -> None:
    assert in_the_other_unit("1 1/16 in", "length") == "26.9875 mm"
    assert in_the_other_unit("26.00 mm", "length") == "130/127 in"
    assert in_the_other_unit("?", "length") == "?"
    for thing, own in demo().features.items():
        for name, feature in own.items():
            for dimension, statements in feature.dimensions.items():
                again = in_other_units().features[thing][name].dimensions[dimension]
                for one, other in zip(by_size(statements), by_size(again), strict=True):
                    assert one == pytest.approx(other, abs=1e-9)


def by_size(statements: Iterable[Statement]) -> list[tuple[float, float, bool, int]]:
    return sorted((s.low or 0, s.high or 0, s.nominal, s.rank) for s in statements)


def test_no_verdict_and_no_margin_changes_with_the_unit() -> None:
    world = Checks(in_other_units(), checks().places)
    for at, first, second in pairs(checks()):
        assert world.joint(at, first, second).verdict is checks().joint(at, first, second).verdict, (
            at.joint.joint,
            first,
        )
    for at, first, second, _ in class_pairs(checks()).values():
        found = [plain(joint_evidence(c, at, first, second)) for c in (checks(), world)]
        assert not differences(*found)
    for vehicle in AS_MADE:
        standing = standing_in(checks(), vehicle)
        for figure in figures(checks()):
            assert not differences(*(plain(figure_on(c, figure, standing, vehicle)) for c in (checks(), world)))


def test_no_verdict_and_no_margin_changes_where_only_some_sizes_are_turned() -> None:
    """Inch meets mm in the same joint and the same sum."""
    world = Checks(in_other_units(0.5), checks().places)
    for at, first, second, verdict in class_pairs(checks()).values():
        assert world.joint(at, first, second).verdict is verdict, (at.joint.joint, first.thing, second.thing)
    for vehicle in AS_MADE:
        standing = standing_in(checks(), vehicle)
        for figure in figures(checks()):
            assert not differences(*(plain(figure_on(c, figure, standing, vehicle)) for c in (checks(), world)))


def test_no_list_changes_with_the_unit() -> None:
    again = swap(in_other_units(), AS_FOUND, want=[DISCS])
    assert not differences(plain(swapped(AS_FOUND, DISCS)), plain(again))
    kit = check_kit(in_other_units(), "K2", AS_FOUND, want=[DISCS])
    assert not differences(plain(kitted("K2", AS_FOUND, DISCS)), plain(kit))


# ---------------------------------------- (10) margin and weakest evidence of every "fits"


def test_every_joint_that_fits_states_margin_and_weakest_evidence() -> None:
    for at, first, second in fitting_pairs():
        evidence = joint_evidence(checks(), at, first, second)
        limit = SAFE_RANK if evidence.safety_critical else OTHER_RANK
        assert evidence.weakest in STANDINGS[:limit], (evidence.check, evidence.things)
        required = [x for x in evidence.lines if x.need == "required"]
        assert required and {x.state for x in required} == {"yes"}
        for line in required:
            sized = line.low is not None
            assert not sized or (line.margin is not None and line.margin >= 0), (evidence.check, line.label)
            assert line.values or line.assumed, (evidence.check, line.label)
            assert {*(v.of for v in line.values), *(a.of for a in line.assumed)} <= set(evidence.things)
            assert all(v.source and v.standing for v in line.values)


def test_every_figure_that_fits_states_margin_and_weakest_evidence() -> None:
    found = 0
    for at, vehicle, standing in figure_cases():
        evidence = figure_on(checks(), at, standing, vehicle)
        line = evidence.lines[0]
        assert evidence.weakest in STANDINGS[: SAFE_RANK if evidence.safety_critical else OTHER_RANK]
        assert line.margin is not None and line.margin >= 0
        assert {v.of for v in line.values} <= set(evidence.things)
        found += 1
    assert found > 20


# ------------------------------------------------------------- every plan, once more


@pytest.mark.parametrize(
    ("vehicle", "wish"),
    [
        (AS_FOUND, DISCS),
        (AS_FOUND, "rotor.outside diameter>=190 mm"),
        ("tansy-mk-b", "inner bearing=ALDER-911"),
        ("tansy-mk-b", "wheel=MAPLE-902"),
        ("tansy-mk-c", "rotor=LARCH-201"),
    ],
)
def test_no_plan_holds_a_no_and_both_hands_are_alike(vehicle: str, wish: str) -> None:
    audit(checks(), vehicle, wish)


def test_a_set_may_state_a_figure_by_formula_too() -> None:
    row = {"set": "LARCH-903", "figure": "front share of braking"}
    world = with_tables({"set_checks.csv": written([*rows_of("set_checks.csv"), row])})
    silent = audit(checks(), "tansy-mk-b", "caliper=LARCH-903")
    stated = audit(Checks(world, checks().places), "tansy-mk-b", "caliper=LARCH-903")
    assert sum(stated.costs.values()) == sum(silent.costs.values()) - 2


def audit(checks: Checks, vehicle: str, wish: str) -> Filling:
    """The best filling, every check in it judged again."""
    request = read_request(checks.catalogue, checks.places, want=[wish])
    problem = Problem(checks, checks.catalogue.vehicles[vehicle], request)
    filling = Planner(problem).best()
    assert filling is not None
    told = 0
    for at in joints_that_count(problem, filling):
        result = checks.joint(at, filling.chosen[at.first], filling.chosen[at.second])
        assert not result.verdict.is_no, at.joint.joint
        told += result.verdict.is_unproven
    for figure in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in figure.places}
        found = checks.figure(figure, chosen, checks.as_made_value(figure, problem.vehicle))
        assert not found.verdict.is_no, figure.figure.figure
        told += found.verdict.is_unproven
    assert told == filling.costs["not known"] + filling.costs["unproven"]
    for place, candidate in filling.chosen.items():
        if place.side:
            other = filling.chosen[Place(place.position, "right" if place.side == "left" else "left")]
            assert candidate.alike == other.alike, place
    return filling
