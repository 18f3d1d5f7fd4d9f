"""One check in one sentence: what each side has, in mm and inch, and why it matters to the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from knockon.graph.judge.assumed import AssumedRange
from knockon.graph.judge.verdicts import Verdict
from knockon.queries.fits.checking.evidence import Evidence, Line
from knockon.queries.plan.reasons.links import Step
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, plural
from knockon.queries.ui.texts.fits.evidence import figure_sum

MOST_SAYINGS = 2


def sizes_of(lines: Sequence[Line], thing: str) -> dict[tuple[str, str], str]:
    """What one thing has in these conditions: (feature, dimension) -> size; a thread by its designation."""
    found: dict[tuple[str, str], list[str]] = {}
    for value in (v for line in lines for v in line.values if v.of == thing and v.computes):
        text = units.size_or_designation(value)
        texts = found.setdefault((value.dimension.feature, value.dimension.column), [])
        texts += [text] if text not in texts else []
    return {key: listed(texts, "or") for key, texts in found.items()}


def has(sizes: dict[tuple[str, str], str]) -> str:
    """Sizes in a row: ``journal diameter 25.4 mm (1.000 in)``; the feature is named once."""
    said, last = [], ""
    for (feature, dimension), size in sizes.items():
        named = feature if feature != last else ""
        word = "" if named.endswith(dimension) else dimension
        said.append(" ".join(x for x in (named, word, size) if x))
        last = feature
    return listed(said)


def absent_line(evidence: Evidence) -> Line | None:
    """The line that says that a feature which must be there is known absent."""
    return next((x for x in evidence.lines if x.values and x.values[0].written == "absent"), None)


def both_sides(evidence: Evidence, names: tuple[str, str], lines: Sequence[Line]) -> str:
    """``knuckle ALDER-201L has bore 57.15 mm (2.250 in), bearing ALDER-111 outside diameter 50.8 mm (2.000 in)``."""
    first, second = (has(sizes_of(lines, thing)) for thing in (evidence.things[0], evidence.things[-1]))
    if first and second:
        return f"{names[0]} has {first}, {names[1]} has {second}"
    return f"{names[0]} has {first}" if first else f"{names[1]} has {second}" if second else ""


def sayings(lines: Sequence[Line]) -> str:
    """What the rules say of the conditions that are a no; conditions on the very same sizes speak once."""
    seen: set[frozenset[tuple[str, str]]] = set()
    said = []
    for line in lines:
        sizes = frozenset((v.of, v.dimension) for v in line.values if v.computes)
        if line.says and sizes not in seen:
            said.append(line.says)
        seen.add(sizes)
    return "; ".join(dict.fromkeys(said[:MOST_SAYINGS]))


def shortfall(line: Line) -> str:
    """By how much a stack or figure misses its limit; the sum itself where the limit is not nought."""
    missed = missed_by(line)
    if line.margin is None or line.margin >= 0 or (missed.startswith("short") and line.window_low == 0):
        return missed
    return f"{missed}, it comes to {units.amount(line.low, line.high, line.unit)}, {units.window(line)} asked"


def missed_by(line: Line) -> str:
    """By how much a stack or figure misses its limit; the sum itself where it does not."""
    if line.margin is None or line.margin >= 0:
        return figure_sum(line)
    word = "over" if units.is_over(line) else "short"
    return f"{word} by {units.amount(-line.margin, -line.margin, line.unit)}"


def assumed_words(assumed: Sequence[AssumedRange]) -> list[str]:
    """``this holds for a friction of pad on rotor of 0.33 and more (0.38 is assumed)``, for all assumptions at once;
    those of which any value will do are left to the JSON document."""
    ended = (a for a in assumed if a.low is not None or a.high is not None)
    said = [f"{_article(a.name)} {range_words(a)} ({a.value:g} is assumed, {a.standing})" for a in ended]
    return [f"this holds for {listed(said)}"] if said else []


def _article(name: str) -> str:
    return f"{'an' if name[:1] in 'aeiou' else 'a'} {name}"


def range_words(assumed: AssumedRange) -> str:
    """The range of an assumption, its ends rounded inwards to hundredths: ``of 0.33 and more``."""
    low = None if assumed.low is None else min(math.ceil(assumed.low * 100) / 100, assumed.value)
    high = None if assumed.high is None else max(math.floor(assumed.high * 100) / 100, assumed.value)
    if low is not None and high is not None:
        return f"from {low:g} to {high:g}"
    if low is not None:
        return f"of {low:g} and more"
    return f"of {high:g} and less"


def no_sentence(naming: Naming, evidence: Evidence, given_first: bool | None = None) -> str:
    """Why a check is a no, with its sizes. ``given_first``: whether the thing that stands is the first of the pair."""
    if evidence.kind != "joint":
        line = evidence.lines[0]
        return "; ".join([f"{line.says or evidence.verdict}: {shortfall(line)}", *assumed_words(evidence.assumed)])
    positions = [p.position for p in evidence.places]
    names = (f"the {positions[0]} {evidence.first}", f"the {positions[-1]} {evidence.second}")
    lacking = absent_line(evidence)
    if lacking is not None:
        value = lacking.values[0]
        return f"{naming.thing(value.of)} has no {lacking.label} ({naming.source(value.source, value.standing)})"
    lines = [x for x in evidence.lines if x.state == "no"]
    sides = both_sides(
        _turned(evidence) if given_first is False else evidence, names[::-1] if given_first is False else names, lines
    )
    said = sayings(lines)
    danger = " (it goes together: do not use it)" if evidence.verdict is Verdict.DO_NOT_USE else ""
    return f"{sides}: {said}{danger}" if sides else f"{said}{danger}"


def _turned(evidence: Evidence) -> Evidence:

    return replace(evidence, things=evidence.things[::-1])


def link_body(naming: Naming, step: Step) -> str:
    """One link of a reason without the name of its check."""
    if step.evidence is None:
        given = f"{step.given_place.position} {step.given}".strip()
        said = f"no known {step.sought} agrees"
        if step.agreeing:
            said = f"of known {plural(step.sought)} only these agree: {naming.hands(step.agreeing)}"
        return f"beside the {given}, {said}" if given else said
    return no_sentence(naming, step.evidence, given_first=step.evidence.places[0] == step.given_place)


def agreement(evidence: Evidence) -> str:
    """The sizes that agree at a joint: what both sides have alike, else each side's."""
    lines = [x for x in evidence.lines if x.need == "required" and x.state == "yes"]
    first, second = (sizes_of(lines, thing) for thing in (evidence.things[0], evidence.things[-1]))
    others = {dimension: size for (_, dimension), size in second.items()}
    alike = [f"{dimension} {size}" for (_, dimension), size in first.items() if others.get(dimension) == size]
    if alike:
        return f"{listed(alike)} on both"
    return both_sides(evidence, (evidence.first, evidence.second), lines)
