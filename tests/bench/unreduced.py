"""The planning program without any reduction, as a peer: every pair of candidates judged and written down for every
joint, every figure by formula as a table of all combinations, all of it ground, for the same swap.lp.

``python -m tests.bench.unreduced FOLDER`` answers the benchmark's swap on it and prints the seconds of processor time.
Its answers are those of the program, byte for byte (tests/properties/test_unreduced.py); it stops where the tables
become too large, or where their grounding takes all memory.
"""

from __future__ import annotations

import json
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from itertools import product
from pathlib import Path
from unittest.mock import patch

from knockon.graph.model.layouts.layout import JointAt
from knockon.graph.records import load
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving import facts, formulas
from knockon.queries.plan.solving.formulas import FormulaFigure
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.swap import swap

SOLVING = "knockon.queries.plan.solving"
PLANNER = f"{SOLVING}.planner"
BY_CLASS = ("class(", "no(", "first_open(", "other_open(", "outside_open(")
"""How the facts begin that state joints between classes: left out here."""


@contextmanager
def unreduced() -> Iterator[None]:
    """Within this block plans are made on the whole program."""
    with ExitStack() as stack:
        stack.enter_context(patch(f"{PLANNER}.facts_of", whole_facts))
        stack.enter_context(patch(f"{SOLVING}.narrowed.FEW", sys.maxsize))  # all candidates
        stack.enter_context(patch(f"{PLANNER}.by_formula", lambda problem: {}))  # nobody tells: it stands in the tables
        yield


def whole_facts(problem: Problem, _told: Mapping[int, FormulaFigure], _written: facts.Written | None) -> str:
    """All facts of a problem, pair by pair."""
    tabulated = formulas.by_formula(problem)
    lines = facts.facts_of(problem, tabulated).splitlines()
    others = (line for line in lines if not line.startswith(BY_CLASS))
    tables = (line for s, figure in tabulated.items() for line in _table(s, figure))
    return "\n".join([*others, *_pairs(problem), *tables]) + "\n"


def _pairs(problem: Problem) -> Iterator[str]:
    """Each candidate as a class of its own, and what each pair counts as."""
    for j, at in problem.joint_ids.items():
        ends = problem.candidates[at.first], problem.candidates[at.second]
        for end, candidates in enumerate(ends, 1):
            yield from (f"class({j},{end},{problem.ids[c]},{problem.ids[c]})." for c in candidates)
        for first, second in product(*ends):
            pair = f"({j},{problem.ids[first]},{problem.ids[second]})."
            yield from (name + pair for name in _counts_as(problem, at, first, second))


def _counts_as(problem: Problem, at: JointAt, first: Candidate, second: Candidate) -> Iterator[str]:
    result = problem.checks.joint(at, first, second)
    if result.verdict.is_no:
        yield "no"
    elif problem.counts_first(at, first, second):
        yield "first_open"
        pair = enumerate((first, second))
        elsewhere = [i for i, c in pair if problem.kit and not c.stays and c.number not in problem.kit]
        if any(outcome.lacks[i] for outcome in result.judged.outcomes for i in elsewhere):
            yield "outside_open"
    elif result.verdict.is_unproven:
        yield "other_open"


def _table(s: int, figure: FormulaFigure) -> Iterator[str]:
    """The verdict on every combination of what the places may contribute."""
    for chosen in product(*(range(len(groups)) for groups in figure.groups)):
        name = figure.name_of(chosen)
        if name:
            values = ", ".join(f"value({s},{i},{g})" for i, g in enumerate(chosen))
            yield f"tabled({s},{name}) :- {values}."
    for name in formulas.NAMES:
        yield f":- judged({s},{name}), not tabled({s},{name}). :- tabled({s},{name}), not judged({s},{name})."
    yield "#defined tabled/2."


def main() -> None:
    """Answer the benchmark's swap about a folder of records."""
    catalogue = load(Path(sys.argv[1])).catalogue
    began = time.process_time()
    with unreduced():
        answer = swap(catalogue, "tansy-m080", want=("rotor=LARCH-201",))
    undecided = {"why": "not all decided"} if answer.not_decided else {}
    print(json.dumps({"seconds": time.process_time() - began, **undecided}))


if __name__ == "__main__":
    main()
