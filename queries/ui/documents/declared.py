"""The types that documents say once, and those that they write as rows: each is declared here, and nowhere else.

``check_id`` and the like end in ``_id`` because the name of the check itself (``check``) stands in the entry.
"""

from __future__ import annotations

from typing import Any

from knockon.queries.ui.documents.forms import Forms, Once


def _names_of_check(evidence: Any) -> tuple[str, ...]:
    """The check; where another pair has that name, with its numbers; where they are alike, with its things."""
    numbers = " + ".join(n for n in (evidence.first, evidence.second) if n)
    return evidence.check, f"{evidence.check}: {numbers}", f"{evidence.check}: {' + '.join(evidence.things)}"


_EVIDENCE = "fits.checking.evidence"
_RESULT_OF_LINE = ("state", "low", "high", "margin", "says", "values", "holds", "assumed")

FORMS = Forms(
    once={
        f"{_EVIDENCE}.Evidence": Once("checks", _names_of_check, key="check_id", own=("places",)),
        f"{_EVIDENCE}.Line": Once("conditions", key="condition_id", own=_RESULT_OF_LINE),
        f"{_EVIDENCE}.Value": Once("sizes"),
        f"{_EVIDENCE}.Claimed": Once("claims"),
        "plan.reasons.links.Reason": Once("reasons"),
        "plan.solving.unproven.Unknown": Once("unknown_checks"),
    },
    rows={
        f"{_EVIDENCE}.Evidence": "evidence",
        f"{_EVIDENCE}.Line": "lines",
        "plan.changes.Change": "changes",
        "plan.swap.Filled": "filled",
        "plan.reasons.links.Step": "steps",
    },
    rare=frozenset({"not_decided", "turning_left_out"}),
)
