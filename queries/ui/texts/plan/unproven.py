"""What is unproven in a plan, and what was found on the vehicle as it stands, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.fits.checking.evidence import Evidence, is_bare_claim
from knockon.queries.plan.changes import Findings
from knockon.queries.ui.naming import Naming, count, places_in_words, sentence
from knockon.queries.ui.sentences.plan import measure as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.evidence import figure_sum, measured_words
from knockon.queries.ui.texts.fits.links import both_sides

MOST_POSITIONS = 6
"""Positions without anything recorded that are named; the document has all."""


def unproven_blocks(naming: Naming, checks: Sequence[Evidence]) -> list[Block]:
    """What is unproven, both hands told once: what is not known or disputed in full, the rest by why it is on paper."""
    if not checks:
        return []
    once: dict[str, Evidence] = {}
    for evidence in checks:
        once.setdefault(evidence.check, evidence)
    head = say.HOW_MANY.format(checks=count(len(checks), "check"), are="is" if len(checks) == 1 else "are")
    head += f" {say.LISTED_ONCE.format(number=len(once))}" if len(once) < len(checks) else ""
    blocks: list[Block] = [Heading(say.UNPROVEN), Para(head)]
    blocks += [_open(naming, e) for e in once.values() if e.verdict is not Verdict.FITS_ON_PAPER]
    return [*blocks, *_on_paper(naming, [e for e in once.values() if e.verdict is Verdict.FITS_ON_PAPER])]


def member_blocks(naming: Naming, unproven: Sequence[Evidence], ruled_out: Sequence[Evidence]) -> list[Block]:
    """What members found at the checks that are unproven, and at those that rule the old parts out."""
    notes = note_blocks(naming.catalogue, (*unproven, *ruled_out))
    return [Heading(say.MEMBERS), *notes] if notes else []


def _open(naming: Naming, evidence: Evidence) -> Para:
    """A check that is not known or disputed: between what, why, and what to measure."""
    numbers = naming.hands(evidence.numbers)
    said = [say.OPEN.format(verdict=evidence.verdict.upper(), check=evidence.check, numbers=numbers)]
    if evidence.verdict is Verdict.DISPUTED:
        stated = both_sides(evidence, (evidence.first, evidence.second), evidence.lines)
        said.append(sentence(stated) if evidence.kind == "joint" else sentence(figure_sum(evidence.lines[0])))
    words = measured_words(naming, evidence.to_measure)
    said += [say.MEASURE.format(sizes="; ".join(words))] if words else []
    return Para(" ".join(said), mark="-", tone=WARN)


def _on_paper(naming: Naming, checks: Sequence[Evidence]) -> list[Block]:
    """Why each of these fits only on paper: never from sizes, on a claim, a size lacking, or evidence too weak."""
    method = [e for e in checks if e.method]
    bare = [e for e in checks if is_bare_claim(e) and e not in method]
    partly = [e for e in checks if e.to_measure and e not in bare and e not in method]
    weak = [e for e in checks if e not in bare and e not in method and e not in partly]
    said = []
    if weak:
        said.append(say.WEAK.format(checks=_names(weak)))
    if partly:
        lacking = [f"{e.check} ({'; '.join(measured_words(naming, e.to_measure))})" for e in partly]
        said.append(say.CLAIMED.format(checks="; ".join(lacking)))
    if bare:
        said.append(say.CLAIM_ALONE.format(checks=_names(bare)))
    by_method: dict[str, list[Evidence]] = {}
    for evidence in method:
        by_method.setdefault(evidence.method, []).append(evidence)
    for how, alike in by_method.items():
        said.append(f"{say.BY_METHOD.format(checks=_names(alike))} {how}")
    return list(bullets(said))


def _names(checks: Sequence[Evidence]) -> str:
    return "; ".join(e.check for e in checks)


def finding_blocks(naming: Naming, findings: Findings) -> list[Block]:
    """What was read on the vehicle, and what members found of what is wrong on it (told in the head)."""
    blocks: list[Block] = [*note_blocks(naming.catalogue, findings.wrong)]
    blocks += bullets([say.READ.format(machine=naming.machine, reading=m) for m in findings.measured])
    if findings.not_recorded:
        positions = list(dict.fromkeys(p.position for p in findings.not_recorded))
        named = places_in_words([p for p in findings.not_recorded if p.position in positions[:MOST_POSITIONS]])
        more = len(positions) - MOST_POSITIONS
        places = say.AND_MORE_POSITIONS.format(places=named, number=more) if more > 0 else named
        blocks.append(Para(say.NOT_RECORDED.format(places=places), mark="-", tone=WARN))
    return [Heading(say.FOUND.format(machine=naming.machine)), *blocks] if blocks else []
