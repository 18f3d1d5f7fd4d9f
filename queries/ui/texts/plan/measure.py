"""What to measure first, and what stays hidden until later, as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import SIDES
from knockon.queries.plan.measure import AT_THE_CUT, SURVEY, Expected, Measurement, Risk, is_absence, looks
from knockon.queries.plan.orders import GroupName
from knockon.queries.ui import units
from knockon.queries.ui.details import command_blocks
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import measure as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para
from knockon.queries.ui.texts.plan.turning import turning_lines


def measure_blocks(
    naming: Naming,
    measurements: Sequence[Measurement],
    risks: Sequence[Risk],
    unknown: Sequence[Place],
    blank: Sequence[Place] = (),
    type_reading: Callable[[str], str] | None = None,
) -> list[Block]:
    """What to record (``blank``: where nothing is) and to measure before ordering, what decides most lines first; then
    what stays hidden. ``type_reading``: the command that writes down what was read, where it is to be shown."""
    blocks: list[Block] = []
    if blank or measurements:
        blocks.append(Heading(say.MEASURE_FIRST))
    if blank:
        blocks.append(Para(say.RECORD.format(places=places_in_words(blank)), tone=WARN))
    if measurements:
        letters: dict[str, str] = {}
        for method in (h for m in measurements for h in m.how if not is_absence(m)):
            letters.setdefault(method, _letter(len(letters)))
        lines = looks(measurements)
        first = sum(m[0].why != SURVEY for m in lines)
        for i, alike in enumerate(lines, 1):
            if i == first + 1:
                blocks.append(Para(say.AS_RECORDED))
            blocks.append(Para(_measurement(alike, letters), mark=f"{i}."))
            blocks += [Para(line, indent=4) for line in turning_lines([of for m in alike for of in m.turns_of_each])]
            typed = [type_reading(what) for what in dict.fromkeys(m.what for m in alike)] if type_reading else []
            blocks += [block for command in typed for block in command_blocks(say.TYPE, command, 4)]
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


def expected(sizes: Sequence[Expected], named: bool = False) -> str:
    """What the records expect, lengths in mm and inch, equal ones once; under its dimension if there are several, of
    which equal ones are ``named`` too."""
    found: dict[str, list[str]] = {}
    for size in sizes:
        text = say.EXPECT_NONE if size.written == "absent" else units.written_length(size.written)
        texts = found.setdefault(size.dimension, [])
        texts += [text] if text not in texts else []
    if len(found) == 1 or (not named and len({tuple(texts) for texts in found.values()}) == 1):
        return listed(next(iter(found.values())), "or")
    return listed([f"{dimension} {listed(texts, 'or')}" for dimension, texts in found.items()])


def subject(feature: str, dimensions: Sequence[str]) -> str:
    """What is measured: ``bolts: bolt pitch``, and just ``thread`` for the thread of a thread."""
    if len(dimensions) == 1 and feature.endswith(dimensions[0]):
        return feature
    return say.SUBJECT.format(feature=feature, dimensions=listed(dimensions))


def looked_at(alike: Sequence[Measurement]) -> str:
    """What is measured in one line, or looked for."""
    if is_absence(alike[0]):
        return say.LOOK_FOR.format(features=listed([m.feature for m in alike]))
    return subject(alike[0].feature, alike[0].dimensions)


def _measurement(alike: Sequence[Measurement], letters: dict[str, str]) -> str:
    measurement = alike[0]
    absent = is_absence(measurement)
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
