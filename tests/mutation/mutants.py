"""The mutants of a file: what cosmic-ray's operators change, without what is no change of the program.

Not counted are changes that do not compile and changes of an annotation only: those are mypy's to find, and nothing
reads them when the program runs.
"""

from __future__ import annotations

import ast
import textwrap
import warnings
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast  # type: ignore[import-untyped]
from cosmic_ray.mutating import mutate_code  # type: ignore[import-untyped]
from cosmic_ray.plugins import get_operator, operator_names  # type: ignore[import-untyped]

warnings.filterwarnings("ignore", category=SyntaxWarning)  # of mutants such as `x is 0`


@dataclass(frozen=True, slots=True)
class Spot:
    """Where an operator can change a file: the lines of a statement at its top level, and which place there."""

    file: str
    operator: str
    occurrence: int
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class Mutant:
    """One change in one file: ``before`` and ``after`` are the line that differs, ``where`` the function it is in."""

    file: str
    operator: str
    line: int
    where: str
    before: str
    after: str
    nth: int  # of those that read the same
    lines: tuple[int, int]  # of the statement, without the blocks that it heads
    source: str

    @property
    def key(self) -> tuple[str, str, str, str]:
        """What it is, whatever line it stands on."""
        return self.file, self.where, self.before, self.after


@cache
def operators() -> dict[str, Any]:
    """Each operator that needs no arguments, by name."""
    classes = ((name, get_operator(name)) for name in operator_names())
    return {name.removeprefix("core/"): operator() for name, operator in classes if not operator.arguments()}


def spots(file: str, source: str) -> Iterator[Spot]:
    """Each place and way in which cosmic-ray would change the file, whether that makes a mutant or not."""
    for statement in ast.parse(source).body:
        first, last = _first(statement), statement.end_lineno or statement.lineno
        tree = get_ast(_part(source, first, last))
        nodes = list(ast_nodes(tree))
        for name, operator in operators().items():
            places = sum(1 for node in nodes for _ in operator.mutation_positions(node))
            for occurrence in range(places):
                yield Spot(file, name, occurrence, first, last)


def mutants(found: Iterator[Spot], source: str) -> Iterator[Mutant]:
    """The mutants of some spots of one file."""
    same: Counter[tuple[object, ...]] = Counter()
    for spot in found:
        made = _mutant(spot, source, same)
        if made is not None:
            yield made


def _mutant(spot: Spot, source: str, same: Counter[tuple[object, ...]]) -> Mutant | None:
    part = _part(source, spot.first, spot.last)
    changed = mutate_code(part, operators()[spot.operator], spot.occurrence)
    if changed is None:
        return None
    try:
        if _meaning(changed) == _meaning(part):
            return None
    except (SyntaxError, ValueError):
        return None
    lines = source.splitlines(keepends=True)
    whole = "".join([*lines[: spot.first - 1], changed, *lines[spot.last :]])
    old, new = part.splitlines(), changed.splitlines()
    at = next(i for i, (a, b) in enumerate(zip(old, [*new, ""], strict=False)) if a != b)
    while not old[at].strip() and at + 1 < len(old):  # with a decorator the blank line above it goes too
        at += 1
    line = spot.first + at
    where, statement = _place(_tree(source), line)
    after = new[at].strip() if len(new) == len(old) else ""
    key = (spot.file, spot.operator, where, old[at].strip(), after)
    same[key] += 1
    return Mutant(spot.file, spot.operator, line, where, old[at].strip(), after, same[key], statement, whole)


@cache
def program_text(source: str) -> str:
    """What a file does, without what only its readers see: comments, docstrings, annotations, the breaks of lines."""
    tree = _without_annotations(ast.parse(source))
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                del node.body[0]
    return ast.dump(tree)


@cache
def around(source: str, line: int) -> str:
    """The function or method that a line stands in, or else the class or other statement of the file's top level."""
    inside = next((s for s in _tree(source).body if _stands_in(s, line)), None)
    if isinstance(inside, ast.ClassDef):
        methods = (s for s in inside.body if isinstance(s, ast.FunctionDef))
        inside = next((s for s in methods if _stands_in(s, line)), inside)
    return textwrap.dedent(_part(source, _first(inside), inside.end_lineno or inside.lineno)) if inside else source


def _stands_in(statement: ast.stmt, line: int) -> bool:
    return _first(statement) <= line <= (statement.end_lineno or statement.lineno)


def _part(source: str, first: int, last: int) -> str:
    return "".join(source.splitlines(keepends=True)[first - 1 : last])


@cache
def _tree(source: str) -> ast.Module:
    return ast.parse(source)


@cache
def _meaning(part: str) -> str:
    compile(part, "<mutant>", "exec", dont_inherit=True)
    return ast.dump(_without_annotations(ast.parse(part)))


def _without_annotations(tree: ast.Module) -> ast.Module:
    for node in ast.walk(tree):
        if isinstance(node, ast.arg | ast.AnnAssign):
            node.annotation = ast.Constant(None)
        elif isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            node.returns = None
    return tree


def _place(tree: ast.Module, line: int) -> tuple[str, tuple[int, int]]:
    """The function or class around a line, and the lines of its innermost statement."""
    names: list[str] = []
    lines = (line, line)
    body: list[ast.stmt] = tree.body
    while body:
        inside = next((s for s in body if _stands_in(s, line)), None)
        if inside is None:
            break
        blocks = list(_blocks(inside))
        first, last = _first(inside), inside.end_lineno or inside.lineno
        lines = (first, max(first, min((b[0].lineno - 1 for b in blocks), default=last)))
        if isinstance(inside, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
            names.append(inside.name)
        body = [s for block in blocks for s in block]
    return ".".join(names), lines


def _first(statement: ast.stmt) -> int:
    decorators: list[ast.expr] = getattr(statement, "decorator_list", [])
    return min([statement.lineno, *(d.lineno for d in decorators)])


def _blocks(statement: ast.stmt) -> Iterator[list[ast.stmt]]:
    for name in ("body", "orelse", "finalbody"):
        block = getattr(statement, name, None)
        if block:
            yield block
    for handler in getattr(statement, "handlers", ()):
        yield handler.body
    for case in getattr(statement, "cases", ()):
        yield case.body
