"""The checks of a filling: which joints and figures count, and those of them that are not proven."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import TypeVar

import msgspec

from knockon.graph.judge.verdicts import SEVERITY
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem

_Check = TypeVar("_Check", JointAt, FigureAt)


def _at(numbered: Mapping[int, _Check], numbers: Collection[int]) -> Iterator[_Check]:
    return (at for number, at in numbered.items() if number in numbers)


def joints_that_count(problem: Problem, filling: Filling) -> Iterator[JointAt]:
    """Joints whose places are both filled and that are made or undone by the plan."""
    return _at(problem.joint_ids, filling.movement.counts)


def figures_that_count(problem: Problem, filling: Filling) -> Iterator[FigureAt]:
    """Figures of which some place is filled and some place changes."""
    return _at(problem.figure_ids, filling.movement.counts)


def told_that_count(problem: Problem, filling: Filling) -> Iterator[FigureAt]:
    """The same of the figures that are told and never judged."""
    return _at(problem.told_ids, filling.movement.counts)


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


class Unknown(msgspec.Struct, frozen=True):
    """A check that nothing speaks for, not even a claim, and the sizes that would have to be measured."""

    check: str
    to_measure: tuple[str, ...]


def unknowns_of(problem: Problem, filling: Filling) -> tuple[Unknown, ...]:
    """The checks of a filling that are not known without even a claim, each with what would have to be measured."""
    found: dict[str, tuple[str, ...]] = {}
    for at in _at(problem.joint_ids, filling.not_known):
        if at.joint.joint not in found:
            ends = filling.chosen[at.first], filling.chosen[at.second]
            found[at.joint.joint] = joint_evidence(problem.checks, at, *ends).to_measure
    for figure in _at(problem.figure_ids, filling.not_known):
        if figure.figure.figure not in found:
            chosen = {p: filling.chosen.get(p) for p in figure.places}
            found[figure.figure.figure] = figure_evidence(problem.checks, figure, chosen, problem.vehicle).to_measure
    return tuple(Unknown(name, sizes) for name, sizes in found.items())


def to_be_proven(problem: Problem, filling: Filling) -> set[Place]:
    """The places whose new part is unproven in a check that is not known without even a claim: a size of it is lacking,
    or its sizes leave it open whether it agrees."""
    found: set[Place] = set()
    for at in _at(problem.joint_ids, filling.not_known):
        ends = filling.chosen[at.first], filling.chosen[at.second]
        outcomes = problem.checks.joint(at, *ends).judged.outcomes
        found |= {c.place for i, c in enumerate(ends) if any(o.lacks[i] or o.straddles for o in outcomes)}
    for figure in _at(problem.figure_ids, filling.not_known):
        chosen = {p: filling.chosen.get(p) for p in figure.places}
        result = problem.checks.figure(figure, chosen, problem.checks.as_made_value(figure, problem.vehicle))
        found |= {figure.places[i] for i in result.missing} or set(figure.places)
    return found & filling.movement.new
