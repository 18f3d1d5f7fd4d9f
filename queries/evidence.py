"""Evidence: everything that a verdict rests on, for people: both values as written and in mm and inch, margin,
source, standing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from knockon.graph.assumed import AssumedRange
from knockon.graph.beliefs import computing, interface_of
from knockon.graph.figures import judge_figure, limits_of
from knockon.graph.fit import (
    MISSING,
    NO,
    STRADDLES,
    YES,
    ConditionResult,
    Side,
    dimensions_of,
    evaluate,
    usual_codes,
    window_of,
)
from knockon.graph.layout import FigureAt, JointAt, Place
from knockon.graph.model import STANDINGS, Feature, Said, Vehicle
from knockon.graph.schema import Condition, FitRule, Vocabulary
from knockon.graph.verdicts import Verdict
from knockon.queries.candidates import Candidate
from knockon.queries.checks import Checks
from knockon.queries.notes_beside import notes_on

UNITS = {
    ("length", ""): "mm",
    ("angle", ""): "deg",
    ("pressure", ""): "kPa",
    ("spline pitch", ""): "mm",
    ("thread", "major"): "mm",
    ("thread", "pitch"): "mm",
    ("thread", "flank angle"): "deg",
}
WORSE = (YES, MISSING, STRADDLES, NO)
STATES = {YES: "yes", NO: "no", STRADDLES: "open: straddles the limit", MISSING: "open: not recorded"}


@dataclass(frozen=True, slots=True)
class Value:
    """One stated size: what was written, its bounds in ``unit``, source and standing; whether it computes.

    ``datatype`` is the column's: length, angle, count, ratio, pressure, number, code, thread or spline pitch.
    ``of_number``: said of the number of a particular thing, not of the thing itself, which stands before it.
    """

    of: str
    dimension: str
    written: str
    low: float | None
    high: float | None
    source: str
    standing: str
    computes: bool
    datatype: str = ""
    unit: str = ""
    of_number: bool = False


@dataclass(frozen=True, slots=True)
class Assumed:
    """A code that nobody wrote of a thing, and that counts because it is the usual one."""

    of: str
    dimension: str
    code: str


@dataclass(frozen=True, slots=True)
class Line:
    """One condition, or one told number: its state, value, window, margin (distance to the nearest limit) and sizes;
    ``assumed`` are codes that count though nobody wrote them.

    ``by_name``: it compares names of patterns, which nobody can measure.

    It ``holds`` unless it is a told number over both things, which do not go together: it would be so if they did.
    """

    label: str
    sort: str
    need: str
    state: str
    low: float | None
    high: float | None
    window_low: float | None
    window_high: float | None
    margin: float | None
    unit: str
    source: str
    standing: str
    says: str
    values: tuple[Value, ...]
    holds: bool = True
    by_name: bool = False
    assumed: tuple[Assumed, ...] = ()


@dataclass(frozen=True, slots=True)
class Claimed:
    """A claim that stands in for sizes: about what (a part or a vehicle as made), by whom."""

    part: str
    claim: str
    about: str
    source: str
    standing: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """A verdict on a joint or a figure with all it rests on. ``things`` are the keys of the records, as the sizes
    name them; ``claims`` what stands in for sizes where ``claimed`` (none: a set says it of its own members);
    ``stated_by`` the set, new and whole, that states this check as made, and so makes it "fits". ``assumed``: the
    numbers that a figure's formula assumes, each with the range in which the verdict is the same."""

    check: str
    kind: str
    verdict: Verdict
    safety_critical: bool
    first: str
    second: str
    things: tuple[str, ...]
    places: tuple[str, ...]
    lines: tuple[Line, ...]
    to_measure: tuple[str, ...]
    weakest: str
    claimed: bool
    notes: tuple[str, ...] = ()
    method: str = ""
    claims: tuple[Claimed, ...] = ()
    stated_by: str = ""
    assumed: tuple[AssumedRange, ...] = ()


def by_name(evidence: Evidence) -> bool:
    """Whether all that is a no in it compares names of patterns, which nobody can measure."""
    failing = [line for line in evidence.lines if line.state == "no"]
    return bool(failing) and all(line.by_name for line in failing)


def _finite(value: float) -> float | None:
    return round(float(value), 6) if np.isfinite(value) else None


