"""The answer of ``knockon partners PART --along JOINT`` as text: joint by joint how many parts are reached."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.reach import ReachAnswer, Reached
from knockon.queries.ui.details import Shown, next_blocks
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
        blocks += [Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]
    else:
        blocks += [Gap(), in_short(catalogue, answer.cautions)]
    return [*blocks, *next_blocks([_next(answer)])]


def _next(answer: ReachAnswer) -> str:
    """What the first part that follows meets itself; where none follows, what else the part could meet."""
    last = answer.joints[-1].first if answer.joints else ()
    return shlex.join(["knockon", "partners", *([last[0]] if last else [answer.part, "--others"])])


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
