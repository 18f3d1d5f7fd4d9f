"""How far off a reading is: the ± that was written, else that of the tool that was named, else of the usual one."""

from __future__ import annotations

from collections.abc import Mapping

from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import Column, Table, Tool, Vocabulary
from knockon.graph.quantity import Datatype, Quantity
from knockon.queries.as_typed import RequestError


def tool_for(vocabulary: Vocabulary, kind: Table, column: Column, named: str = "") -> Tool | None:
    """The tool that was named, else the usual one of a column; None where there is none. Raises RequestError."""
    if named:
        found = vocabulary.tools.named(named)
        if found is None:
            near = nearest(named, vocabulary.tools.by_name) or tuple(vocabulary.tools.by_name)
            raise RequestError(f"no tool {named!r}. Nearest: {', '.join(near)}. Or write the ± with the reading")
        return found
    return vocabulary.usual_tool(kind.iri, column.name)


def with_its_tool(written: str, sizes: Mapping[str, Quantity], datatype: Datatype, tool: Tool | None, unit: str) -> str:
    """A reading as it is kept: where it is written without limits, with those of its tool. ``unit``: the base unit of
    the size; a tool for another unit says nothing of it."""
    if tool is None or not tool.within or tool.unit != unit or not datatype.without_limits(sizes):
        return written
    return f"{written} ±{tool.within:g} {tool.unit}"
