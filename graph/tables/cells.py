"""One cell against its column: numbers, yes and no, allowed words, sizes; and how a cell is shown in a finding."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

import pyoxigraph as ox

from knockon.graph.model.limits import read_limit
from knockon.graph.model.nearest import Others, nearest
from knockon.graph.model.schema import NUMBERS, VOCAB, Column
from knockon.graph.quantity import CellError, Quantity, read_cell

XSD = "http://www.w3.org/2001/XMLSchema#"
BOOLEANS = {"yes": "true", "no": "false", "y": "true", "n": "false", "true": "true", "false": "false"}
LONGEST_SHOWN = 120
LONGEST_NUMBER = 40
PLAIN_NUMBER = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)")
NO_TEXT = re.compile("[\\0\ud800-\udfff]")
"""What cannot be part of a cell: NUL, and bytes that are no UTF-8 (kept as lone surrogates until they are told)."""


class BadCellError(ValueError):
    """A cell that is not what its column expects."""

    def __init__(self, problem: str, expected: str, suggestions: tuple[str, ...] = ()) -> None:
        super().__init__(problem)
        self.problem, self.expected, self.suggestions = problem, expected, suggestions


def shown(text: str) -> str:
    """A cell as findings show it: printable, and no longer than a line or two."""
    clean = text[:LONGEST_SHOWN].encode("utf-8", "backslashreplace").decode().replace("\0", "\\0")
    return clean if len(text) <= LONGEST_SHOWN else f"{clean}... ({len(text)} characters)"


def near(text: str, known: Iterable[str], others: Others | None = None) -> tuple[str, ...]:
    """The known names nearest to a cell; a cell far too long to be a name has none."""
    return nearest(text, known, others=others) if len(text) <= LONGEST_SHOWN else ()


def read_size(column: Column, written: str) -> Mapping[str, Quantity]:
    """A size as ``read_cell`` reads it, inside the column's window; raises CellError or BadCellError."""
    found = read_cell(written, column.datatype)
    refuse_outside(column, found)
    if column.values and written not in (*column.values, "?"):
        raise BadCellError("not one of the allowed values", ", ".join(column.values))
    return found


def refuse_outside(column: Column, sizes: Mapping[str, Quantity]) -> None:
    """Raise BadCellError where a size lies, or may lie, outside the column's window."""
    for size in sizes.values():
        if column.least is not None and any(end is not None and end < column.least for end in (size.low, size.high)):
            raise BadCellError(_below(column.least), f"a {column.datatype} from {column.least:g} up")
        if column.most is not None and any(end is not None and end > column.most for end in (size.low, size.high)):
            raise BadCellError(f"above {column.most:g}", f"a {column.datatype} up to {column.most:g}")


def _below(least: float) -> str:
    return "below zero" if least == 0 else f"below {least:g}"


def literal(column: Column, text: str) -> ox.Literal:
    """The literal of a plain column's cell; raises BadCellError."""
    if column.values and text not in column.values:
        raise BadCellError("not one of the allowed values", ", ".join(column.values), near(text, column.values))
    if column.datatype == "boolean":
        if text.lower() not in BOOLEANS:
            raise BadCellError("not yes or no", "yes or no")
        return ox.Literal(BOOLEANS[text.lower()], datatype=ox.NamedNode(XSD + "boolean"))
    if column.datatype in NUMBERS:
        return _number(column, text)
    if column.datatype == "quantity":
        try:
            read_limit(text)
        except CellError as error:
            raise BadCellError(error.problem, error.expected, tuple(error.suggestions)) from error
        return ox.Literal(text, datatype=ox.NamedNode(VOCAB + "quantity"))
    return ox.Literal(text)


def _number(column: Column, text: str) -> ox.Literal:
    expected = expected_number(column)
    try:
        # Python also reads "nan", "inf", "1_0", "1e3" and other scripts' digits; XML Schema's decimal has none of them.
        if len(text) > LONGEST_NUMBER or not PLAIN_NUMBER.fullmatch(text):
            raise ValueError(text)
        number = int(text) if column.datatype == "integer" else float(text)
    except ValueError as error:
        raise BadCellError("not a number", expected) from error
    if column.least is not None and number < column.least:
        raise BadCellError(_below(column.least), expected)
    if column.most is not None and number > column.most:
        raise BadCellError(f"above {column.most:.0f}", expected)
    return ox.Literal(text, datatype=ox.NamedNode(XSD + column.datatype))


def expected_number(column: Column) -> str:
    """What a column of numbers expects, in words."""
    ends = [f"from {column.least:g}"] if column.least is not None else []
    ends += [f"to {column.most:.0f}"] if column.most is not None else ["up"] if ends else []
    return " ".join(["a whole number" if column.datatype == "integer" else "a number", *ends])


def expected_of(column: Column) -> str:
    """What a column expects, in words that stand within a sentence."""
    if column.values:
        return "one of " + ", ".join(column.values)
    said = column.description.removesuffix(".") or column.name
    return said[0].lower() + said[1:] if said[1:2].islower() else said  # ISO stays as it is
