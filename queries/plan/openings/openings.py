"""What would open a request that nothing meets: the part that would have to exist, the sum that would have to differ,
or what need not be asked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place, nowhere
from knockon.queries.fits.checking.evidence import Evidence, Value
from knockon.queries.plan.openings.dropping import dropped
from knockon.queries.plan.reasons.reasons import Reason, Step
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem


class Beside(msgspec.Struct, frozen=True):
    """What a part would have to agree with: at which check, with which part, and the sizes of that part there."""

    check: str
    position: str
    number: str
    sizes: tuple[Value, ...]


class Opening(msgspec.Struct, frozen=True):
    """One thing that would open it: a part in ``position`` that agrees with all of ``beside``; else a stack or figure
    within its limits (``figure``); else a part that meets these ``wishes`` together; else not to ask for some of what
    is to be kept or avoided (``dropped``): without that there is a plan, or a better known one, with so many checks
    ``not_known``."""

    position: str = ""
    beside: tuple[Beside, ...] = ()
    figure: Evidence | None = None
    wishes: tuple[str, ...] = ()
    dropped: tuple[Asked, ...] = ()
    not_known: int = 0


def openings(
    problem: Problem, reason: Reason, best: Filling | None = None, patience: Patience | None = None
) -> tuple[Opening, ...]:
    """What would open it: first the parts that stand between two others of the reason; else one for each check.

    ``best`` is the plan that there is, where the reason says why none rests on fewer unknowns. Raises TimeUp.
    """
    ungranted = tuple(_ungranted(problem))
    if ungranted:
        return ungranted
    joints = [s for s in reason.steps if s.kind == "joint" and s.verdict is not Verdict.NOT_KNOWN]  # that one: measure
    fixed = {*problem.request.keep, *(p for w in problem.request.wants for p in w.places)}
    beside: dict[Place, list[Beside]] = {}
    for step in joints:
        for place, neighbour in ((step.place, _given(step)), (step.given_place, _ruled_out(step))):
            if place and place not in fixed and neighbour.number:
                beside.setdefault(place, []).append(neighbour)
    between = {place: found for place, found in beside.items() if len(found) > 1}
    chosen = between or _either_end(joints, _settled(problem))
    found = [Opening(place.position, tuple(dict.fromkeys(b))) for place, b in chosen.items()]
    figures = [Opening(figure=s.evidence) for s in reason.steps if s.kind == "figure" and s.evidence is not None]
    drops = (Opening(dropped=d.words, not_known=d.not_known) for d in dropped(problem, best, patience))
    return (*found, *figures, *drops)


def _settled(problem: Problem) -> set[Place]:
    """The places in which no other part is wanted: what is there is to be kept, or one number is asked for."""
    return {*problem.request.keep, *(p for w in problem.request.wants if w.numbers for p in w.places)}


def _either_end(joints: Iterable[Step], settled: set[Place]) -> dict[Place, list[Beside]]:
    """For each joint the part that would have to be another one: the first, unless its place is settled, else the
    second."""
    found: dict[Place, list[Beside]] = {}
    for step in joints:
        ends = ((step.place, _given(step)), (step.given_place, _ruled_out(step)))
        place, neighbour = next(((p, n) for p, n in ends if p and p not in settled), (nowhere(), None))
        if neighbour is not None:
            found[place] = [neighbour]
    return found


def _given(step: Step) -> Beside:
    """What the second part of a link would have to agree with."""
    return Beside(step.sort, step.given_place.position, step.given, _sizes(step.evidence, step.given))


def _ruled_out(step: Step) -> Beside:
    """What the first part of a link would have to agree with."""
    return Beside(step.sort, step.place.position, step.ruled_out, _sizes(step.evidence, step.ruled_out))


def _sizes(evidence: Evidence | None, number: str) -> tuple[Value, ...]:
    """The sizes of one of two parts that the failing conditions compare."""
    if evidence is None:
        return ()
    thing = evidence.things[0] if evidence.first == number else evidence.things[-1]
    failing = (v for line in evidence.lines if line.state == "no" for v in line.values)
    return tuple(dict.fromkeys(v for v in failing if v.of == thing and v.computes and v.written != "absent"))


def _ungranted(problem: Problem) -> Iterator[Opening]:
    """Wishes that no known part meets, alone or together."""
    wants = problem.request.wants
    for wanted in wants:
        if any(not any(problem.grants(wanted, c) for c in problem.candidates[p]) for p in wanted.places):
            yield Opening(wishes=(wanted.text,))
            return
    for place in dict.fromkeys(p for w in wants for p in w.places):
        here = [w for w in wants if place in w.places]
        if not any(all(problem.grants(w, c) for w in here) for c in problem.candidates[place]):
            yield Opening(position=place.position, wishes=tuple(w.text for w in here))
            return
