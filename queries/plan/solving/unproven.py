"""The checks of a filling: which joints and figures count, and those of them that are not proven."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.layout import FigureAt, JointAt, Place, stands_in
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.plan.solving.movement import Movement
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem


def joints_that_count(problem: Problem, filling: Filling) -> Iterator[JointAt]:
    """Joints whose places are both filled and that are made or undone by the plan."""
    movement = Movement(problem, filling)
    for at in problem.places.joints:
        if not stands_in(at.joint, filling.arrangements):
            continue
        if at.first in filling.chosen and at.second in filling.chosen and not movement.untouched(at.first, at.second):
            yield at


def figures_that_count(problem: Problem, filling: Filling) -> Iterator[FigureAt]:
    """Figures of which some place is filled and some place changes."""
    movement = Movement(problem, filling)
    for at in problem.places.figures:
        if not stands_in(at.figure, filling.arrangements):
            continue
        if any(p in filling.chosen for p in at.places) and movement.touches(at.places):
            yield at


def unproven_checks(problem: Problem, filling: Filling) -> tuple[Evidence, ...]:
    """Every check of the plan that is disputed, not known or fits on paper, the least known first."""
    found = []
    for at in joints_that_count(problem, filling):
        result = problem.checks.joint(at, filling.chosen[at.first], filling.chosen[at.second])
        if result.verdict.is_unproven:
            found.append(joint_evidence(problem.checks, at, filling.chosen[at.first], filling.chosen[at.second]))
    for figure in figures_that_count(problem, filling):
        evidence = figure_evidence(
            problem.checks, figure, {p: filling.chosen.get(p) for p in figure.places}, problem.vehicle
        )
        if evidence.verdict.is_unproven:
            found.append(evidence)
    return tuple(sorted(found, key=lambda e: -SEVERITY[e.verdict]))


@dataclass(frozen=True, slots=True)
class Unknown:
    """A check that nothing speaks for, not even a claim, and the sizes that would have to be measured."""

    check: str
    to_measure: tuple[str, ...]


def unknowns_of(problem: Problem, filling: Filling) -> tuple[Unknown, ...]:
    """The checks of a filling that are not known without even a claim, each with what would have to be measured."""
    found: dict[str, tuple[str, ...]] = {}
    for at in joints_that_count(problem, filling):
        first, second = filling.chosen[at.first], filling.chosen[at.second]
        if at.joint.joint not in found and problem.counts_first(at, first, second):
            found[at.joint.joint] = joint_evidence(problem.checks, at, first, second).to_measure
    for figure in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in figure.places}
        result = problem.checks.figure(figure, chosen, problem.checks.as_made_value(figure, problem.vehicle))
        if figure.figure.figure not in found and result.verdict is Verdict.NOT_KNOWN and not result.only_kept_missing:
            found[figure.figure.figure] = figure_evidence(problem.checks, figure, chosen, problem.vehicle).to_measure
    return tuple(Unknown(name, sizes) for name, sizes in found.items())


def to_be_proven(problem: Problem, filling: Filling) -> set[Place]:
    """The places whose new part is unproven in a check that is not known without even a claim: a size of it is lacking,
    or its sizes leave it open whether it agrees."""
    found: set[Place] = set()
    for at in joints_that_count(problem, filling):
        ends = filling.chosen[at.first], filling.chosen[at.second]
        if problem.counts_first(at, *ends):
            outcomes = problem.checks.joint(at, *ends).judged.outcomes
            found |= {c.place for i, c in enumerate(ends) if any(o.lacks[i] or o.straddles for o in outcomes)}
    for figure in figures_that_count(problem, filling):
        chosen = {p: filling.chosen.get(p) for p in figure.places}
        result = problem.checks.figure(figure, chosen, problem.checks.as_made_value(figure, problem.vehicle))
        if result.verdict is Verdict.NOT_KNOWN and not result.only_kept_missing:
            found |= {figure.places[i] for i in result.missing} or set(figure.places)
    return {p for p in found if p in filling.chosen and not filling.chosen[p].stays}
