"""The evidence of a joint on two candidates: each condition's state, the sizes behind it, what to measure."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf, isfinite, nan
from typing import NamedTuple

from msgspec.structs import replace

from knockon.graph.judge.beliefs import interface_of
from knockon.graph.judge.conditions import (
    Cells,
    Side,
    dimensions_of,
    evaluate,
    usual_codes,
    window_of,
)
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Verdict
from knockon.graph.model.layouts.layout import JointAt
from knockon.graph.model.rules import Condition, FitRule, RuleEnd
from knockon.graph.model.schema import column_of
from knockon.graph.model.several import Several
from knockon.graph.model.things import STANDINGS, Said
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import (
    STATES,
    Assumed,
    Claimed,
    Evidence,
    Line,
    Value,
    finite,
    margin_of,
    of_known,
    values_of,
    weakest,
)
from knockon.queries.fits.checking.notes_beside import notes_on
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf

WORSE = (YES, MISSING, STRADDLES, NO)


def joint_evidence(checks: Checks, at: JointAt, first: Candidate, second: Candidate) -> Evidence:
    """The verdict of a joint on two candidates, with all it rests on."""
    rule = checks.rule_of(at)
    result = checks.joint(at, first, second)
    things = (first.thing, second.thing)
    held = [_Held(c.thing, here.feature, end) for c, here, end in zip((first, second), at.ends, rule.ends, strict=True)]
    lines = _lines(checks, at, rule, held)
    by_set = first.number if result.weighing.stated and result.verdict is Verdict.FITS else ""
    if result.verdict is Verdict.DOES_NOT_FIT:
        together = {c.label for c in rule.conditions if takes_both(c)}
        lines = tuple(replace(x, holds=False) if x.need == "told" and x.label in together else x for x in lines)
    return Evidence(
        check=at.joint.joint,
        kind="joint",
        verdict=result.verdict,
        safety_critical=result.weighing.safety_critical,
        first=Several([first.number]),
        second=second.number,
        things=things,
        places=(at.first, at.second),
        lines=lines,
        to_measure=() if by_set else of_known(_to_measure(rule, lines, held), (first, second)),
        weakest=weakest(lines),
        claimed=result.weighing.claimed,
        notes=notes_on(checks, at.joint.joint, first, second),
        claims=_claims(checks, first, second) if result.weighing.claimed else (),
        stated_by=by_set,
    )


class _Held(NamedTuple):
    """A thing at one end of a joint: its feature there, and the end of the rule that reads it."""

    thing: str
    feature: str
    end: RuleEnd


def takes_both(condition: Condition) -> bool:
    """Whether a condition takes sizes of both sides."""
    return len({t.role for t in condition.terms}) > 1


def _condition_line(
    checks: Checks, rule: FitRule, condition: Condition, held: Sequence[_Held], sides: tuple[Side, Side]
) -> Line:
    cells = evaluate(condition, rule, sides)
    state = _state(condition, cells, rule, sides)
    known = [cell for row in cells for cell in row if isfinite(cell.low)]
    low = min((cell.low for cell in known), default=nan)
    high = max((cell.high for cell in known), default=nan)
    values: list[Value] = []
    for term in condition.terms:
        thing, feature, end = held[rule.end_of(term).number]
        recorded = checks.feature_at(end, thing, feature)
        values += values_of(
            checks.catalogue.vocabulary, recorded, term.dimension, thing, FeatureSize(feature, term.dimension)
        )
    bounds = (b for t in condition.terms for b in sides[rule.end_of(t).number].bounds(t.dimension))
    nominal = any(b.nominal for b in bounds)
    window = window_of(condition, nominal) or (-inf, inf)
    if condition.need == "told":
        state = "told" if isfinite(low) else STATES[MISSING]
    return Line(
        label=condition.label,
        sort=condition.sort,
        need=condition.need,
        state=state,
        low=finite(low),
        high=finite(high),
        window_low=finite(window[0]),
        window_high=finite(window[1]),
        margin=margin_of(low, high, window) if isfinite(low) and condition.need != "told" else None,
        unit=condition.unit,
        source=condition.source,
        standing=condition.standing,
        says=condition.says_no if state == "no" else "",
        values=tuple(dict.fromkeys(values)),
        by_name=checks.compares_names(rule, condition),
        assumed=_assumed(rule, condition, held, sides),
    )


def _assumed(
    rule: FitRule, condition: Condition, held: Sequence[_Held], sides: tuple[Side, Side]
) -> tuple[Assumed, ...]:
    """The usual codes that count in a condition because nobody wrote one."""
    taken = usual_codes(condition, rule, sides)
    found = []
    for term, usual in zip(condition.terms, condition.usual, strict=False):
        thing, feature, end = held[rule.end_of(term).number]
        if any(taken[end.number]):
            found.append(Assumed(thing, FeatureSize(feature, term.dimension), usual))
    return tuple(found)


def _state(condition: Condition, cells: Cells, rule: FitRule, sides: tuple[Side, Side]) -> str:
    """The state of one condition as verdicts are found: the worst of equal sources that overlap, and disputed where it
    hangs on which of those that contradict each other is believed."""
    believed = []
    for end, side in zip(rule.ends, sides, strict=True):
        deciding = frozenset(t.dimension for t in condition.terms if t.role == end.role)
        believed.append(Side(side.dimensions, side.interfaces, deciding).beliefs)
    worst: dict[object, int] = {}
    for r, first in enumerate(believed[0]):
        for c, second in enumerate(believed[1]):
            found = cells[r][c].state
            worst[(first, second)] = max(found, worst.get((first, second), YES), key=WORSE.index)
    states = set(worst.values())
    return STATES[states.pop()] if len(states) == 1 else "disputed"


def _claims(checks: Checks, first: Candidate, second: Candidate) -> tuple[Claimed, ...]:
    found = []
    for claim in checks.claims.said(first, second):
        source = checks.catalogue.sources.get(claim.source)
        about = claim.vehicle or claim.other_part
        found.append(Claimed(claim.part, claim.claim, about, claim.source, source.standing if source else ""))
    return tuple(found)


def _lines(checks: Checks, at: JointAt, rule: FitRule, held: Sequence[_Held]) -> tuple[Line, ...]:
    """What a joint shows on two things, remembered."""
    key = (at.joint.joint, held[0].thing, held[1].thing)
    told: tuple[Line, ...] | None = checks.told_lines.get(key)
    if told is not None:
        return told
    sides = []
    absent = []
    for thing, feature, end in held:
        dimensions = dimensions_of(rule, end.role)
        recorded = checks.feature_at(end, thing, feature)
        interface = interface_of(recorded, dimensions)
        if interface.presence == "absent" and recorded is not None:
            absent.append(_absent_line(thing, feature, recorded.absent))
        sides.append(Side(dimensions, (interface,)))
    lines = absent or [_condition_line(checks, rule, c, held, (sides[0], sides[1])) for c in rule.conditions]
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
    value = Value(
        of=thing,
        dimension=FeatureSize(feature, ""),
        written="absent",
        low=None,
        high=None,
        source=said.source,
        standing=standing,
        computes=True,
        of_number=said.of_number,
    )
    return Line(
        label=feature,
        sort="assembly",
        need="required",
        state="no",
        says=f"{thing} has no {feature}",
        values=(value,),
    )


def _to_measure(rule: FitRule, lines: Sequence[Line], held: Sequence[_Held]) -> tuple[SizeOf, ...]:
    wanted = []
    for line in lines:
        if line.need == "required" and line.state.startswith("open"):
            condition = next(c for c in rule.conditions if c.label == line.label)
            for term in condition.terms:
                thing, feature, _ = held[rule.end_of(term).number]
                stated = [
                    v for v in line.values if v.of == thing and v.dimension == FeatureSize(feature, term.dimension)
                ]
                sized = [v for v in stated if v.low is not None or v.computes]
                if not sized or line.state == STATES[STRADDLES]:
                    wanted.append(SizeOf(thing, feature, column_of(term.dimension)))
    return tuple(dict.fromkeys(wanted))
