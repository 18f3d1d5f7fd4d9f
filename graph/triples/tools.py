"""Measuring tools, read from Turtle: how far off each reads, and which is usual for a dimension."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from functools import cache
from typing import Any

import msgspec

from knockon.graph.files.plain import content_of
from knockon.graph.files.shipped import shipped
from knockon.graph.triples.datatypes import datatype_name
from knockon.graph.triples.statements import DCTERMS, RDFS, SKOS, VOCAB, Statements


class Tool(msgspec.Struct, frozen=True):
    """What a size is measured with. ``within``: half the width of the band that holds nearly all readings of one size
    (two standard deviations), in ``unit``, a base unit; 0 where it reads exactly (a count, a look).

    ``other_names``: what it is also called; ``source``: where the number comes from.
    """

    name: str
    unit: str
    within: float
    other_names: tuple[str, ...] = ()
    source: str = ""


class Tools(msgspec.Struct, frozen=True):
    """All tools by name, and the name of the usual one of a dimension, by the kind's table and by datatype."""

    by_name: dict[str, Tool] = msgspec.field(default_factory=dict)
    of_kinds: dict[str, dict[str, str]] = msgspec.field(default_factory=dict)
    of_datatypes: dict[str, dict[str, str]] = msgspec.field(default_factory=dict)

    def usual(self, table: str, dimension: str, datatype: str) -> Tool | None:
        """The usual tool of a dimension of the kind with this table; None: nothing in a workshop measures it.

        ``datatype``: that of the dimension's column. Of a designation the dimension is one of its parts:
        ``thread.pitch``.
        """
        _, _, part = dimension.partition(".")
        name = self.of_kinds.get(table, {}).get(dimension) or self.of_datatypes.get(datatype, {}).get(part)
        return self.by_name.get(name or "")

    def named(self, text: str) -> Tool | None:
        """The tool that is called this, in small or capital letters, by its name or another; None: no tool is."""
        asked = _fold(text)
        called = (t for t in self.by_name.values() if asked in map(_fold, (t.name, *t.other_names)))
        return next(called, None)


def tools(graph: Statements) -> Tools:
    """Every tool of these statements, and for what each is usual."""
    nodes = {str(node.value): _tool(graph, node) for node in graph.subjects(VOCAB + "Tool")}
    found = Tools({t.name: t for t in sorted(nodes.values(), key=lambda t: t.name)})
    for node in graph.subjects(VOCAB + "UsualTool"):
        tool = nodes.get(graph.text(node, VOCAB + "tool"))
        dimension, table = graph.text(node, VOCAB + "dimension"), graph.text(node, VOCAB + "table")
        datatype = datatype_name(graph.text(node, VOCAB + "datatype"))
        if tool:
            there = found.of_kinds.setdefault(table, {}) if table else found.of_datatypes.setdefault(datatype, {})
            there[dimension] = tool.name
    return found


@cache
def shipped_tools() -> Tools:
    """The tools of the shipped table alone: for a question that asks no records, and so reads no other rules."""
    graph, file = Statements(), shipped("graph", "vocabulary", "measuring-tools.ttl")
    graph.read(content_of(file), file.name)
    return tools(graph)


def _fold(text: str) -> str:
    return " ".join(text.replace("-", " ").casefold().split())


def _tool(graph: Statements, node: Any) -> Tool:
    return Tool(
        name=graph.text(node, RDFS + "label"),
        unit=graph.text(node, VOCAB + "unit"),
        within=graph.number(node, VOCAB + "within") or 0.0,
        other_names=tuple(graph.texts(node, SKOS + "altLabel")),
        source=graph.text(node, DCTERMS + "source"),
    )
