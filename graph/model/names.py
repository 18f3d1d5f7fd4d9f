"""IRIs of records: every thing is ``https://knockon.example/id/<table>/<key>``, a reserved domain that resolves to
nothing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from urllib.parse import quote, unquote

_PLAIN = re.compile(r"[A-Za-z0-9_.~-]*").fullmatch
"""Whether a text stands in an IRI as it is."""
ID = "https://knockon.example/id/"
RECORDS_GRAPH = ID + "graph/records"
READY_MADE_GRAPH = ID + "graph/ready-made"
"""The graph of rows that ready-made layouts give to a layout: written out at each reading, never handed out."""


def iri(table: str, *key: str) -> str:
    """The IRI of the row of ``table`` with this key."""
    return ID + table + "/" + quoted(key)


def quoted(key: Iterable[str]) -> str:
    """A key as it stands in an IRI."""
    return "/".join([part if _PLAIN(part) else quote(part, safe="") for part in key])


def key_of(thing: str) -> str:
    """The key of a single-key IRI, as it was written."""
    key = thing.removeprefix(ID).split("/", 1)[1]
    return unquote(key) if "%" in key else key


def source_graph(source: str) -> str:
    """The named graph of a source; rows without a source stand in the graph of the records themselves."""
    return iri("sources", source) if source else RECORDS_GRAPH


def member_iris(row: str) -> tuple[str, ...]:
    """The IRIs by which others name the set's member of which this is the row's: with its side, if it has one, and
    without."""
    set_, position, side = (*map(unquote, row.removeprefix(ID + "set_members/").split("/")), "", "")[:3]
    named = [f"{set_}/{position}", *([f"{set_}/{position}/{side}"] if side else [])]
    return tuple(iri("set_members", name) for name in named)
