"""The answer of ``knockon partners PART --along JOINT`` as text: joint by joint how many parts are reached."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.reach import ReachAnswer, Reached
from knockon.queries.ui.details import Shown
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.sentences import parts as say
from knockon.queries.ui.terminal.blocks import QUIET, STRONG, WARN, Block, Gap, Para
from knockon.queries.ui.texts.cautions import in_short


def reach_text(catalogue: Catalogue, answer: ReachAnswer, shown: Shown) -> Sequence[Block]:
    """The whole answer; with ``--full`` all cautions with it."""
    naming = Naming(catalogue)
    blocks: list[Block] = [
        Para(f"{answer.part} {answer.name}".strip(), tone=STRONG),
        Para(say.REACH_ONLY),
        Para(answer.cautions[0], tone=WARN),
        Gap(),
    ]
    for joint in answer.joints:
        blocks += _at_joint(naming, joint)
    if shown.full:
        return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]
    return [*blocks, Gap(), in_short(catalogue, answer.cautions)]


def _at_joint(naming: Naming, joint: Reached) -> Iterator[Block]:
    yield Para(say.JOINT_HEAD.format(joint=joint.joint, position=joint.other_position), tone=STRONG)
    if not joint.of:
        yield Para(say.NOTHING_THERE, tone=WARN)
    elif not joint.reached:
        yield Para(say.NONE_REACHED.format(number=joint.of), mark="-", tone=WARN)
    else:
        names = "; ".join(f"{number} {naming.name_of(number)}".strip() for number in joint.first)
        more = joint.reached - len(joint.first)
        parts = say.AND_MORE.format(parts=names, number=more) if more > 0 else names
        yield Para(say.REACHED.format(reached=joint.reached, number=joint.of, parts=parts), mark="-")
