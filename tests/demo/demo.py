"""What the tests of the demo world share: its tables as texts, its catalogue, and answers, each made once."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path

from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model.things import Feature
from knockon.graph.records import load_records, records_from_text
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.fits import FitsAnswer, judge_parts
from knockon.queries.plan.kit import KitAnswer, check_kit
from knockon.queries.plan.swap import SwapAnswer, swap

FOLDER = Path(__file__).parents[2] / "data_demo"
LAYOUT = "tansy front axle"
AS_MADE = ("tansy-mk-a", "tansy-mk-b", "tansy-mk-c")
AS_FOUND = "tansy-m080"
Row = dict[str, str]


@cache
def demo() -> Catalogue:
    """The catalogue of the demo world."""
    return load_records(FOLDER)


@cache
def texts() -> dict[str, str]:
    """Every table by its file name (``features/...`` for those of kinds)."""
    files = sorted(FOLDER.glob("**/*.csv"))
    return {f.relative_to(FOLDER).as_posix(): f.read_text(encoding="utf-8") for f in files}


def rows_of(table: str) -> list[Row]:
    """The rows of one table."""
    return list(csv.DictReader(io.StringIO(texts()[table])))


def written(rows: Iterable[Row]) -> str:
    """Rows as the text of a table."""
    rows = list(rows)
    stream = io.StringIO()
    table = csv.DictWriter(stream, list(dict.fromkeys(c for row in rows for c in row)), lineterminator="\n")
    table.writeheader()
    table.writerows(rows)
    return stream.getvalue()


def with_tables(changed: Mapping[str, str]) -> Catalogue:
    """The demo world with some tables put in the place of its own; nothing may be set aside."""
    records = records_from_text({**texts(), **changed})
    assert not [f for f in records.findings if f.set_aside], records.findings
    return records.catalogue


@cache
def swapped(vehicle: str, *want: str, keep: tuple[str, ...] = (), avoid: tuple[str, ...] = ()) -> SwapAnswer:
    """The answer to a swap."""
    return swap(demo(), vehicle, want=want, keep=keep, avoid=avoid)


@cache
def kitted(kit: str, vehicle: str, *want: str) -> KitAnswer:
    """The answer to a kit."""
    return check_kit(demo(), kit, vehicle, want=want)


@cache
def judged(*parts: str, at: str = "", on: str = "") -> FitsAnswer:
    """The verdict on some parts."""
    return judge_parts(demo(), parts, at=at, on=on)


def check_of(answer: FitsAnswer, check: str) -> Evidence:
    """The evidence of one joint or figure of an answer."""
    return next(e for e in (*answer.joints, *answer.figures) if e.check == check)


def said(evidence: Evidence, label: str) -> tuple[str, float | None]:
    """State and (lowest) value of one line of evidence, to three places."""
    line = next(x for x in evidence.lines if x.label == label)
    return line.state, None if line.low is None else round(line.low, 3)


@cache
def checks() -> Checks:
    """All checks of the demo layout."""
    return Checks(demo(), Places(demo().layouts[LAYOUT]))


def one_side(at: JointAt | FigureAt) -> bool:
    """Whether it is the left corner's, or the vehicle's: the right corner is the same again."""
    return at.side != "right"


def pairs(of: Checks) -> Iterator[tuple[JointAt, Candidate, Candidate]]:
    """Every joint of one corner with every two parts that may stand there, new."""
    for at in of.places.joints:
        if one_side(at):
            firsts, seconds = (list(new_parts(of.catalogue, of.places, p)) for p in (at.first, at.second))
            yield from ((at, a, b) for a in firsts for b in seconds)


def class_pairs(of: Checks) -> dict[tuple[str, int, int], tuple[JointAt, Candidate, Candidate, Verdict]]:
    """The same, once for each joint and each two interface classes, the best verdict of the class (claims differ)."""
    found: dict[tuple[str, int, int], tuple[JointAt, Candidate, Candidate, Verdict]] = {}
    for at, first, second in pairs(of):
        rule = of.rule_of(at)
        key = (
            at.joint.joint,
            of.interface_class(rule, rule.ends[0], first.thing, at.joint.feature),
            of.interface_class(rule, rule.ends[1], second.thing, at.joint.other_feature),
        )
        verdict = of.joint(at, first, second).verdict
        if key not in found or verdict is Verdict.FITS:
            found[key] = (at, first, second, verdict)
    return found


def standing_in(of: Checks, vehicle: str, new: bool = True) -> dict[Place, Candidate]:
    """What stands in each place of a vehicle; ``new``: as if every part had just been bought."""
    now = fitted(of.catalogue.vehicles[vehicle], of.places)
    things = {p: next(staying(of.catalogue, p, f)) for p, f in now.items()}
    return {p: replace(c, stays=False) for p, c in things.items()} if new else things


def figure_on(of: Checks, at: FigureAt, chosen: Mapping[Place, Candidate | None], vehicle: str) -> Evidence:
    """The evidence of a figure on what stands in its places."""
    return figure_evidence(of, at, {p: chosen.get(p) for p in at.places}, of.catalogue.vehicles[vehicle])


def figures(of: Checks, name: str = "") -> list[FigureAt]:
    """The figures of one corner, or the one of that name."""
    return [f for f in of.places.figures if one_side(f) and name in ("", f.figure.figure)]


def changed(catalogue: Catalogue, thing: str, feature: str, change: Callable[[Feature], Feature]) -> Catalogue:
    """The catalogue with one feature of one thing changed."""
    own = catalogue.features[thing]
    return replace(catalogue, features={**catalogue.features, thing: {**own, feature: change(own[feature])}})


def without(dimension: str) -> Callable[[Feature], Feature]:
    """A change that takes away what is known of one dimension."""
    return lambda f: replace(f, dimensions={d: v for d, v in f.dimensions.items() if d != dimension})
