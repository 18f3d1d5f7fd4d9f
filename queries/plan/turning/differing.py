"""What is another thing in another plan: by its number, or the same thing after other work."""

from __future__ import annotations

from collections.abc import Iterable

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.planner import Filling


def differing(plan: Filling, other: Filling) -> dict[Place, str]:
    """What stands in a place of the other plan, wherever that is another thing, or the same after other work or of
    another set."""

    def said(candidate: Candidate | None) -> tuple[object, ...]:
        if candidate is None:
            return ()
        return candidate.number, candidate.stays, candidate.work, candidate.set_use, candidate.to_be_found

    return {p: _number(other, p) for p in _places(plan, other) if said(plan.chosen.get(p)) != said(other.chosen.get(p))}


def other_work(plan: Filling, other: Filling) -> dict[Place, str]:
    """The work of the other plan on what stays in both, wherever it is another."""

    def work(candidate: Candidate | None) -> str | None:
        return candidate.work if candidate is not None and candidate.stays else None

    found = {p: (work(plan.chosen.get(p)), work(other.chosen.get(p))) for p in _places(plan, other)}
    return {p: after for p, (before, after) in found.items() if before is not None and after not in (None, before)}


def _places(plan: Filling, other: Filling) -> Iterable[Place]:
    return dict.fromkeys((*plan.chosen, *other.chosen))


def _number(filling: Filling, place: Place) -> str:
    candidate = filling.chosen.get(place)
    return candidate.number if candidate is not None else ""
