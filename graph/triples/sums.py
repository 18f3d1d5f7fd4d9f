"""What a condition adds up: signed sums of ``ROLE.dimension``, as ``kn:value`` and ``kn:arguments`` say them."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
import ast
import math
import sys
from collections.abc import Iterator

import msgspec

from knockon.graph.triples.statements import VocabularyError

LONGEST = 2_000
"""Characters; a sum longer than this is none, and Python's parser need not be troubled with it."""


class Term(msgspec.Struct, frozen=True):
    """One term of a signed sum: ``factor`` times ``dimension`` of the feature in ``role``."""

    factor: float
    role: str
    dimension: str


def parse_reference(text: str) -> tuple[str, str]:
    """``male.thread_major`` or ``male.thread.major`` -> (role, dimension), underscores standing for blanks."""
    role, _, dimension = text.strip().partition(".")
    if not role or not dimension:
        raise VocabularyError(f"{text!r} is not of the form role.dimension")
    return role.replace("_", " "), dimension.replace("_", " ")


def parse_sum(text: str) -> tuple[tuple[Term, ...], bool]:
    """Read ``0.5*slot.width - rotor.thickness`` as terms; ``male.form == female.form`` as two terms and True."""
    try:
        if len(text) > LONGEST:
            raise ValueError(text)
        tree = ast.parse(text.strip(), mode="eval").body
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise VocabularyError(f"cannot read the sum {text[:80]!r}") from error
    same = isinstance(tree, ast.Compare) and isinstance(tree.ops[0], ast.Eq) and len(tree.ops) == 1
    sides = (tree.left, tree.comparators[0]) if isinstance(tree, ast.Compare) and same else (tree,)
    try:
        terms = tuple(t for side in sides for t in _sum_terms(side, 1.0, text))
    except RecursionError as error:
        raise VocabularyError(f"cannot read the sum {text[:80]!r}") from error
    if not all(math.isfinite(t.factor) for t in terms):
        raise VocabularyError(f"{text[:80]!r}: a factor is larger than a number can be")
    return terms, same


def _sum_terms(node: ast.expr, factor: float, text: str) -> Iterator[Term]:
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add | ast.Sub):
        yield from _sum_terms(node.left, factor, text)
        yield from _sum_terms(node.right, -factor if isinstance(node.op, ast.Sub) else factor, text)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        yield from _sum_terms(node.operand, -factor if isinstance(node.op, ast.USub) else factor, text)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult):
        yield from _sum_terms(node.right, factor * _factor(node.left, text), text)
    elif isinstance(node, ast.Attribute):
        yield Term(factor, *parse_reference(ast.unparse(node)))
    else:
        raise VocabularyError(f"{text!r} is not a signed sum of role.dimension terms")


def _factor(node: ast.expr, text: str) -> float:
    sign = 1.0
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        sign, node = (-1.0 if isinstance(node.op, ast.USub) else 1.0), node.operand
    value = node.value if isinstance(node, ast.Constant) else None
    # Python counts yes and no among its numbers; a text that looks like one is none either.
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value <= sys.float_info.max:
        raise VocabularyError(f"{text[:80]!r}: a factor must be a number")
    return sign * float(value)
