"""The answer of ``knockon fits`` as text: the verdict first, the evidence after it."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.fits import FitsAnswer, NotJudged
from knockon.queries.ui.blocks import BAD, QUIET, WARN, Block, Gap, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, listed, sentence
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.evidence import (
    evidence_blocks,
    figure_sum,
    is_bare_claim,
    limits_blocks,
    measured_words,
    used_sources,
    verdict_blocks,
)
from knockon.queries.ui.texts.fits.links import agreement, assumed_words, no_sentence
from knockon.queries.ui.texts.fits.number_chain import superseded
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told

MOST_IN_FULL = 6
NOT_JUDGED = "Not judged: more parts are needed"


INCOMPLETE = "A part that is needed between them is left out: without it there is no answer."
UNREAD = "A check between them cannot be read from the records: without it there is no answer."


def fits_text(catalogue: Catalogue, answer: FitsAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming.on(catalogue, answer.on)
    blocks: list[Block] = [
        Para(f"{listed([naming.part(p) for p in answer.parts])}{f', on {answer.on}' if answer.on else ''}:"),
        *danger_blocks(naming, answer.wrong),
    ]
    if answer.verdict is None:
        together = [n for n in answer.not_judged if len(n.given) > 1]
        blocks += [Para(f"They do not meet: {answer.hint}.", tone=WARN), *_cautions(answer.cautions[:1])]
        blocks += [Heading(NOT_JUDGED), *bullets(_not_judged(naming, together))] if together else []
        return [
            *blocks,
            *_unaccepted(catalogue, answer),
            Gap(),
            *(Para(c, tone=QUIET) for c in _general(catalogue, answer)[1:]),
        ]
    checks = sorted((*answer.joints, *answer.figures), key=lambda e: -SEVERITY[e.verdict])
    decides = bool(checks) and checks[0].verdict is answer.verdict
    blocks += [*_head(answer, checks, decides), *_vacant(naming, answer)]
    if answer.not_judged and answer.verdict is Verdict.FITS:
        figures = [n.figure for n in answer.not_judged]
        missing = listed(figures if len(figures) < 4 else [*figures[:2], f"{len(figures) - 2} more"])
        blocks.append(Para(f"As far as these parts go. Not judged without more parts: {missing}.", tone=WARN))
    blocks += [*_unaccepted(catalogue, answer), *_cautions(answer.cautions[:1])]
    blocks += _summary(checks) if decides else []
    sources = dict.fromkeys(used_sources(naming, e) for e in checks)
    bare = [e for e in checks if is_bare_claim(e)]
    rest = [e for e in checks if e not in bare]
    full = rest if len(rest) <= MOST_IN_FULL else [e for e in rest if e.verdict is checks[0].verdict]
    for evidence in full:
        blocks += [Gap(), *evidence_blocks(naming, evidence, with_sources=len(sources) > 1)]
    brief = [e for e in rest if e not in full]
    if brief:
        blocks += [Gap(), Para("The other checks, in brief (in full: give fewer parts, --at, or --json):")]
        blocks += bullets(_brief(naming, e) for e in brief)
    if bare:
        blocks += [
            Gap(),
            Para(f"On somebody's word alone, no size recorded on either side: {'; '.join(e.check for e in bare)}."),
        ]
    blocks += _to_measure(naming, checks)
    notes = note_blocks(catalogue, checks)
    if notes:
        blocks += [Heading("What members found"), *notes]
    if answer.not_judged:
        blocks += [Heading(NOT_JUDGED), *bullets(_not_judged(naming, answer.not_judged))]
    rests = [Para(text, mark="-", tone=QUIET) for text in sources if text and len(sources) == 1]
    limits = limits_blocks(checks)
    if rests or limits:
        blocks += [Heading("What it rests on"), *rests, *limits]
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in _general(catalogue, answer)[1:])]


def _head(answer: FitsAnswer, checks: Sequence[Evidence], decides: bool) -> list[Block]:
    """The verdict, and what it rests on where that is none of the checks."""
    assert answer.verdict is not None
    if decides or answer.verdict is Verdict.DO_NOT_USE:
        return verdict_blocks(answer.verdict, checks)
    return [Para(f"{answer.verdict.upper()}. {INCOMPLETE if answer.left_out else UNREAD}", tone=WARN)]


def _vacant(naming: Naming, answer: FitsAnswer) -> list[Block]:
    """Needed positions with nothing in them: left empty on purpose, and left out."""
    blocks: list[Block] = []
    for vacancy in answer.empty:
        said = f"The {vacancy.position} is judged as empty, and is needed beside {listed(vacancy.given)}."
        counts = f" It counts 0 in: {'; '.join(vacancy.figures)}." if vacancy.figures else ""
        blocks.append(Para(f"{said}{counts}", mark="!", tone=BAD))
    if answer.left_out:
        positions = [f"the {v.position}" for v in answer.left_out]
        several = len(positions) > 1
        where = f" and not recorded on {answer.on}" if answer.on else ""
        verb, each, one = ("are", "their parts", "one of them") if several else ("is", "its part", "it")
        blocks.append(
            Para(f"Left out: {listed(positions)}. {'They' if several else 'It'} {verb} needed here{where}.", tone=WARN)
        )
        blocks.append(Para(f"Name {each} too, or use --empty to judge without {one}.", tone=WARN))
    return blocks


def _cautions(texts: Sequence[str]) -> list[Block]:
    return [Para(text, tone=WARN) for text in texts]


def _general(catalogue: Catalogue, answer: FitsAnswer) -> tuple[str, ...]:
    """The cautions that stand with every answer."""
    return tuple(c for c in answer.cautions if c in everywhere(catalogue))


def _unaccepted(catalogue: Catalogue, answer: FitsAnswer) -> list[Block]:
    """What is said of a part that no plan would use unasked, and of checks that were set aside: beside the verdict, not
    after it."""
    known = {*everywhere(catalogue), *unchecked_told(answer)}
    unaccepted: list[Block] = [Para(c, mark="!", tone=BAD) for c in answer.cautions if c not in known]
    newer = [Para(superseded(p, by), mark="-", tone=WARN) for p, by in _newer(answer).items()]
    return [*unaccepted, *newer, *unchecked_blocks(answer)]


def _newer(answer: FitsAnswer) -> dict[str, list[str]]:
    """By part the numbers that are said to have taken its place, each with its condition."""
    found: dict[str, list[str]] = {}
    for step in answer.superseded:
        found.setdefault(step.part, []).append(f"{step.by} ({step.condition})" if step.condition else step.by)
    return found


def _brief(naming: Naming, evidence: Evidence) -> str:
    """One check in a line: verdict, the sizes that decide or agree, the weakest evidence."""
    if evidence.verdict.is_no:
        return f"{evidence.check}: {evidence.verdict}. {sentence(no_sentence(naming, evidence))}"
    sizes = agreement(evidence) if evidence.kind == "joint" else figure_sum(evidence.lines[0])
    weakest = f"weakest evidence: {evidence.weakest}" if evidence.weakest else ""
    said = "; ".join(x for x in (sizes, weakest, *assumed_words(evidence.assumed)) if x)
    return f"{evidence.check}: {evidence.verdict}. {sentence(said)}".strip()


def _summary(checks: Sequence[Evidence]) -> list[Block]:
    """Which checks decide, where not all do; there is one at least."""
    worst = checks[0].verdict
    decided = [e.check for e in checks if e.verdict is worst]
    rest = len(checks) - len(decided)
    if not rest:
        return []
    more = " The other check is better." if rest == 1 else f" The other {rest} checks are better."
    return [Para(f"Decided by: {listed(decided)}.{more}", tone=BAD if worst.is_no else "")]


def _to_measure(naming: Naming, checks: Sequence[Evidence]) -> list[Block]:
    open_sizes = dict.fromkeys(size for e in checks if e.verdict.is_unproven for size in e.to_measure)
    if not open_sizes or checks[0].verdict.is_no:  # no measurement undoes a no
        return []
    return [Heading("Measure this to change the answer"), *bullets(measured_words(naming, open_sizes))]


def _not_judged(naming: Naming, figures: Sequence[NotJudged]) -> list[str]:
    """Stacks and figures that need the same parts in one line; a size that is not recorded beside its own."""
    found: dict[tuple[str, ...], list[NotJudged]] = {}
    for figure in figures:
        found.setdefault(tuple(sorted(figure.needs)), []).append(figure)
    said = []
    for alike in found.values():
        lacking = dict.fromkeys(size for f in alike for size in f.not_recorded)
        text = f"{'; '.join(f.figure for f in alike)}. Needs {listed([f'the {p}' for p in alike[0].needs])}"
        said.append(text + (f". Not recorded: {'; '.join(measured_words(naming, lacking))}" if lacking else ""))
    return said
