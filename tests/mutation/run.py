"""All mutants of some files, or a number of them drawn by a seed: each tried on the tests that reach it."""

from __future__ import annotations

import hashlib
import json
import math
import os
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import asdict, dataclass, field
from functools import cache
from pathlib import Path

from tests.mutation import program
from tests.mutation.mutants import Mutant, Spot, around, mutants, program_text, spots
from tests.mutation.program import PROGRAM, all_statements
from tests.mutation.reach import Reach
from tests.mutation.trial import ROOT, Ended, import_libraries, module_of, run
from tests.mutation.warm import Warm

__all__ = [
    "CORE",
    "DRAWN",
    "SEED",
    "Result",
    "Runner",
    "all_of",
    "all_statements",
    "drawn",
    "results_so_far",
    "run_all",
]

CORE = ("graph/formulas/interval.py", "graph/judge/beliefs.py", "graph/judge/conditions.py", "graph/judge/verdicts.py")
DRAWN, SEED = 400, 8
WORLDS, WORLDS_OF_PROGRAM = 10, 60  # that the oracle is asked about for one mutant
BUDGET, BUDGET_OF_PROGRAM = 4.0, 30.0  # recorded processor time, in s, that the tests of one mutant may take together
PLANNER = "queries/plan/solving/planner.py"  # whose tests are those of the program that it hands to the solver
ORACLES = "tests/properties/test_oracle_"  # worlds that are asked about the program whatever time they take
ENGINE = "tests/properties/test_oracle_engine.py"
CHANGING = "test_a_swap_in_a_world_of_its_own_agrees"  # draws other worlds each time
COLD_FILES = 4  # test files that are imported for a mutant of what runs at import


@dataclass(frozen=True, slots=True)
class Result:
    """What became of a mutant: ``killed`` by a test, by ``time``, ``survived``, or ``not reached`` by any test."""

    file: str
    where: str
    line: int
    operator: str
    before: str
    after: str
    nth: int
    how: str
    test: str
    text: str  # a digest of what was mutated

    @property
    def key(self) -> tuple[str, str, str, str, str, int, str]:
        """Which mutant of which text."""
        return *self.change, self.text

    @property
    def change(self) -> tuple[str, str, str, str, str, int]:
        """Which mutant, of whatever text."""
        return self.file, self.where, self.operator, self.before, self.after, self.nth

    @property
    def survived(self) -> bool:
        """Whether no test noticed."""
        return self.how in ("survived", "not reached")


@dataclass
class Choice:
    """Which tests try a mutant, and in which order: what killed most so far, then what is about the module, then the
    quickest."""

    reach: Reach
    kills: Counter[tuple[str, str]] = field(default_factory=Counter)
    broken: set[str] = field(default_factory=set)  # tests that fail without a mutant, or are not the same twice
    sound: set[str] = field(default_factory=set)

    def order(self, mutant: Mutant, at_hand: frozenset[str], first: str = "") -> list[str]:
        """The tests, as many as the budget holds; ``first`` the one that killed it when its function was another."""
        stem = Path(mutant.file).stem
        seconds = self.reach.seconds
        of_program = mutant.file == PROGRAM
        on_the_line = self.reach.of_file(PLANNER) if of_program else self.reach.of_lines(mutant.file, *mutant.lines)
        at_import = not of_program and self.reach.at_import(mutant.file, *mutant.lines)
        found = on_the_line | self.reach.of_file(mutant.file) if at_import else on_the_line
        found = {t for t in found & at_hand if t not in self.broken and CHANGING not in t}
        if of_program:  # more worlds than were recorded
            found |= {t for t in at_hand - self.broken if t.startswith(ENGINE) and CHANGING not in t}

        def rank(test: str) -> tuple[bool, bool, int, bool, float, str]:
            elsewhere = not test.partition("::")[0].endswith(f"/test_{stem}.py")
            kills = self.kills[mutant.file, test]
            return test != first, test not in on_the_line, -kills, elsewhere, seconds.get(test, math.inf), test

        worlds = {t for t in found if of_program and t.startswith(ORACLES) and t != first}
        budget = BUDGET_OF_PROGRAM if of_program else BUDGET
        chosen: list[str] = []
        spent = 0.0
        for test in sorted(found - worlds, key=rank):
            spent += seconds.get(test, 0.0)
            if chosen and spent > budget:
                break
            chosen.append(test)
        return [*chosen, *sorted(worlds, key=rank)]


