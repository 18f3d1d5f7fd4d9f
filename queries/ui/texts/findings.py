"""Findings as text: what is wrong in a table or a Turtle file, and where."""

from __future__ import annotations

from knockon.graph.model.findings import Finding
from knockon.queries.ui.naming import listed


def finding_line(finding: Finding) -> str:
    """One finding: where, what was read, what is wrong, what is expected, what is offered."""
    in_words = finding.file.endswith(".ttl")  # Turtle has lines and words where a table has rows and columns
    where = [f"{'line' if in_words else 'row'} {finding.row}"] if finding.row else []
    where += [finding.column if in_words else f"column {finding.column!r}"] if finding.column else []
    text = f"{', '.join(where)}: " if where else ""
    text += f"read {finding.written!r}: " if finding.written else ""
    text += finding.problem
    text += f"; expected {finding.expected}" if finding.expected else ""
    text += f"; perhaps {listed([repr(s) for s in finding.suggestions], 'or')}" if finding.suggestions else ""
    return text + (". Set aside." if finding.set_aside else ". Loaded all the same.")
