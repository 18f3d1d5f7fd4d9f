"""Which strings of a module people read, and what the rules of plain English say about one of them."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
WORD = re.compile(r"[A-Za-z]{2,}")
ENDS = re.compile(r"(?<=[.?!])\s+|\n\s*")
BANNED = re.compile(
    r"\b(besides|anyway|of one size|stands? in for|stands? in\b(?= for)|hangs? on|told|computes?|takes? in|sets? aside"
    r"|one's own|as it is|calls? for|is due|a no|filling|sort of check|both hands)\b",
    re.IGNORECASE,
)
CODE = re.compile(r"`[^`]*`|\bkn:\w+")
"""Words of cells and of Turtle, which stay as they are."""
MOST_WORDS = 25


def literals(path: Path, apart_from_compared: bool = True) -> Iterator[tuple[int, str]]:
    """Line and text of every string that is no docstring and is not only compared with; fields of f-strings as {}."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skipped: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef) or (
            isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        ):
            first = node if isinstance(node, ast.Expr) else node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                skipped.add(id(first.value))
        elif isinstance(node, ast.Compare) and apart_from_compared:
            skipped |= {id(x) for x in ast.walk(node) if isinstance(x, ast.Constant)}
        elif isinstance(node, ast.JoinedStr):
            skipped |= {id(v) for v in node.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield (
                node.lineno,
                "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values),
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skipped:
            yield node.lineno, node.value


def is_sentence(text: str) -> bool:
    """Whether a text has three words or more, and is no regular expression."""
    return "(?" not in text and " " in text.strip() and len(WORD.findall(re.sub(r"\{[^{}]*\}", " ", text))) >= 3


def against_the_rules(text: str) -> list[str]:
    """What is wrong with a text: sentences of more than 25 words, semicolons, second colons, banned words."""
    plain = CODE.sub("X", text)
    wrong = [f"says {found.group(0)!r}" for found in BANNED.finditer(plain)]
    for one in ENDS.split(re.sub(r"\{[^{}]*\}", "X", text)):
        words = one.split()
        wrong += [f"{len(words)} words: {one!r}"] if len(words) > MOST_WORDS else []
        wrong += [f"a semicolon: {one!r}"] if re.search(r";(\s|$)", one) else []
        wrong += [f"two colons: {one!r}"] if len(re.findall(r":(?=\s|$)", one)) > 1 else []
    return wrong
