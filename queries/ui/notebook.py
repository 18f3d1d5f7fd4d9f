"""Answers in a notebook: as pandas frames, and as the page that the command line prints.

``frame(answer.measure_first)`` is a row for each record; ``frame(answer.plan.groups, "lines")`` a row for each line of
each group, with the group's own fields before it; ``frames(answer)`` every table of an answer by its name.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.queries.answers import Answer, as_text
from knockon.queries.ask.ask import AskAnswer

if TYPE_CHECKING:
    from pandas import DataFrame


def frame(records: Iterable[Any], each: str = "") -> DataFrame:
    """A row for each record; a record's own records stand in columns such as ``wanted.position``.

    ``each`` names a field that holds records: then a row for each of those, behind the other fields of its owner that
    hold one value each, which are called ``of.FIELD``. Raises KeyError where no record has such a field.
    """
    import pandas as pd

    rows = [_plain(record) for record in records]
    if each:
        rows = [{**_of(row, each), **inner} for row in rows for inner in row[each]]
    return pd.json_normalize(rows)


def frames(answer: Answer) -> dict[str, DataFrame]:
    """Every table of an answer by the name of its field; ``result`` for the rows of a query."""
    import pandas as pd

    if isinstance(answer, AskAnswer):
        rows = [[None if term is None else term.shown for term in row] for row in answer.rows]
        return {"result": pd.DataFrame(rows, columns=list(answer.columns))}
    fields = {name: getattr(answer, name) for name in answer.__struct_fields__}
    return {name: frame(value) for name, value in fields.items() if _is_table(value)}


def _is_table(value: object) -> bool:
    return isinstance(value, tuple) and bool(value) and all(isinstance(v, msgspec.Struct) for v in value)


def _plain(record: Any) -> dict[str, Any]:
    found: dict[str, Any] = msgspec.to_builtins(record, enc_hook=as_text)
    return found


def _of(row: dict[str, Any], each: str) -> dict[str, Any]:
    return {f"of.{name}": value for name, value in row.items() if name != each and not isinstance(value, list | dict)}
