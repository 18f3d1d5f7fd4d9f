"""The statements of queries/plan/solving/swap.lp, each left out once: some test, or a world of the oracle, differs."""

from __future__ import annotations

from collections.abc import Iterator

import clingo.ast

from tests.mutation.mutants import Mutant
from tests.mutation.trial import ROOT

PROGRAM = "queries/plan/solving/swap.lp"
COUNTED = ("Rule", "Minimize", "Heuristic", "ShowSignature", "ShowTerm")


def statements(text: str) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
    """Where each statement begins and ends: line and column, from 0; what only declares is not counted."""
    found: list[clingo.ast.AST] = []
    clingo.ast.parse_string(text, found.append)
    for statement in found:
        if statement.ast_type.name in COUNTED:
            begin, end = statement.location.begin, statement.location.end
            yield (begin.line - 1, begin.column - 1), (end.line - 1, end.column - 1)


def without_each(text: str) -> Iterator[Mutant]:
    """The program without one of its statements, for each of them."""
    lines = text.encode().splitlines()  # columns are bytes
    seen: dict[str, int] = {}
    for (first, start), (last, end) in statements(text):
        part = [line[start if i == 0 else 0 :] for i, line in enumerate(lines[first : last + 1])]
        part[-1] = part[-1][: end - (start if first == last else 0)]
        said = b" ".join(line.strip() for line in part).decode()
        seen[said] = seen.get(said, 0) + 1
        kept = [*lines]
        kept[first : last + 1] = [b""] * (last - first + 1)
        kept[first] = lines[first][:start] + b" " + lines[last][end:]
        source = b"\n".join(kept).decode() + "\n"
        yield Mutant(PROGRAM, "left out", first + 1, "", said, "", seen[said], (first + 1, last + 1), source)


def all_statements() -> list[Mutant]:
    """Of the program as it is."""
    return list(without_each((ROOT / PROGRAM).read_text(encoding="utf-8")))


def program_text(text: str) -> str:
    """What the program says, without comments and breaks of lines."""
    found: list[clingo.ast.AST] = []
    clingo.ast.parse_string(text, found.append)
    return "\n".join(str(statement) for statement in found if statement.ast_type.name != "Comment")