def margin_of(low: float, high: float, window: tuple[float, float]) -> float | None:
    """Room left to the nearest limit (negative: by how much it fails); None where there is no limit."""
    room = [low - window[0]] if np.isfinite(window[0]) else []
    room += [window[1] - high] if np.isfinite(window[1]) else []
    if not room:
        return None
    if high < window[0]:
        return _finite(high - window[0])
    return _finite(window[1] - low) if low > window[1] else _finite(min(room))


def type_and_unit(vocabulary: Vocabulary, feature: Feature, dimension: str) -> tuple[str, str]:
    """The datatype of a dimension, and the unit in which its bounds are given (blank: a bare number or a code)."""
    name, _, part = dimension.partition(".")
    columns = vocabulary.kinds[feature.kind].columns
    datatype = next((c.datatype for c in columns if c.name == name), "")
    return datatype, UNITS.get((datatype, part), "")


def values_of(
    vocabulary: Vocabulary, feature: Feature | None, dimension: str, thing: str, named: str
) -> tuple[Value, ...]:
    """All statements of a dimension of a feature, those that compute first; ``named``: what the dimension is called."""
    if feature is None:
        return ()
    statements = feature.dimensions.get(dimension, ())
    datatype, unit = type_and_unit(vocabulary, feature, dimension)
    best = computing(statements)
    ordered = sorted(statements, key=lambda s: (s.order, s.source, s.written))
    return tuple(
        Value(
            thing,
            named,
            s.written,
            s.low,
            s.high,
            s.source,
            STANDINGS[s.rank - 1],
            s in best,
            datatype,
            unit,
            s.of_number,
        )
        for s in ordered
    )


def _condition_line(
    checks: Checks, at: JointAt, rule: FitRule, condition: Condition, things: tuple[str, str], sides: tuple[Side, Side]
) -> Line:
    result = evaluate(condition, rule, sides)
    state = _state(result, rule, sides)
    low, high = (
        (float(np.nanmin(result.low)), float(np.nanmax(result.high)))
        if np.isfinite(result.low).any()
        else (np.nan, np.nan)
    )
    values: list[Value] = []
    for term in condition.terms:
        first = term.role == rule.first_role
        thing, feature = (things[0], at.joint.feature) if first else (things[1], at.joint.other_feature)
        recorded = checks.feature_at(rule, 0 if first else 1, thing, feature)
        values += values_of(
            checks.catalogue.vocabulary, recorded, term.dimension, thing, f"{feature}: {term.dimension}"
        )
    nominal = any(bool(n) for t in condition.terms for n in _nominal(t.role, t.dimension, rule, sides))
    window = window_of(condition, nominal) or (-np.inf, np.inf)
    if condition.need == "told":
        state = "told" if np.isfinite(low) else STATES[MISSING]
    return Line(
        condition.label,
        condition.sort,
        condition.need,
        state,
        _finite(low),
        _finite(high),
        _finite(window[0]),
        _finite(window[1]),
        margin_of(low, high, window) if np.isfinite(low) and condition.need != "told" else None,
        condition.unit,
        condition.source,
        condition.standing,
        condition.says_no if state == "no" else "",
        tuple(dict.fromkeys(values)),
        by_name=checks.compares_names(rule, condition),
        assumed=_assumed(at, rule, condition, things, sides),
    )


def _assumed(
    at: JointAt, rule: FitRule, condition: Condition, things: tuple[str, str], sides: tuple[Side, Side]
) -> tuple[Assumed, ...]:
    """The usual codes that count in a condition because nobody wrote one."""
    taken = usual_codes(condition, rule, sides)
    found = []
    for term, usual in zip(condition.terms, condition.usual, strict=False):
        end = rule.roles.index(term.role)
        feature = at.joint.other_feature if end else at.joint.feature
        if any(taken[end]):
            found.append(Assumed(things[end], f"{feature}: {term.dimension}", usual))
    return tuple(found)


def _state(result: ConditionResult, rule: FitRule, sides: tuple[Side, Side]) -> str:
    """The state of one condition as verdicts are found: the worst of equal sources that overlap, and disputed where it
    hangs on which of those that contradict each other is believed."""
    believed = []
    for role, side in zip((rule.first_role, rule.second_role), sides, strict=True):
        deciding = frozenset(t.dimension for t in result.condition.terms if t.role == role)
        believed.append(Side(side.dimensions, side.interfaces, deciding).beliefs)
    worst: dict[object, int] = {}
    for r, first in enumerate(believed[0]):
        for c, second in enumerate(believed[1]):
            found = int(result.state[r, c])
            worst[(first, second)] = max(found, worst.get((first, second), YES), key=WORSE.index)
    states = set(worst.values())
    return STATES[states.pop()] if len(states) == 1 else "disputed"


