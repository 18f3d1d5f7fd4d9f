"""Comparing two answers: alike but for how sizes are written, alike but for left and right."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.changes import Change
from knockon.queries.plan.swap import SwapAnswer

SPELLING = {"written", "measured", "expected", "as_written", "title", "name", "names"}


def plain(answer: Any) -> Any:
    """An answer as dicts, lists and numbers, without how anything was spelled."""
    return _plain(msgspec.to_builtins(answer, enc_hook=str))


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        kept = {k: _plain(v) for k, v in value.items() if k not in SPELLING}
        if "values" in kept:  # statements of one standing stand in the order of their spelling
            kept["values"] = sorted(kept["values"], key=lambda v: (v["of"], v["dimension"], v["source"], v["low"] or 0))
        return kept
    return [_plain(v) for v in value] if isinstance(value, list | tuple) else value


def differences(one: Any, other: Any, where: str = "") -> list[str]:
    """Where two plain answers differ by more than 1e-6."""
    if isinstance(one, dict) and isinstance(other, dict):
        if one.keys() != other.keys():
            return [f"{where}: {sorted(one.keys() ^ other.keys())}"]
        return [d for k in one for d in differences(one[k], other[k], f"{where}.{k}")]
    if isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            return [f"{where}: {len(one)} and {len(other)}"]
        return [d for i, (a, b) in enumerate(zip(one, other, strict=True)) for d in differences(a, b, f"{where}[{i}]")]
    if isinstance(one, float) and isinstance(other, float):
        return [] if math.isclose(one, other, rel_tol=0, abs_tol=1e-6) else [f"{where}: {one} and {other}"]
    return [] if one == other else [f"{where}: {one!r} and {other!r}"]


class Mirror:
    """Left and right exchanged, in places and in the numbers of handed parts."""

    def __init__(self, catalogue: Catalogue) -> None:
        self.items = catalogue.items
        self.numbers = {p.part: p.mirror_of for p in catalogue.parts.values() if p.mirror_of}

    def text(self, text: str) -> str:
        """A place, a number or a set of them in words."""
        sides = {"left": "right", "right": "left"}
        text = re.sub(r"\b(left|right)\b", lambda m: sides[m.group()], text)
        return re.sub(r"\b[A-Z]+-\d+[LR]\b", lambda m: self.numbers.get(m.group(), m.group()), text)

    def thing(self, name: str) -> str:
        """What stands there: a part's number or a set's member; a particular item has only changed sides."""
        return name if name in self.items else self.text(name)

    def all(self, texts: Iterable[str]) -> frozenset[str]:
        """Several of them, in no order."""
        return frozenset(self.text(t) for t in texts)


class Same(Mirror):
    """No mirror: the answer as it is."""

    def text(self, text: str) -> str:
        """The text itself."""
        return text


def outline(answer: SwapAnswer, seen: Mirror) -> dict[str, Any]:
    """Everything that a swap lists, in no order, as it is seen (in a mirror, or as it is)."""
    assert answer.plan is not None
    return {
        "costs": dict(answer.plan.costs),
        "filled": {(seen.text(f.place), seen.text(f.number), seen.thing(f.thing), f.stays) for f in answer.plan.filled},
        "order": _order(answer, seen),
        "changes": {seen.text(c.place): _change(c, seen) for c in answer.changes},
        "stops": {_check(e, seen) for e in answer.stops},
        "unproven": {_check(e, seen) for e in answer.plan.unproven},
        "measure": {(m.position, m.feature, frozenset(m.dimensions), seen.all(m.places), seen.all(m.decides))
                    for m in answer.measure_first},
        "risks": {(r.position, r.feature, frozenset(r.dimensions), seen.all(r.places), seen.all(r.decides))
                  for r in answer.risks},
        "wrong": {_check(e, seen) for e in answer.findings.wrong},
        "unknown": seen.all(answer.findings.unknown_condition),
        "measured": seen.all(answer.findings.measured),
        "alternatives": [(a.costs, {tuple(seen.text(t) for t in d) for d in a.differs}) for a in answer.alternatives],
        "consumables": {(x.number, x.quantity) for x in answer.consumables},
    }  # fmt: skip


def _order(answer: SwapAnswer, seen: Mirror) -> Mapping[tuple[str, str, str], tuple[int, frozenset[str], Any]]:
    groups = answer.plan.groups if answer.plan else ()
    return {
        (g.group, seen.text(g.hand), seen.text(x.number)): (x.quantity, seen.all(x.places), x.offer)
        for g in groups
        for x in g.lines
    }


def _check(evidence: Evidence, seen: Mirror) -> tuple[str, str, str, frozenset[str]]:
    parts = seen.text(f"{evidence.first} | {evidence.second}")
    return evidence.check, str(evidence.verdict), parts, seen.all(evidence.places)


def _change(change: Change, seen: Mirror) -> tuple[Any, ...]:
    cites = frozenset(change.reason.cites) if change.reason else None
    keeping = tuple(sorted(change.keeping.items())) if change.keeping else None
    return change.status, seen.thing(change.old), seen.thing(change.new), change.cause, cites, keeping
