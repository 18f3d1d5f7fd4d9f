"""The answer of ``knockon shortlist`` as text: how many parts are left, and where."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.shortlist.shortlist import ShortlistAnswer
from knockon.queries.ui.naming import as_options, count, listed
from knockon.queries.ui.sentences.plan import shortlist as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, Block, Grid, Heading, Para, bullets

ON_PAGE = 12
"""So many positions, those that lost most, stand on the first page."""


def shortlist_text(answer: ShortlistAnswer, full: bool) -> Sequence[Block]:
    """What is left; the first page or, ``full``, all."""
    asked = " ".join(as_options(answer.asked))
    blocks: list[Block] = [Para(say.TITLE.format(title=answer.title or answer.vehicle, asked=asked))]
    kept = say.KEPT.format(kept=f"{answer.kept:,}", parts=count(answer.parts, "part"), folder=answer.folder)
    blocks.append(Para(kept, tone=STRONG))
    if answer.equal:
        blocks.append(
            Para(say.EQUAL[answer.equal != 1].format(parts=count(answer.equal, "part"), folder=answer.folder))
        )
    if answer.empty:
        blocks.append(Para(say.NO_PLAN.format(positions=listed(answer.empty)), tone=BAD))
    else:
        blocks.append(Para(say.REASONS))
    return [*blocks, *_positions(answer, full), *(_joints(answer) if full else ())]


def _positions(answer: ShortlistAnswer, full: bool) -> Iterator[Block]:
    yield Heading(say.POSITIONS)
    most = sorted(answer.positions, key=lambda p: p.left - p.parts)[:ON_PAGE]
    shown = answer.positions if full else tuple(p for p in answer.positions if p in most)
    rows = tuple(
        (p.position, f"{p.parts:,}", f"{p.left:,}" if p.narrowed else say.ALL_KEPT.format(number=f"{p.left:,}"))
        for p in shown
    )
    yield Grid(rows, head=(say.POSITION, say.RECORDED, say.LEFT), right=(1, 2))
    if len(shown) < len(answer.positions):
        yield Para(say.MORE.format(positions=count(len(answer.positions) - len(shown), "more position")))


def _joints(answer: ShortlistAnswer) -> Iterator[Block]:
    yield Heading(say.JOINTS)
    rows = tuple(
        (
            j.joint,
            say.BY.format(first=f"{j.first_interfaces:,}", second=f"{j.second_interfaces:,}"),
            f"{j.pairs:,}",
            f"{j.noes:,}",
        )
        for j in answer.joints
    )
    yield Grid(rows, head=(say.JOINT, say.INTERFACES, say.PAIRS, say.NOES), right=(1, 2, 3))
    if answer.unsaid:
        yield Heading(say.UNSAID)
        yield Para(say.UNSAID_WHY)
        yield from bullets(say.UNSAID_LINE.format(rule=u.rule, condition=u.condition) for u in answer.unsaid)
