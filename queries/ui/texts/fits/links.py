"""One check in one sentence: what each side has, in mm and inch, and why it matters to the other."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec.structs import replace

from knockon.graph.judge.assumed import AssumedRange
from knockon.graph.judge.verdicts import Verdict
from knockon.queries.answers import with_article
from knockon.queries.fits.checking.evidence import Evidence, Line
from knockon.queries.plan.reasons.links import Step
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, plural, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.texts.fits.evidence import figure_sum, go_together

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
        return say.BOTH_HAVE.format(first=names[0], its=first, second=names[1], other=second)
    if first:
        return say.HAS.format(name=names[0], sizes=first)
    return say.HAS.format(name=names[1], sizes=second) if second else ""


def sayings(lines: Sequence[Line]) -> str:
    """What the rules say of the conditions that are a no; conditions on the very same sizes speak once."""
    seen: set[frozenset[tuple[str, str]]] = set()
    said = []
    for line in lines:
        sizes = frozenset((v.of, v.dimension) for v in line.values if v.computes)
        if line.says and sizes not in seen:
            said.append(line.says)
        seen.add(sizes)
    first, *rest = dict.fromkeys(said[:MOST_SAYINGS]) or [""]
    return say.THEN.format(first=first, then=_capital(rest[0])) if rest else first


def _capital(text: str) -> str:
    """The text with a capital, without a full stop of its own."""
    return sentence(text).removesuffix(".")


def shortfall(line: Line) -> str:
    """By how much a stack or figure misses its limit; the sum itself where the limit is not nought."""
    missed = missed_by(line)
    if line.margin is None or line.margin >= 0 or (missed.startswith("short") and line.window_low == 0):
        return missed
    amount = units.amount(line.low, line.high, line.unit)
    return say.MISSES.format(missed=missed, amount=amount, window=units.window(line))


def missed_by(line: Line) -> str:
    """By how much a stack or figure misses its limit; the sum itself where it does not."""
    if line.margin is None or line.margin >= 0:
        return figure_sum(line)
    amount = units.amount(-line.margin, -line.margin, line.unit)
    return (say.OVER_BY if units.is_over(line) else say.SHORT_BY).format(amount=amount)


def assumed_words(assumed: Sequence[AssumedRange]) -> list[str]:
    """``this holds for a friction of pad on rotor of 0.33 and more (0.38 is assumed)``, for all assumptions at once;
    those of which any value will do are left to the JSON document."""
    ended = (a for a in assumed if a.low is not None or a.high is not None)
    said = [
        say.ASSUMED.format(name=with_article(a.name), range=range_words(a), value=f"{a.value:g}", standing=a.standing)
        for a in ended
    ]
    return [say.HOLDS_FOR.format(ranges=listed(said))] if said else []


def range_words(assumed: AssumedRange) -> str:
    """The range of an assumption, its ends rounded inwards to hundredths: ``of 0.33 and more``."""
    low = None if assumed.low is None else min(math.ceil(assumed.low * 100) / 100, assumed.value)
    high = None if assumed.high is None else max(math.floor(assumed.high * 100) / 100, assumed.value)
    if low is not None and high is not None:
        return say.FROM_TO.format(low=f"{low:g}", high=f"{high:g}")
    return say.AND_LESS.format(high=f"{high:g}") if low is None else say.AND_MORE.format(low=f"{low:g}")


def no_sentence(naming: Naming, evidence: Evidence, given_first: bool | None = None) -> str:
    """Why a check is a no, with its sizes. ``given_first``: whether the thing that stands is the first of the pair."""
    if evidence.kind != "joint":
        line = evidence.lines[0]
        why = say.THEN.format(first=line.says or evidence.verdict, then=_capital(shortfall(line)))
        for assumed in assumed_words(evidence.assumed):
            why = say.THEN.format(first=why, then=_capital(assumed))
        return why
    lacking = absent_line(evidence)
    if lacking is not None:
        value = lacking.values[0]
        source = naming.source(value.source, value.standing)
        return say.HAS_NO.format(thing=naming.thing(value.of), feature=lacking.label, source=source)
    lines = [x for x in evidence.lines if x.state == "no"]
    first, *_, last = (p.position for p in evidence.places)
    names = (
        say.IN_PLACE.format(position=first, number=evidence.first),
        say.IN_PLACE.format(position=last, number=evidence.second),
    )
    turned = given_first is False
    sides = both_sides(_turned(evidence) if turned else evidence, names[::-1] if turned else names, lines)
    said = sayings(lines)
    why = say.THEN.format(first=sides, then=_capital(said)) if sides and said else sides or said
    if evidence.verdict is not Verdict.DO_NOT_USE:
        return why
    return say.THEN.format(first=why, then=say.GOES_TOGETHER if go_together((evidence,)) else say.NOT_TOGETHER)


def _turned(evidence: Evidence) -> Evidence:

    return replace(evidence, things=evidence.things[::-1])


def link_body(naming: Naming, step: Step) -> str:
    """One link of a reason without the name of its check."""
    if step.evidence is None:
        given = f"{step.given_place.position} {step.given}".strip()
        return _sought(naming, step, given)
    return no_sentence(naming, step.evidence, given_first=step.evidence.places[0] == step.given_place)


def _sought(naming: Naming, step: Step, given: str) -> str:
    """Which known parts suit what is given, where no pair shows it."""
    if not step.agreeing:
        return (
            say.NONE_SUITS.format(sought=step.sought, given=given)
            if given
            else say.NONE_AGREES.format(sought=step.sought)
        )
    numbers = naming.hands(step.agreeing)
    if not given:
        return say.ONLY_KNOWN.format(numbers=numbers, sought=plural(step.sought))
    one = len(step.agreeing) == 1
    template = say.ONLY_SUITS if one else say.ONLY_SUIT
    return template.format(numbers=numbers, sought=step.sought if one else plural(step.sought), given=given)


def agreement(evidence: Evidence) -> str:
    """The sizes that agree at a joint: what both sides have alike, else each side's."""
    lines = [x for x in evidence.lines if x.need == "required" and x.state == "yes"]
    first, second = (sizes_of(lines, thing) for thing in (evidence.things[0], evidence.things[-1]))
    others = {dimension: size for (_, dimension), size in second.items()}
    alike = [
        say.DIMENSION.format(name=dimension, size=size)
        for (_, dimension), size in first.items()
        if others.get(dimension) == size
    ]
    if alike:
        return say.AGREES_ALIKE.format(sizes=listed(alike))
    return both_sides(evidence, (evidence.first, evidence.second), lines)
