"""What to measure first, what stays hidden, what is unproven, and what was found on the vehicle, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.verdicts import Verdict
from knockon.queries.changes import Findings
from knockon.queries.evidence import Evidence
from knockon.queries.measure import Measurement, Risk
from knockon.queries.ui import units
from knockon.queries.ui.blocks import BAD, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, count, listed, places_in_words, sentence
from knockon.queries.ui.text_evidence import brief, figure_sum, is_bare_claim, measured_words
from knockon.queries.ui.text_notes import note_blocks


def measure_blocks(measurements: Sequence[Measurement], risks: Sequence[Risk], unknown: Sequence[str]) -> list[Block]:
    """The measurements before ordering, those that decide most lines first; then what stays hidden."""
    blocks: list[Block] = []
    if measurements:
        letters: dict[str, str] = {}
        for method in (h for m in measurements for h in m.how):
            letters.setdefault(method, _letter(len(letters)))
        blocks += [Heading("Measure first, before anything is ordered")]
        for i, measurement in enumerate(measurements, 1):
            blocks.append(Para(_measurement(measurement, letters), mark=f"{i}."))
        blocks.append(Para("How:"))
        blocks += [Para(method, mark=f"({letter})", indent=2) for method, letter in letters.items()]
    if risks or unknown:
        blocks.append(Heading("Risks that the order carries"))
        blocks += [Para(_risk(r), mark="-", tone=WARN) for r in risks]
        if unknown:
            blocks.append(Para(f"Condition unknown, taken as sound: {places_in_words(unknown)}.", mark="-"))
    return blocks


def _letter(index: int) -> str:
    return chr(ord("a") + index) if index < 26 else f"{_letter(index // 26 - 1)}{_letter(index % 26)}"


def expected(texts: Sequence[str]) -> str:
    """What the records expect, lengths in mm and inch, equal ones once."""
    return listed(list(dict.fromkeys(_bare(units.written_length(t)) for t in texts)), "or")


def _bare(text: str) -> str:
    return {"absent": "none there (known absent)"}.get(text, text)


def _measurement(measurement: Measurement, letters: dict[str, str]) -> str:
    text = f"{places_in_words(measurement.places)}, {measurement.feature}: {listed(measurement.dimensions)}."
    if measurement.expected:
        text += f" Expect {expected(measurement.expected)}."
    text += f" Decides: {listed(hands_together(measurement.decides))}."
    if measurement.why and measurement.why != "where it meets what is new":
        text += f" {sentence(measurement.why)}"
    how = listed([f"({letters[h]})" for h in measurement.how])
    return text + (f" How: {how}." if how else "")


def hands_together(groups: Sequence[str]) -> list[str]:
    """``knuckle left`` and ``knuckle right`` as ``knuckle left and right``; the order is kept."""
    found: dict[str, list[str]] = {}
    for group in groups:
        name, _, hand = group.rpartition(" ")
        if hand not in ("left", "right"):
            name, hand = group, ""
        found.setdefault(name, []).append(hand)
    return [
        f"{name} {' and '.join(h for h in ('left', 'right') if h in hands)}".strip() for name, hands in found.items()
    ]


def _risk(risk: Risk) -> str:
    text = f"Hidden until {risk.seen_when}: {places_in_words(risk.places)}, {risk.feature}: {listed(risk.dimensions)}."
    if risk.expected:
        text += f" The order counts on {expected(risk.expected)}."
    return text + f" It decides: {listed(hands_together(risk.decides))}."


def unproven_blocks(naming: Naming, checks: Sequence[Evidence]) -> list[Block]:
    """What is unproven, both hands told once: what is not known or disputed in full, the rest by why it is only on paper."""
    if not checks:
        return []
    once: dict[str, Evidence] = {}
    for evidence in checks:
        once.setdefault(evidence.check, evidence)
    blocks: list[Block] = [Heading("What is unproven"),
                           Para(f"{count(len(checks), 'check')}, both hands counted; {len(once)} sorts of check.")]  # fmt: skip
    open_ones = [e for e in once.values() if e.verdict is not Verdict.FITS_ON_PAPER]
    for evidence in open_ones:
        words = measured_words(naming, evidence.to_measure)
        measure = f" Measure: {'; '.join(words)}." if words else ""
        blocks.append(
            Para(
                f"{evidence.verdict.upper()}: {evidence.check} ({_pair(naming, evidence)}). {sentence(brief(naming, evidence))}{measure}",
                mark="-",
                tone=WARN,
            )
        )
    paper = [e for e in once.values() if e not in open_ones]
    bare = [e for e in paper if is_bare_claim(e)]
    method = [e for e in paper if e.method and e not in bare]
    partly = [e for e in paper if e.to_measure and e not in bare and e not in method]
    rest = [e for e in paper if e not in bare and e not in method and e not in partly]
    if rest:
        blocks.append(
            Para(
                f"Fits on paper, the sizes agree but not on good enough evidence yet: {'; '.join(e.check for e in rest)}.",
                mark="-",
            )
        )
    if partly:
        said = [f"{e.check} (open: {'; '.join(measured_words(naming, e.to_measure))})" for e in partly]
        blocks.append(
            Para(f"Fits on paper, a size is lacking and a claim stands in for it: {'; '.join(said)}.", mark="-")
        )
    if bare:
        blocks.append(
            Para(f"Fits on paper, on a claim alone, no size recorded: {'; '.join(e.check for e in bare)}.", mark="-")
        )
    for evidence in method:
        blocks.append(
            Para(
                f"{evidence.check}: never a tick from sizes. {figure_sum(evidence.lines[0])[:1].upper()}{figure_sum(evidence.lines[0])[1:]}. {evidence.method}",
                mark="-",
            )
        )
    notes = note_blocks(naming.catalogue, once.values())
    return [*blocks, *([Heading("What members found"), *notes] if notes else [])]


def _pair(naming: Naming, evidence: Evidence) -> str:
    numbers = [n for n in (*evidence.first.split(", "), evidence.second) if n]
    return naming.hands(numbers)


def finding_blocks(naming: Naming, findings: Findings) -> list[Block]:
    """What is wrong on the vehicle as it stands, and what was measured on it."""
    blocks: list[Block] = []
    if findings.wrong:
        blocks.append(Heading("Found on the vehicle as it stands"))
        for evidence in findings.wrong:
            says = ", and ".join(dict.fromkeys(x.says for x in evidence.lines if x.says))
            text = f"{evidence.verdict.upper()}: {places_in_words(evidence.places)} ({evidence.first} in {evidence.second}), {evidence.check}: {brief(naming, evidence)}; {says}."
            blocks.append(Para(text, mark="!", tone=BAD))
        blocks += note_blocks(naming.catalogue, findings.wrong, indent=2)
    if findings.measured:
        head = [] if findings.wrong else [Heading("Found on the vehicle as it stands")]
        blocks += [*head, *bullets([f"Read on the vehicle: {m}." for m in findings.measured])]
    return blocks
