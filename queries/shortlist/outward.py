"""Which parts may still stand in some plan: candidates are struck out round by round, outward from the request.

A candidate is struck out where a joint that must hold has nothing at its other end but definite noes among what is left
there. Proof that no plan loses a part: say that a plan has the candidate c in a place of position P. For an arc from P
to Q (``Swap.arcs``) the joint's arrangement holds whenever P is filled and Q is filled too, so that the plan has some d
in Q, on the same side or on the vehicle. The joint counts unless both were there before and stay untouched, and then
neither is struck out on account of the other; else it is no definite no, or the plan were not consistent. So d speaks
for c, and as long as no candidate of the plan has been struck out before, c is not: by induction none ever is. A set is
used whole or not at all, so one that has lost a member has lost all. Unknown sizes are never a no; stacks, figures and
conditions by formula are not looked at, and rule nothing out. What is left is therefore a superset of the parts of all
plans, and fewer only where the records prove it.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec

from knockon.queries.shortlist.asked import Arc, Swap
from knockon.queries.shortlist.engines import Columns
from knockon.queries.shortlist.interfaces import Folded, fold, open_pairs

Steps = Callable[[str, int, int], None]
MOST_ROUNDS = 40
"""Rounds after which the rest is taken as it is: each round is right by itself."""
CANDIDATE = ("position", "thing", "part", "stays", "member")


class Left(msgspec.Struct, frozen=True):
    """What is left: the candidates at first and at the end (CANDIDATE), the folded interfaces, the pairs of classes
    that are no definite no, the positions that were not narrowed, the least accepted number of each position, and how
    many rounds it took."""

    candidates: Any
    alive: Any
    folded: Folded
    pairs: Any
    unknown: frozenset[str]
    witnesses: dict[str, str]
    rounds: int


def left_by(columns: Columns, swap: Swap, heard: Steps) -> Left:
    """Strike out what can stand in no plan."""
    heard("looking for candidates", 0, 0)
    candidates = columns.settled(candidates_of(columns, swap))
    witnesses = _accepted(columns, candidates, swap)
    lacking = {n for n, p in swap.positions.items() if p.need != "optional" and n not in witnesses}
    unknown = frozenset(swap.blank | lacking)
    heard("folding interfaces", 0, 0)
    folded = fold(columns, swap.catalogue, swap.joints, candidates)
    pairs = _pairs(columns, swap, folded, heard)
    alive = columns.settled(_at_first(columns, swap, candidates, unknown))
    arcs = tuple(swap.arcs(unknown))
    rounds, before, after = 0, -1, _count(alive)
    where = columns.settled(_where(columns, swap, folded, candidates))
    supports = columns.settled(_supports(columns, arcs, pairs))
    while before != after and rounds < MOST_ROUNDS and arcs:
        heard("striking out candidates", rounds, 0)
        alive = columns.settled(_round(columns, swap, arcs, alive, where, supports, candidates, unknown))
        before, after, rounds = after, _count(alive), rounds + 1
    return Left(candidates, alive, folded, pairs, unknown, witnesses, rounds)


def candidates_of(columns: Columns, swap: Swap) -> Any:
    """All that may stand in a position, new (parts and members of sets) or staying, with the number it is bought by."""
    types = list(swap.types_at())
    told = columns.table(position=[p for p, _ in types], part_type=[t for _, t in types])
    layer, parts, things = columns.layer, columns.parts, columns.things
    whole = parts.inner_join(told, "part_type").select("position", "part", thing="part")
    members = things.filter((things["is"] == "member") & things.position.isin(sorted(swap.positions)))
    members = members.inner_join(parts.select("part"), "part").select("position", "thing", "part").distinct()
    found = _marked(layer, whole, False, False).union(_marked(layer, members, False, True))
    stays = sorted({(p, c.thing, c.number) for p, cs in swap.stays.items() for c in cs if p in swap.positions})
    if not stays:
        return found
    told = columns.table(**{name: [row[n] for row in stays] for n, name in enumerate(("position", "thing", "part"))})
    return found.union(_marked(layer, told, True, False))


def _marked(layer: Any, table: Any, stays: bool, member: bool) -> Any:
    return table.mutate(stays=layer.literal(stays), member=layer.literal(member)).select(*CANDIDATE)


def _accepted(columns: Columns, candidates: Any, swap: Swap) -> dict[str, str]:
    """The least number of each position that is accepted, for those that have one."""
    parts = columns.parts
    fine = parts.filter(parts.not_accepted == "").select("part")
    new = candidates.filter(~candidates.stays).semi_join(fine, "part")
    least = new.group_by("position").agg(part=new.part.min()).to_pyarrow()
    return dict(zip(least["position"].to_pylist(), least["part"].to_pylist(), strict=True))


def _at_first(columns: Columns, swap: Swap, candidates: Any, unknown: frozenset[str]) -> Any:
    """The candidates without those that the request rules out."""
    refused = columns.parts.filter(columns.parts.not_accepted != "").select("part")
    asked_for, avoided = sorted(swap.asked_for), sorted(swap.request.avoid)
    if asked_for:
        refused = refused.filter(~refused.part.isin(asked_for))
    alive = candidates.anti_join(refused.mutate(stays=columns.layer.literal(False)), ["part", "stays"])
    if avoided:
        alive = alive.filter(alive.stays | ~alive.part.isin(avoided))
    for position, numbers in sorted(swap.only.items()):
        if position not in unknown:
            alive = alive.filter((alive.position != position) | alive.part.isin(sorted(numbers)))
    return alive


def _pairs(columns: Columns, swap: Swap, folded: Folded, heard: Steps) -> Any:
    """All pairs of classes that are no definite no (``first``, ``second``), rule by rule."""
    torn, joints = folded.torn(), swap.joints
    rules = sorted({j.rule for j in joints})
    found = []
    for done, name in enumerate(rules):
        heard("judging interfaces", done, len(rules))
        of = [n for n, j in enumerate(joints) if j.rule == name]
        found.append(columns.settled(open_pairs(columns, swap.catalogue.vocabulary.rules[name], of, folded, torn)))
    return found[0].union(*found[1:]) if found[1:] else found[0]


def _supports(columns: Columns, arcs: Sequence[Arc], pairs: Any) -> Any:
    """Which class (``cls``) is met by which ``other``; classes are numbered through all ends."""
    there = pairs.select(cls="first", other="second")
    return there.union(pairs.select(cls="second", other="first"))


def _where(columns: Columns, swap: Swap, folded: Folded, candidates: Any) -> Any:
    """Each candidate at each end of its position, with its class there."""
    ends = [(2 * n + e, end.position) for n, j in enumerate(swap.joints) for e, end in enumerate(j.ends)]
    told = columns.table(end=[e for e, _ in ends], position=[p for _, p in ends])
    return candidates.inner_join(told, "position").inner_join(folded.things, ["end", "thing"])


def _round(columns: Columns, swap: Swap, arcs: Sequence[Arc], alive: Any, where: Any, supports: Any, candidates: Any,
           unknown: frozenset[str]) -> Any:  # fmt: skip
    """One round: without what some arc strikes out, and without sets that lost a member."""
    told = columns.table(
        arc=list(range(len(arcs))), end=[a.end for a in arcs], other_end=[a.other_end for a in arcs],
        elsewhere=[a.other for a in arcs],
    )  # fmt: skip
    live = where.semi_join(alive, ["position", "thing", "stays"])
    there = live.select("end", "cls").distinct()
    reached = there.rename(other="cls", other_end="end").inner_join(told.select("arc", "other_end"), "other_end")
    met = supports.inner_join(reached.select("arc", "other"), "other").select("arc", "cls").distinct()
    facing = live.inner_join(told.select("arc", "end", "elsewhere"), "end")
    struck = facing.anti_join(met, ["arc", "cls"])
    stay = alive.filter(alive.stays).select(elsewhere="position").distinct().mutate(stays=columns.layer.literal(True))
    struck = struck.anti_join(stay, ["elsewhere", "stays"])  # two that were there before may stay untouched
    left = alive.anti_join(struck, ["position", "thing", "stays"])
    whole = sorted(frozenset(swap.positions) - swap.namesakes() - unknown)
    gone = candidates.filter(candidates.member & candidates.position.isin(whole))
    gone = gone.anti_join(left.filter(left.member), ["position", "thing"]).select("part").distinct()
    return left.anti_join(gone.mutate(member=columns.layer.literal(True)), ["part", "member"])


def _count(table: Any) -> int:
    return int(table.count().execute())