def _nominal(role: str, dimension: str, rule: FitRule, sides: tuple[Side, Side]) -> list[bool]:
    side = sides[rule.roles.index(role)]
    return [bool(x) for x in side.bounds(dimension)[2]]


def joint_evidence(checks: Checks, at: JointAt, first: Candidate, second: Candidate) -> Evidence:
    """The verdict of a joint on two candidates, with all it rests on."""
    rule = checks.rule_of(at)
    result = checks.joint(at, first, second)
    things = (first.thing, second.thing)
    lines = _lines(checks, at, rule, things)
    by_set = first.number if result.weighing.stated and result.verdict is Verdict.FITS else ""
    if result.verdict is Verdict.DOES_NOT_FIT:
        together = {c.label for c in rule.conditions if takes_both(c)}
        lines = tuple(replace(x, holds=False) if x.need == "told" and x.label in together else x for x in lines)
    return Evidence(
        check=at.joint.joint,
        kind="joint",
        verdict=result.verdict,
        safety_critical=result.weighing.safety_critical,
        first=first.number,
        second=second.number,
        things=things,
        places=(str(at.first), str(at.second)),
        lines=lines,
        to_measure=()
        if by_set
        else _of_known(_to_measure(at, rule, lines, things, result.weighing.kept), (first, second)),
        weakest=_weakest(lines),
        claimed=result.weighing.claimed,
        notes=notes_on(checks, at.joint.joint, first, second),
        claims=_claims(checks, first, second) if result.weighing.claimed else (),
        stated_by=by_set,
    )


def takes_both(condition: Condition) -> bool:
    """Whether a condition takes sizes of both sides."""
    return len({t.role for t in condition.terms}) > 1


def _claims(checks: Checks, first: Candidate, second: Candidate) -> tuple[Claimed, ...]:
    found = []
    for claim in checks.claims.said(first, second):
        source = checks.catalogue.sources.get(claim.source)
        about = claim.vehicle or claim.other_part
        found.append(Claimed(claim.part, claim.claim, about, claim.source, source.standing if source else ""))
    return tuple(found)


def _lines(checks: Checks, at: JointAt, rule: FitRule, things: tuple[str, str]) -> tuple[Line, ...]:
    """What a joint shows on two things, remembered."""
    key = (at.joint.joint, *things)
    told: tuple[Line, ...] | None = checks.told_lines.get(key)
    if told is not None:
        return told
    features = (at.joint.feature, at.joint.other_feature)
    sides = []
    absent = []
    for end, (thing, feature) in enumerate(zip(things, features, strict=True)):
        dimensions = dimensions_of(rule, (rule.first_role, rule.second_role)[end])
        recorded = checks.feature_at(rule, end, thing, feature)
        interface = interface_of(recorded, dimensions)
        if interface.presence == "absent" and recorded is not None:
            absent.append(_absent_line(thing, feature, recorded.absent))
        sides.append(Side(dimensions, (interface,)))
    lines = absent or [_condition_line(checks, at, rule, c, things, (sides[0], sides[1])) for c in rule.conditions]
    lines = _with_consequences(rule, lines)
    told = checks.told_lines[key] = tuple(lines)
    return told


def _with_consequences(rule: FitRule, lines: list[Line]) -> list[Line]:
    """The lines, each no with what comes of it where the two go together: all conditions of assembly agree."""
    if any(x.state != "yes" for x in lines if x.sort == "assembly" and x.need != "told"):
        return lines
    says = {c.label: c.says_together for c in rule.conditions if c.says_together}
    return [replace(x, says=f"{x.says}: {says[x.label]}") if x.says and x.label in says else x for x in lines]


def _absent_line(thing: str, feature: str, absent: tuple[Said, ...]) -> Line:
    said = min(absent, key=lambda a: (a.order, a.source))
    standing = STANDINGS[said.rank - 1]
    value = Value(thing, feature, "absent", None, None, said.source, standing, True, of_number=said.of_number)
    return Line(
        feature,
        "assembly",
        "required",
        "no",
        None,
        None,
        None,
        None,
        None,
        "",
        "",
        "",
        f"{thing} has no {feature}",
        (value,),
    )


