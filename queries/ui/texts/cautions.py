"""The cautions that end a first page, in short."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import rules_in_short
from knockon.queries.ui.sentences.shell import RULES_IN_SHORT
from knockon.queries.ui.terminal.blocks import WARN, Para


def in_short(catalogue: Catalogue, cautions: Sequence[str]) -> Para:
    """What an answer with these cautions says of local rules and the manual, and where all cautions are."""
    return Para(RULES_IN_SHORT.format(rules=rules_in_short(catalogue, cautions)), tone=WARN)
