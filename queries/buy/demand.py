"""What fillings ask of a market: how many of each number, on which side, which old parts leave, which lines are not
proven."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

import msgspec

from knockon.graph.judge.beliefs import interface_of
from knockon.graph.judge.conditions import JUDGED, dimensions_of
from knockon.graph.judge.verdicts import OTHER_RANK, SAFE_RANK, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count


class Unit(msgspec.Struct, frozen=True):
    """What a candidate asks for where it stands: so many of a number, for a side. One of a set for all its members:
    ``candidate`` is then the first of them."""

    candidate: Candidate
    number: str
    side: str
    quantity: int


class Demand(msgspec.Struct, frozen=True):
    """What one filling asks for: (number, side) -> how many; the old parts that leave, by part type; the lines that are
    not proven whatever is bought."""

    lines: Mapping[tuple[str, str], int]
    old: Mapping[str, int]
    unproven: frozenset[str]

    @property
    def numbers(self) -> dict[str, int]:
        """The lines: how many of each number."""
        found: dict[str, int] = {}
        for (number, _), quantity in self.lines.items():
            found[number] = found.get(number, 0) + quantity
        return found


def units_of(problem: Problem) -> tuple[Unit, ...]:
    """What each new candidate of a problem asks for, in the layout's order."""
    seen: set[tuple[str, str]] = set()
    found = []
    for candidate in problem.ids:
        if candidate.stays or candidate.set_use in seen:
            continue
        if candidate.set_use is None:
            quantity = problem.places.positions[candidate.place.position].quantity
            found.append(Unit(candidate, candidate.number, candidate.place.side, quantity))
        else:
            seen.add(candidate.set_use)
            found.append(Unit(candidate, candidate.number, candidate.set_use[1], 1))
    return tuple(found)


def types_of(problem: Problem, catalogue: Catalogue) -> dict[str, str]:
    """The part type that each number counts as where an old part is handed in: that of the position where it stands
    first; of parts on the shelf that stand nowhere that of the position that takes them."""
    positions = problem.places.positions
    found: dict[str, str] = {}
    for candidate in problem.ids:
        if not candidate.stays:
            found.setdefault(candidate.number, positions[candidate.place.position].part_type)
    taken = list(dict.fromkeys(p.part_type for p in positions.values()))
    for on in catalogue.shelf:
        item = catalogue.items.get(on.item)
        part = catalogue.parts.get(on.part or (item.part if item is not None else ""))
        if part is not None and part.part not in found:
            wider = (t for t in taken if catalogue.vocabulary.is_a(part.part_type, t))
            found[part.part] = part.part_type if part.part_type in taken else next(wider, part.part_type)
    return found


def demand_of(problem: Problem, filling: Filling) -> Demand:
    """What a filling asks for."""
    there = set(filling.chosen.values())
    lines: Counter[tuple[str, str]] = Counter()
    for unit in units_of(problem):
        if unit.candidate in there:
            lines[unit.number, unit.side] += unit.quantity
    old: Counter[str] = Counter()
    for place in filling.movement.gone:
        old[problem.places.positions[place.position].part_type] += problem.old_parts(place)
    unproven = {number for check in blamed(problem, filling) for number in check.numbers}
    return Demand(dict(lines), {t: n for t, n in sorted(old.items()) if n}, frozenset(unproven))


# ---- lines that are not proven


class Blamed(msgspec.Struct, frozen=True):
    """A check that is not proven, by its number in the problem: what stands in its places, and the numbers among it of
    which something is missing, disputed or too weak."""

    check: int
    name: str
    places: tuple[Place, ...]
    numbers: tuple[str, ...]


def blamed(problem: Problem, filling: Filling) -> Iterator[Blamed]:
    """The checks of a filling that are not proven on account of something new."""
    joints = {id(at): number for number, at in problem.joint_ids.items()}
    figures = {id(at): number for number, at in problem.figure_ids.items()}
    for at in joints_that_count(problem, filling):
        ends = filling.chosen[at.first], filling.chosen[at.second]
        numbers = tuple(end.number for end in blamed_in_joint(problem, at, *ends))
        if numbers:
            yield Blamed(joints[id(at)], at.joint.joint, (at.first, at.second), numbers)
    for figure in figures_that_count(problem, filling):
        numbers = tuple(dict.fromkeys(c.number for c in _blamed_in_figure(problem, figure, filling.chosen)))
        if numbers:
            places = tuple(dict.fromkeys(figure.places))
            yield Blamed(figures[id(figure)], figure.figure.figure, places, numbers)


def blamed_in_joint(problem: Problem, at: JointAt, first: Candidate, second: Candidate) -> list[Candidate]:
    """The new ends of a joint on whose account it is not proven: a size or a claim of theirs is missing or too weak, or
    their sources contradict each other. What is open only on a side that stays counts for no line."""
    checks = problem.checks
    result = checks.joint(at, first, second)
    if not result.verdict.is_unproven:
        return []
    ends, outcomes = (first, second), result.judged.outcomes
    lacking = [any(o.lacks[i] or o.asked[i] for o in outcomes) for i in (0, 1)]
    straddles = any(o.straddles for o in outcomes)
    claimants = set()
    if result.weighing.claimed and any(lack and not end.stays for lack, end in zip(lacking, ends, strict=True)):
        claimants = {claim.part for claim in checks.claims.said(first, second)}
    safe = SAFE_RANK if result.weighing.safety_critical else OTHER_RANK
    found = []
    for i, end in enumerate(ends):
        if end.stays:
            continue
        open_ = lacking[i] or straddles or any(o.ranks[i] > safe for o in outcomes)
        torn = result.verdict is Verdict.DISPUTED and _is_contested(problem, at, i, end)
        if open_ or torn or not claimants.isdisjoint(end.numbers):
            found.append(end)
    return found


def _is_contested(problem: Problem, at: JointAt, end: int, candidate: Candidate) -> bool:
    """Whether sources contradict each other about what a joint reads of one end."""
    rule = problem.checks.rule_of(at)
    dimensions = dimensions_of(rule, rule.ends[end].role, JUDGED)
    feature = problem.checks.feature_at(rule.ends[end], candidate.thing, at.ends[end].feature)
    interface = interface_of(feature, dimensions)
    return interface.presence == "contested" or any(known.contested for known in interface.known)


def _blamed_in_figure(problem: Problem, at: FigureAt, chosen: Mapping[Place, Candidate]) -> Iterator[Candidate]:
    checks, critical = problem.checks, at.figure.safety_critical
    there = {p: chosen.get(p) for p in at.places}
    result = checks.figure(at, there, checks.as_made_value(at, problem.vehicle))
    if not result.verdict.is_unproven:
        return
    straddles = result.verdict is Verdict.NOT_KNOWN and result.low is not None
    for i, place in enumerate(at.places):
        candidate = there[place]
        if candidate is None or candidate.stays:
            continue
        term = checks.term(at, i, candidate)
        inexact = straddles and any(low < high for low, high in term.sizes)
        torn = result.verdict is Verdict.DISPUTED and (term.contested or term.maybe_absent)
        if term.missing or inexact or torn or term.is_weak(critical):
            yield candidate
