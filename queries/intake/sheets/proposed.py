"""The answer to an import that has no mapping yet: what each table of the sheet is like, to be looked over."""

from __future__ import annotations

from knockon.graph.mapping.propose import Proposal
from knockon.queries.answers import Answer


class ProposedAnswer(Answer, frozen=True):
    """A mapping for each table of a sheet, to confirm; ``mapping_file``: where a mapping is looked for, and kept."""

    sheet: str
    mapping_file: str
    proposals: tuple[Proposal, ...]
