"""What to measure first, and what stays hidden until later, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import SIDES
from knockon.queries.plan.measure import AT_THE_CUT, SURVEY, Expected, Measurement, Risk
from knockon.queries.plan.orders import GroupName
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import measure as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para


def measure_blocks(
    naming: Naming,
    measurements: Sequence[Measurement],
    risks: Sequence[Risk],
    unknown: Sequence[Place],
    blank: Sequence[Place] = (),
) -> list[Block]:
    """What to record (``blank``: where nothing is) and to measure before ordering, what decides most lines first; then
    what stays hidden."""
    blocks: list[Block] = []
    if blank or measurements:
        blocks.append(Heading(say.MEASURE_FIRST))
    if blank:
        blocks.append(Para(say.RECORD.format(places=places_in_words(blank)), tone=WARN))
    if measurements:
        letters: dict[str, str] = {}
        for method in (h for m in measurements for h in m.how if not _is_absence(m)):
            letters.setdefault(method, _letter(len(letters)))
        lines = looks(measurements)
        first = sum(m[0].why != SURVEY for m in lines)
        for i, alike in enumerate(lines, 1):
            if i == first + 1:
                blocks.append(Para(say.AS_RECORDED))
            blocks.append(Para(_measurement(alike, letters), mark=f"{i}."))
        blocks += [Para(say.HOW)] if letters else []
        blocks += [Para(method, mark=f"({letter})", indent=2) for method, letter in letters.items()]
    if risks or unknown:
        blocks.append(Heading(say.RISKS))
        blocks += [Para(_risk(naming, r), mark="-", tone=WARN) for r in risks]
        if unknown:
            blocks.append(Para(say.CONDITION_UNKNOWN.format(places=places_in_words(unknown)), mark="-"))
    return blocks


def _letter(index: int) -> str:
    return chr(ord("a") + index) if index < 26 else f"{_letter(index // 26 - 1)}{_letter(index % 26)}"


def expected(sizes: Sequence[Expected]) -> str:
    """What the records expect, lengths in mm and inch, equal ones once; under its dimension if there are several."""
    found: dict[str, list[str]] = {}
    for size in sizes:
        text = say.EXPECT_NONE if size.written == "absent" else units.written_length(size.written)
        texts = found.setdefault(size.dimension, [])
        texts += [text] if text not in texts else []
    if len({tuple(texts) for texts in found.values()}) == 1:
        return listed(next(iter(found.values())), "or")
    return listed([f"{dimension} {listed(texts, 'or')}" for dimension, texts in found.items()])


def subject(feature: str, dimensions: Sequence[str]) -> str:
    """What is measured: ``bolts: bolt pitch``, and just ``thread`` for the thread of a thread."""
    if len(dimensions) == 1 and feature.endswith(dimensions[0]):
        return feature
    return say.SUBJECT.format(feature=feature, dimensions=listed(dimensions))


def looks(measurements: Sequence[Measurement]) -> list[list[Measurement]]:
    """Measurements in their order, those of what leaves last; what one look shows to be missing, of one thing, in
    one line."""
    found: list[list[Measurement]] = []
    for measurement in measurements:
        alike = [m for m in found if _is_absence(measurement) and _same_look(m[0], measurement)]
        if alike:
            alike[0].append(measurement)
        else:
            found.append([measurement])
    return sorted(found, key=lambda m: m[0].why == SURVEY)


def looked_at(alike: Sequence[Measurement]) -> str:
    """What is measured in one line, or looked for."""
    if _is_absence(alike[0]):
        return say.LOOK_FOR.format(features=listed([m.feature for m in alike]))
    return subject(alike[0].feature, alike[0].dimensions)


def _same_look(one: Measurement, other: Measurement) -> bool:
    return _is_absence(one) and (one.places, one.decides, one.why) == (other.places, other.decides, other.why)


def _is_absence(measurement: Measurement) -> bool:
    return bool(measurement.expected) and all(e.written == "absent" for e in measurement.expected)


def _measurement(alike: Sequence[Measurement], letters: dict[str, str]) -> str:
    measurement = alike[0]
    absent = _is_absence(measurement)
    said = [say.SIZE.format(places=places_in_words(measurement.places), what=looked_at(alike))]
    said += [say.EXPECT.format(sizes=expected(measurement.expected))] if measurement.expected else []
    said += [say.DECIDES.format(groups=listed(hands_together(measurement.decides)))]
    said += [sentence(measurement.why)] if measurement.why not in ("", AT_THE_CUT, SURVEY) else []
    how = listed([f"({letters[h]})" for h in measurement.how if not absent])
    return " ".join((*said, *([say.BY.format(methods=how)] if how else [])))


def hands_together(groups: Sequence[GroupName]) -> list[str]:
    """``knuckle left`` and ``knuckle right`` as ``knuckle left and right``; the order is kept."""
    found: dict[str, list[str]] = {}
    for group in groups:
        found.setdefault(group.group, []).append(group.hand)
    return [f"{name} {' and '.join(h for h in SIDES if h in hands)}".strip() for name, hands in found.items()]


def _risk(naming: Naming, risk: Risk) -> str:
    what = subject(risk.feature, risk.dimensions)
    when = naming.words.get(risk.seen_when, risk.seen_when)
    said = [say.HIDDEN.format(when=when, places=places_in_words(risk.places), what=what)]
    said += [say.ASSUMES.format(sizes=expected(risk.expected))] if risk.expected else []
    return " ".join((*said, say.RISK_DECIDES.format(groups=listed(hands_together(risk.decides)))))