def _to_measure(
    at: JointAt, rule: FitRule, lines: Sequence[Line], things: tuple[str, str], kept: tuple[bool, bool]
) -> tuple[str, ...]:
    wanted = []
    for line in lines:
        if line.need == "required" and line.state.startswith("open"):
            condition = next(c for c in rule.conditions if c.label == line.label)
            for term in condition.terms:
                first = term.role == rule.first_role
                thing, feature = (things[0], at.joint.feature) if first else (things[1], at.joint.other_feature)
                stated = [v for v in line.values if v.of == thing and v.dimension == f"{feature}: {term.dimension}"]
                sized = [v for v in stated if v.low is not None or v.computes]
                if not sized or line.state == STATES[STRADDLES]:
                    wanted.append(f"{thing}, {feature}: {term.dimension.partition('.')[0]}")
    return tuple(dict.fromkeys(wanted))


def _of_known(sizes: Iterable[str], candidates: Iterable[Candidate | None]) -> tuple[str, ...]:
    """Sizes that can be measured: not those of a part that nobody has found yet."""
    nowhere = tuple(f"{c.thing}, " for c in candidates if c is not None and c.to_be_found)
    return tuple(s for s in sizes if not nowhere or not s.startswith(nowhere))


def _weakest(lines: Sequence[Line]) -> str:
    ranks = [
        STANDINGS.index(v.standing) for line in lines if line.need == "required" for v in line.values if v.computes
    ]
    return STANDINGS[max(ranks)] if ranks else ""


def figure_evidence(
    checks: Checks, at: FigureAt, chosen: Mapping[Place, Candidate | None], vehicle: Vehicle | None
) -> Evidence:
    """The verdict of a stack or figure on what stands in its places, with all it rests on."""
    figure = at.figure
    things = [chosen.get(p) for p in at.places]
    terms = [checks.term(at, i, c) for i, c in enumerate(things)]
    as_made = checks.as_made_value(at, vehicle)
    by_set = checks.set_stating(at, chosen)
    stated = bool(by_set)
    result = judge_figure(figure, terms, as_made, stated)
    straddles = result.verdict is Verdict.NOT_KNOWN and result.low is not None
    values: list[Value] = []
    wanted = []
    for i, (candidate, term) in enumerate(zip(things, figure.terms, strict=True)):
        if candidate is None:
            continue
        recorded = checks.catalogue.features_of(candidate.thing).get(term.feature)
        named = f"{term.feature}: {term.dimension}"
        values += values_of(checks.catalogue.vocabulary, recorded, term.dimension, candidate.thing, named)
        inexact = straddles and any(low < high for low, high in terms[i].sizes)
        if i in result.missing or inexact:
            wanted.append(f"{candidate.thing}, {term.feature}: {term.dimension}")
    if figure.compared_with == "as made" and as_made is None:
        wanted += checks.missing_as_made(at, vehicle)
    limits = limits_of(figure, as_made)
    window = (-np.inf if limits[0] is None else limits[0], np.inf if limits[1] is None else limits[1])
    low, high = result.low, result.high
    state = "no" if result.verdict.is_no else STATES[MISSING] if low is None else "yes"
    if straddles or result.verdict is Verdict.DISPUTED:
        state = STATES[STRADDLES] if straddles else "disputed"
    line = Line(
        figure.figure,
        figure.sort,
        "required",
        state,
        None if low is None else round(low, 6),
        None if high is None else round(high, 6),
        _finite(window[0]),
        _finite(window[1]),
        margin_of(low, high, window) if low is not None and high is not None else None,
        figure.unit,
        figure.source,
        figure.standing,
        figure.says if state == "no" else "",
        tuple(dict.fromkeys(values)),
    )
    numbers = tuple(dict.fromkeys(c.number for c in things if c is not None))
    return Evidence(
        check=figure.figure,
        kind=figure.is_,
        verdict=result.verdict,
        safety_critical=figure.safety_critical,
        first=", ".join(numbers),
        second="",
        things=tuple(dict.fromkeys(c.thing for c in things if c is not None)),
        places=tuple(dict.fromkeys(str(p) for p in at.places)),
        lines=(line,),
        to_measure=_of_known(dict.fromkeys(wanted), things),
        weakest=_weakest([line]),
        claimed=stated,
        notes=notes_on(checks, figure.figure, *(c for c in things if c)),
        method=figure.method,
        stated_by=by_set if result.verdict is Verdict.FITS else "",
        assumed=checks.assumptions(at, chosen, vehicle),
    )
