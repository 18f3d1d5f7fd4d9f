"""The answer of ``knockon check`` as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from knockon.graph.model.findings import Finding
from knockon.queries.intake.check import CheckAnswer
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import count, sentence
from knockon.queries.ui.sentences import intake as say
from knockon.queries.ui.terminal.blocks import GOOD, WARN, Block, Heading, Para
from knockon.queries.ui.texts.findings import finding_line, is_long
from knockon.queries.ui.texts.intake.upgrade import upgrade_blocks

ON_PAGE, CHECKS_ON_PAGE = 15, 6
"""So many findings, and usual checks that a layout lacks, stand on the first page."""
POSITIONS_ON_PAGE = 12
"""So many of the usual positions that a layout lacks stand on the first page."""
NAMED = 8
"""So many of the rows that a composition does without are named of each sort; the others are counted."""


def check_text(answer: CheckAnswer, full: bool = True, ask: str = "") -> Sequence[Block]:
    """Whether the records are in order, and the findings under their files; not ``full``: the first of them, with what
    shows the others (``ask``: the command so far)."""
    blocks: list[Block] = [*_head(answer)]
    found = answer.findings if full else causes_first(answer.findings)
    shown = found if full else found[:ON_PAGE]
    for file, findings in groupby(shown, key=lambda f: f.file):
        blocks.append(Heading(file))
        blocks += [Para(finding_line(f, full), mark="-") for f in findings]
    more = len(answer.findings) - len(shown)
    if more:
        blocks.append(Para(say.MORE_FINDINGS.format(findings=count(more, "more finding"))))
    blocks += [*_lacking(answer, full), *_not_taken(answer), *_upgrade(answer)]
    lacked = any(len(one.checks) > CHECKS_ON_PAGE for one in answer.lacks_checks)
    lacked |= any(len(one.positions) > POSITIONS_ON_PAGE for one in answer.lacks_positions)
    lacked |= any(map(is_long, shown))
    return [*blocks, *(next_blocks([f"{ask} --full"]) if not full and (more or lacked) else ())]


def causes_first(findings: Sequence[Finding]) -> list[Finding]:
    """The first page: what is wrong in a file itself comes before remarks, and before rows that
    only name what was skipped elsewhere."""
    follows = dict.fromkeys((f.file for f in findings), True)
    for finding in findings:
        follows[finding.file] &= finding.follows or not finding.set_aside
    return sorted(findings, key=lambda f: follows[f.file])


def _head(answer: CheckAnswer) -> Iterator[Block]:
    if not answer.findings:
        yield Para(say.IN_ORDER, tone=GOOD)
    else:
        found = count(len(answer.findings), "finding")
        if answer.set_aside:
            yield Para(say.FOUND_SKIPPED.format(findings=found, skipped=answer.set_aside), tone=WARN)
        else:
            yield Para(say.FOUND_USED.format(findings=found), tone=WARN)
    counts = ", ".join(count(number, say.READ_ONE.get(name, name), name) for name, number in answer.counts.items())
    yield Para(say.READ_COUNTS.format(counts=counts))


def _lacking(answer: CheckAnswer, full: bool) -> Iterator[Block]:
    """The usual checks that layouts lack, each with what happens where nobody looks: remarks, no findings."""
    for one in answer.lacks_checks:
        yield Heading(say.USUAL_CHECKS)
        yield Para(say.LACKS_CHECKS.format(layout=one.layout), tone=WARN)
        shown = one.checks if full else one.checks[:CHECKS_ON_PAGE]
        for check in shown:
            text = say.LACKED.format(
                check=sentence(check.check),
                why=sentence(check.why),
                positions=", ".join(check.positions),
                source=check.source,
            )
            yield Para(text, mark="-")
        if len(shown) < len(one.checks):
            yield Para(say.AND_MORE.format(number=len(one.checks) - len(shown)))
    if answer.lacks_positions:
        yield Heading(say.USUAL_POSITIONS)
    for lacked in answer.lacks_positions:
        where = say.AXLE.format(layout=lacked.layout, axle=lacked.axle) if lacked.axle else lacked.layout
        shown_here = lacked.positions if full else lacked.positions[:POSITIONS_ON_PAGE]
        more = say.AND_MORE_NAMED.format(number=len(lacked.positions) - len(shown_here))
        positions = ", ".join(shown_here) + (more if len(shown_here) < len(lacked.positions) else "")
        yield Para(say.LACKS_POSITIONS.format(where=where, like=lacked.like, positions=positions), mark="-")


def _upgrade(answer: CheckAnswer) -> Iterator[Block]:
    if answer.upgrade is not None:
        yield Heading(say.SHORTER)
        yield Para(say.SHORTER_HOW)
        yield from upgrade_blocks(answer.upgrade.renamed, answer.upgrade.layouts)


def _not_taken(answer: CheckAnswer) -> list[Block]:
    """What ready-made layouts would give, and a layout does without: remarks, since it is as was asked."""
    blocks: list[Block] = []
    for (layout, uses, kind), rows in groupby(answer.not_taken, key=lambda r: (r.layout, r.uses, r.kind)):
        names = list(dict.fromkeys(r.name for r in rows if r.name))
        if not names or kind == "figure term":  # said with what they belong to
            continue
        more = say.AND_MORE_NAMED.format(number=len(names) - NAMED) if len(names) > NAMED else ""
        named = "; ".join(names[:NAMED])
        text = say.NOT_TAKEN.format(layout=layout, uses=uses, count=count(len(names), kind), names=named, more=more)
        blocks.append(Para(text, mark="-"))
    return [Heading(say.LEFT_OUT), *blocks] if blocks else []
