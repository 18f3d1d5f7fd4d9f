"""Findings as text: what is wrong in a table or a Turtle file, and where."""

from __future__ import annotations

from knockon.graph.model.findings import Finding
from knockon.queries.ui.naming import listed, sentence
from knockon.queries.ui.sentences import intake as say


def finding_line(finding: Finding) -> str:
    """One finding, sentence by sentence: where and what was read, what is wrong, what is expected, what is offered."""
    in_words = finding.file.endswith(".ttl")  # Turtle has lines and words where a table has rows and columns
    places = [(say.LINE if in_words else say.ROW).format(row=finding.row)] if finding.row else []
    if finding.column:
        places.append(finding.column if in_words else say.COLUMN.format(column=finding.column))
    where = sentence(", ".join(places)).removesuffix(".")
    problem = finding.problem.removesuffix(".")
    said = [say.WHERE_PROBLEM.format(where=where, problem=problem) if where else sentence(problem)]
    if finding.written:
        read = say.WHERE_READ.format(where=where, written=finding.written) if where else ""
        said = [read or say.READ.format(written=finding.written), sentence(problem)]
    said += [say.EXPECTED.format(expected=finding.expected)] if finding.expected else []
    if finding.suggestions:
        said.append(say.PERHAPS.format(suggestions=listed([repr(s) for s in finding.suggestions], "or")))
    return " ".join((*said, say.SKIPPED if finding.set_aside else say.LOADED))
