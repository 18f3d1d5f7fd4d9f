"""Findings as text: what is wrong in a table or a Turtle file, and where."""

from __future__ import annotations

import textwrap

from knockon.graph.model.findings import Finding
from knockon.queries.ui.naming import listed, sentence
from knockon.queries.ui.sentences import intake as say

MOST_READ = 300
"""Characters of a cell that are shown; the document has all."""
FEW = 6
"""So many names of a list in a cell are shown, unless all are asked for."""


def is_long(finding: Finding) -> bool:
    """Whether a finding has a list of which its line shows the first few only."""
    return len(finding.written.split("; ")) > FEW


def finding_line(finding: Finding, full: bool = False) -> str:
    """One finding, sentence by sentence: where and what was read, what is wrong, what is expected, what is offered.
    ``full``: with all of a long list."""
    in_words = finding.file.endswith(".ttl")  # Turtle has lines and words where a table has rows and columns
    places = [(say.LINE if in_words else say.ROW).format(row=finding.row)] if finding.row else []
    if finding.column:
        places.append(finding.column if in_words else say.COLUMN.format(column=finding.column))
    where = sentence(", ".join(places)).removesuffix(".")
    problem = finding.problem.removesuffix(".")
    said = [say.WHERE_PROBLEM.format(where=where, problem=problem) if where else sentence(problem)]
    if finding.written:
        written = finding.written
        if is_long(finding):
            names = written.split("; ")
            more = say.AND_MORE_NAMED.format(number=len(names) - FEW)
            written = written if full else "; ".join(names[:FEW]) + more
        elif len(written) > MOST_READ:
            written = textwrap.shorten(written, MOST_READ, placeholder=" ...")
        read = say.WHERE_READ.format(where=where, written=written) if where else ""
        said = [read or say.READ.format(written=written), sentence(problem)]
    said += [say.EXPECTED.format(expected=finding.expected)] if finding.expected else []
    if finding.suggestions:
        said.append(say.PERHAPS.format(suggestions=listed([repr(s) for s in finding.suggestions], "or")))
    return " ".join((*said, say.SKIPPED if finding.set_aside else say.LOADED))
