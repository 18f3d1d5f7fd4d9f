"""What the expressions of the short list say, beside what the program says of the same parts."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
from msgspec.structs import replace

from knockon.graph.columns.parquet import write_parquet
from knockon.graph.columns.tables import Catalogued
from knockon.graph.judge.beliefs import interface_of
from knockon.graph.judge.conditions import dimensions_of, judge
from knockon.graph.judge.verdicts import Weighing, verdict_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.records import load
from knockon.queries.fits.checking.candidates import candidates_of
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.request import Request
from knockon.queries.plan.swap import SwapAnswer, plan_swap
from knockon.queries.shortlist.asked import swap_asked
from knockon.queries.shortlist.engines import DUCKDB, opened
from knockon.queries.shortlist.interfaces import fold, open_pairs
from knockon.queries.shortlist.shortlist import ShortlistAnswer, Way, shortlist_of

PLAIN = Weighing(safety_critical=False)


def noes(records: Path, vehicle_name: str, folder: Path, engine: str = DUCKDB) -> tuple[set[Any], set[Any]]:
    """All pairs of things at each joint of a vehicle's layout that are a definite no: by the expressions over an export
    that is written to ``folder``, and by the program's own judging of the same conditions."""
    catalogue = load(records).catalogue
    vehicle = catalogue.vehicles[vehicle_name]
    write_parquet(Catalogued(catalogue, records), folder)
    layout = catalogue.layouts[vehicle.layout]
    places = Places(layout)
    every, _ = candidates_of(catalogue, places, vehicle)
    standing = sorted({(p.position, c.thing) for p, cs in every.items() for c in cs if c.is_known})
    columns = opened([folder], engine)
    joints = layout.joints
    table = columns.table(position=[p for p, _ in standing], thing=[t for _, t in standing])
    folded = fold(columns, catalogue, joints, table)
    told = folded.things.to_pyarrow().to_pylist()
    classes = {(row["end"], row["thing"]): row["cls"] for row in told}
    opened_pairs: set[tuple[int, int]] = set()
    for name in sorted({j.rule for j in joints}):
        of = [n for n, j in enumerate(joints) if j.rule == name]
        found = (
            open_pairs(columns, catalogue.vocabulary.rules[name], of, folded, folded.torn()).to_pyarrow().to_pylist()
        )
        opened_pairs |= {(row["first"], row["second"]) for row in found}
    theirs = set(_judged(catalogue, places, standing))
    ours = set()
    for n, joint in enumerate(joints):
        first, second = ([t for p, t in standing if p == end.position] for end in joint.ends)
        ours |= {
            (joint.joint, a, b)
            for a in first
            for b in second
            if (classes[2 * n, a], classes[2 * n + 1, b]) not in opened_pairs
        }
    return ours, theirs


def _judged(catalogue: Catalogue, places: Places, standing: list[tuple[str, str]]) -> Iterator[tuple[str, str, str]]:
    """The definite noes by the program, without conditions that are formulas."""
    checks = Checks(catalogue, places)
    for joint in places.layout.joints:
        rule = catalogue.vocabulary.rules[joint.rule]
        rule = replace(rule, conditions=tuple(c for c in rule.conditions if not c.formula))
        first, second = ([t for p, t in standing if p == end.position] for end in joint.ends)
        interfaces = [
            [interface_of(checks.feature_at(end, thing, at.feature), dimensions_of(rule, end.role)) for thing in things]
            for end, at, things in zip(rule.ends, joint.ends, (first, second), strict=True)
        ]
        rows = judge(rule, *interfaces)
        for a, row in zip(first, rows, strict=True):
            yield from ((joint.joint, a, b) for b, j in zip(second, row, strict=True) if verdict_of(j, PLAIN).is_no)


class BothWays(msgspec.Struct, frozen=True):
    """A swap planned with all parts, and with those of its short list."""

    whole: SwapAnswer
    short: SwapAnswer
    shortlist: ShortlistAnswer

    def differences(self) -> list[str]:
        """What differs in the plans and in what becomes of each place, byte for byte."""
        pairs = {
            "plan": (self.whole.plan, self.short.plan),
            "other plans": (self.whole.alternatives, self.short.alternatives),
            "changes": tuple([(c.position, c.status) for c in a.changes] for a in (self.whole, self.short)),
            "there is none": tuple(a.plan is None for a in (self.whole, self.short)),
        }
        encoded = {name: [msgspec.json.encode(one, enc_hook=str) for one in pair] for name, pair in pairs.items()}
        return [f"{name}: {one!r} and {other!r}" for name, (one, other) in encoded.items() if one != other]


def both_ways(folder: Path, vehicle_name: str, request: Request, into: Path, way: Way | None = None) -> BothWays:
    """Plan a swap of a records folder in both ways; the short records may have no finding of their own."""
    records = load(folder)
    catalogue = records.catalogue
    vehicle = catalogue.vehicles[vehicle_name]
    places = Places(catalogue.layouts[vehicle.layout])
    made = shortlist_of(swap_asked(catalogue, places, vehicle, request), vehicle, folder, into, way)
    short = load(into)
    assert not {(f.file, f.problem, f.written) for f in short.findings} - {
        (f.file, f.problem, f.written) for f in records.findings
    }
    assert set(short.catalogue.parts) <= set(catalogue.parts) and len(short.catalogue.parts) == made.kept
    whole, narrowed = (plan_swap(c, vehicle_name, request) for c in (catalogue, short.catalogue))
    return BothWays(whole, narrowed, made)