class Runner:
    """Tries mutants, one after another."""

    def __init__(self, folder: Path) -> None:
        import_libraries()
        self.folder = folder
        self.choice = Choice(Reach(folder))
        files = sorted({test.partition("::")[0] for test in self.choice.reach.seconds})
        self.warm = Warm(files, folder / f"warm-{os.getpid()}.log")

    def __enter__(self) -> Runner:
        return self

    def __exit__(self, *_: object) -> None:
        self.warm.close()

    def trial(self, mutant: Mutant, first: str = "") -> Ended:
        """How one mutant ends. A test that fails without it too is not asked again."""
        while True:
            ended = self._trial(mutant, first)
            if ended.how != "failed" or self.is_sound(ended.test):
                return ended
            self.choice.kills.pop((mutant.file, ended.test), None)

    def is_sound(self, test: str) -> bool:
        """Whether a test passes where nothing is changed; asked once."""
        if test not in self.choice.sound | self.choice.broken:
            without = self.warm.run(PLANNER, "", [test], 120) if test in self.warm.tests else None
            good = without is not None and without.how == "passed"
            (self.choice.sound if good else self.choice.broken).add(test)
            if not good:
                print(f"fails without a mutant, and is left out: {test}", file=sys.stderr, flush=True)
        return test in self.choice.sound

    def _trial(self, mutant: Mutant, first: str) -> Ended:
        tests = self.choice.order(mutant, self.warm.tests, first)
        if not tests:
            return Ended("not reached")
        limit = int(15 + 4 * sum(self.choice.reach.seconds.get(t, 0.0) for t in tests))
        if mutant.file == PROGRAM:
            limit += 3 * WORLDS_OF_PROGRAM  # the time that was recorded is that of fewer worlds
            return self._counted(mutant, self.warm.run(mutant.file, mutant.source, tests, limit) or Ended("time"))
        ended = self.warm.run(mutant.file, mutant.source, tests, limit)
        at_import = self.choice.reach.at_import(mutant.file, *mutant.lines)
        if ended is None or (ended.how == "passed" and at_import):  # what runs at import is to be imported anew
            files = list(dict.fromkeys(t.partition("::")[0] for t in tests))[:COLD_FILES]
            few = [t for t in tests if t.partition("::")[0] in files]
            ended = run(module_of(mutant.file), mutant.source, few, limit, self.folder / f"cold-{os.getpid()}.log")
        return self._counted(mutant, ended)

    def _counted(self, mutant: Mutant, ended: Ended) -> Ended:
        if ended.how == "failed":
            self.choice.kills[mutant.file, ended.test] += 1
        return ended

    def results(
        self, found: Iterable[Mutant], known: dict[object, Result], settled: Callable[[Result], bool]
    ) -> Iterator[Result]:
        """The result of each mutant; one that was killed before, in a function that is the same, is not tried again,
        nor is a survivor that is ``settled``."""
        killers = {result.change: result.test for result in known.values() if result.how == "killed"}
        for mutant in found:
            untried = result_of(mutant, Ended("survived"))
            before = known.get(untried.key)
            if before is not None and self.stands(before, settled):
                self.choice.kills[mutant.file, before.test] += not before.survived
                yield before
            else:
                yield result_of(mutant, self.trial(mutant, killers.get(untried.change, "")))

    def stands(self, before: Result, settled: Callable[[Result], bool]) -> bool:
        """Whether a mutant need not be tried once more."""
        if before.survived:
            return settled(before)
        return "::" not in before.test or self.is_sound(before.test)


def digest(mutant: Mutant) -> str:
    """A digest of what the function around a mutant does, or of all of the program for the solver, without comments."""
    source = (ROOT / mutant.file).read_text(encoding="utf-8")
    if mutant.file == PROGRAM:
        return _short(program.program_text(source))
    return _short(program_text(around(source, mutant.line)))


@cache
def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:12]


def result_of(mutant: Mutant, ended: Ended) -> Result:
    """What is written down of a trial."""
    how = {"failed": "killed", "broken": "killed", "passed": "survived"}.get(ended.how, ended.how)
    m = mutant
    return Result(
        m.file,
        m.where,
        m.line,
        m.operator,
        m.before,
        m.after,
        m.nth,
        how,
        "import" if ended.how == "broken" else ended.test,
        digest(m),
    )


def all_of(file: str) -> list[Mutant]:
    """All mutants of a file, in the order of its lines."""
    source = (ROOT / file).read_text(encoding="utf-8")
    return sorted(mutants(spots(file, source), source), key=lambda m: (m.line, m.operator, m.after, m.nth))


def drawn(number: int, seed: int) -> list[Mutant]:
    """So many mutants of the other files, in the order in which they were drawn: so those that a run tried before
    it was stopped are a random sample too.

    Each change draws its own number from the seed and its statement, so a change of the program elsewhere leaves the
    sample as it was.
    """
    files = sorted(str(p.relative_to(ROOT)) for room in ("graph", "queries") for p in (ROOT / room).rglob("*.py"))
    sources = {f: (ROOT / f).read_text(encoding="utf-8") for f in files if f not in CORE}

    def number_of(spot: Spot) -> str:
        statement = program_text(around(sources[spot.file], spot.first))
        return _short(f"{seed} {spot.file} {spot.operator} {spot.occurrence} {statement}")

    all_spots = sorted((spot for file, source in sources.items() for spot in spots(file, source)), key=number_of)
    found: list[Mutant] = []
    for spot in all_spots:
        found.extend(mutants(iter([spot]), sources[spot.file]))
        if len(found) == number:
            break
    return found


def read(path: Path) -> dict[object, Result]:
    """The results that runs left, the last one of each mutant."""
    if not path.exists():
        return {}
    found = [Result(**json.loads(line)) for line in path.read_text(encoding="utf-8").splitlines()]
    return {result.key: result for result in found}


def results_so_far(found: Iterable[Mutant], path: Path) -> list[Result | None]:
    """What became of each mutant of the files as they are now; None where it was not tried."""
    known = read(path)
    return [known.get(result_of(mutant, Ended("survived")).key) for mutant in found]


def run_all(found: list[Mutant], path: Path, runner: Runner, settled: Callable[[Result], bool]) -> list[Result]:
    """Try these mutants, and write each result down as soon as it is there; no survivor again that is ``settled``."""
    known = read(path)
    results: list[Result] = []
    with path.open("a", encoding="utf-8") as out:
        for result in runner.results(found, known, settled):
            results.append(result)
            if result != known.get(result.key):
                out.write(json.dumps(asdict(result), ensure_ascii=False) + "\n")
                out.flush()
            if result.survived:
                print(f"{result.how}: {result.file}:{result.line} {result.before}  =>  {result.after}", flush=True)
            if len(results) % 100 == 0:
                print(f"{len(results)} of {len(found)}", file=sys.stderr, flush=True)
    return results
