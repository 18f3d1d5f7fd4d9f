"""The page docs/mutants.md: the score of each part, and every survivor with the reason why it stands."""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from tests.mutation.run import BUDGET_OF_PROGRAM, WORLDS_OF_PROGRAM, Result

EXPLAINED = Path(__file__).with_name("explained.toml")
HEAD = f"""# Mutants

Written by `make mutants`; do not edit. One change in the program at a time, by the operators of cosmic-ray; a test has
to notice it. Each mutant is tried on the tests that run its lines, quickest first, up to 4 s of processor time,
and stops at the first failure; a test that fails without a mutant too does not count. A mutant that was killed in an
earlier run, in a function or class that has not changed since, is not tried again. Not counted are changes that do
not compile and changes of an annotation (mypy finds those).
`queries/plan/solving/swap.lp` has no operators: each of its statements is left out once, and is tried on the tests of
the planner
(up to {BUDGET_OF_PROGRAM:.0f} s) and on {WORLDS_OF_PROGRAM} random worlds of the oracle. *Explained* survivors
change no answer, for the reason below; *open* ones were not noticed by the tests tried, and are not explained yet. The
score is killed / (tried - explained): it says nothing of mutants that were not tried.

| part | mutants | tried | killed | of these by time | explained | open | score of those tried |
| --- | --- | --- | --- | --- | --- | --- | --- |
"""


@dataclass(frozen=True, slots=True)
class Reason:
    """Why some survivors change no answer: those of a file and function, or of any, whose line fits both patterns."""

    after: re.Pattern[str]
    reason: str
    file: str
    where: str
    before: re.Pattern[str]

    def holds(self, found: Result) -> bool:
        """Whether it speaks of this survivor."""
        place = self.file in ("", found.file) and self.where in ("", found.where)
        return bool(place and self.before.search(found.before) and self.after.search(found.after))


def reasons() -> list[Reason]:
    """All that were written down."""

    def pattern(entry: dict[str, str], name: str) -> re.Pattern[str]:
        return re.compile(entry.get(name, ""))

    entries = tomllib.loads(EXPLAINED.read_text(encoding="utf-8"))["equivalent"]
    return [
        Reason(pattern(e, "after"), e["reason"], e.get("file", ""), e.get("where", ""), pattern(e, "before"))
        for e in entries
    ]


def reason_of(found: Result, known: Iterable[Reason]) -> str:
    """Why a survivor changes no answer; empty where that is not known."""
    return next((r.reason for r in known if r.holds(found)), "")


def page(found: dict[str, list[Result | None]], tests: dict[str, int]) -> str:
    """The page for the results of some parts, by name (None: a mutant that was not tried), and the number of
    tests of each file that could notice a mutant."""
    known = reasons()
    rows, lists = [], []
    parts = {name: [r for r in results if r] for name, results in found.items()}
    for name, results in parts.items():
        survivors = [(r, reason_of(r, known)) for r in results if r.survived]
        explained = [(r, why) for r, why in survivors if why]
        left = [r for r, why in survivors if not why]
        how = Counter(r.how for r in results)
        counted = len(results) - len(explained)
        score = f"{100 * (counted - len(left)) / counted:.1f} %" if counted else "-"
        killed = how["killed"] + how["time"]
        numbers = (len(found[name]), len(results), killed, how["time"], len(explained), len(left), score)
        rows.append(f"| {name} | {' | '.join(map(str, numbers))} |")
        if left:
            lists.append(f"## Open: {name}\n\n" + "\n".join(map(_line, left)) + "\n")
    for name, results in parts.items():
        by_reason: dict[str, list[Result]] = {}
        for r in results:
            why = reason_of(r, known) if r.survived else ""
            if why:
                by_reason.setdefault(why, []).append(r)
        for why, same in by_reason.items():
            lists.append(f"## Explained: {name}\n\n{why}\n\n" + "\n".join(map(_line, same)) + "\n")
    return "\n".join([HEAD + "\n".join(rows), "", _tests(tests), *lists])


def _tests(tests: dict[str, int]) -> str:
    """Which tests could notice a mutant."""
    rooms: dict[str, list[str]] = {}
    for file, number in tests.items():
        room, _, name = file.rpartition("/")
        rooms.setdefault(room, []).append(f"`{name.removesuffix('.py')}` {number}")
    said = "\n".join(f"- `{room}/`: {', '.join(names)}" for room, names in rooms.items())
    total = sum(tests.values())
    return (
        f"## The tests that could notice a mutant\n\n{total} tests, and no others; the number of each file:\n\n{said}\n"
    )


def _line(found: Result) -> str:
    after = f"`` {found.after} ``" if found.after else "left out"
    place = f"{found.file}, {found.where}" if found.where else found.file
    return f"- {place}: `` {found.before} `` → {after}" + (" (no test runs it)" if found.how == "not reached" else "")
