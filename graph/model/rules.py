"""Fit rules as data: the kinds that meet, the conditions on their sizes, read from Turtle."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from decimal import Decimal
from typing import Any

import msgspec

from knockon.graph.triples.statements import DCTERMS, RDFS, SH, VOCAB, Statements, VocabularyError, local_name
from knockon.graph.triples.sums import Term, parse_reference, parse_sum


class Condition(msgspec.Struct, frozen=True):
    """One condition of a fit rule, or a number that is told beside it (``need`` is ``told``; ``listed``: also among the
    figures of a plan, where the joint rules something out).

    ``terms`` is a signed sum, unless ``formula`` names a formula whose arguments the terms are, or ``same_code`` asks
    two codes to agree; ``usual`` are then, term by term, the codes that count where nobody wrote one (blank: none).
    ``low``/``high`` is the closed window, ``gross_low``/``gross_high`` the one for nominal sizes. ``says_no`` is told
    of a no, ``says_together`` with it where all conditions of assembly agree.
    """

    label: str
    sort: str
    need: str
    terms: tuple[Term, ...]
    formula: str = ""
    same_code: bool = False
    low: float | None = None
    high: float | None = None
    gross: bool = False
    gross_low: float | None = None
    gross_high: float | None = None
    unit: str = ""
    source: str = ""
    standing: str = ""
    says_no: str = ""
    listed: bool = False
    says_together: str = ""
    usual: tuple[str, ...] = ()


class RuleEnd(msgspec.Struct, frozen=True):
    """One end of a fit rule: the role in which a feature stands there, and its kind; ``number`` is 0 or 1."""

    number: int
    role: str
    kind: str


class FitRule(msgspec.Struct, frozen=True):
    """Which two kinds meet, and the conditions on their dimensions."""

    label: str
    ends: tuple[RuleEnd, RuleEnd]
    safety_critical: bool
    conditions: tuple[Condition, ...]
    comment: str = ""

    def end_of(self, term: Term) -> RuleEnd:
        """The end whose feature has a term's size."""
        return self.ends[term.role != self.ends[0].role]


_UNITS = {
    "in": ("mm", Decimal("25.4")),
    "bar": ("kPa", Decimal(100)),
    "psi": ("kPa", Decimal("6.894757293168361")),
}
"""The base unit of a limit that is stated in another, and the factor (exact; psi to 16 figures). No cm and no m: each
is one slip away from mm, and would be another limit that nothing could find."""
BASE_OF_UNIT = {u: base for u, (base, _) in _UNITS.items()} | {
    u: u for u in ("mm", "kPa", "deg", "%", "turns", "times")
}
"""The units in which a rule may state its limits, and the base unit of each."""
BARE_UNITS = ("count", "1")
"""Base units that are not written behind a limit."""


def base_unit(unit: str) -> tuple[str, Decimal]:
    """The base unit of a unit, and what one of it is in that."""
    return _UNITS.get(unit, (unit, Decimal(1)))


def _condition(graph: Statements, node: Any) -> tuple[float, Condition]:
    formula = local_name(graph.text(node, VOCAB + "formula"))
    if formula:
        arguments = [a for a in graph.text(node, VOCAB + "arguments").split(",") if a.strip()]
        terms, same = tuple(Term(1.0, *parse_reference(a)) for a in arguments), False
    else:
        terms, same = parse_sum(graph.text(node, VOCAB + "value"))
    unit, factor = base_unit(graph.text(node, VOCAB + "unit"))

    def limit(name: str) -> float | None:
        number = graph.number(node, VOCAB + name)
        return None if number is None else float(Decimal(repr(number)) * factor)

    gross_low, gross_high = limit("grossLow"), limit("grossHigh")
    condition = Condition(
        label=graph.text(node, RDFS + "label") or local_name(str(node.value)),
        sort=local_name(graph.text(node, VOCAB + "sort", "service")),
        need=local_name(graph.text(node, VOCAB + "need", "required")),
        terms=terms,
        formula=formula,
        same_code=same,
        low=limit("low"),
        high=limit("high"),
        gross=gross_low is not None or gross_high is not None,
        gross_low=gross_low,
        gross_high=gross_high,
        unit=unit,
        source=graph.text(node, DCTERMS + "source"),
        standing=graph.text(node, VOCAB + "standing"),
        says_no=graph.text(node, VOCAB + "saysNo"),
        listed=graph.flag(node, VOCAB + "listed"),
        says_together=graph.text(node, VOCAB + "saysTogether"),
    )
    return graph.number(node, SH + "order") or 0.0, condition


def _end(graph: Statements, node: Any, number: int, word: str) -> RuleEnd:
    role, kind = (graph.text(node, VOCAB + word + what) for what in ("Role", "Kind"))
    return RuleEnd(number, role.replace("_", " "), kind)


def read_rule(graph: Statements, node: Any) -> FitRule:
    """The rule that a node says; raises VocabularyError."""
    nodes = graph.by_subject[node].get(VOCAB + "condition", ())
    found = sorted((_condition(graph, n) for n in nodes), key=lambda c: (c[0], c[1].label))
    rule = FitRule(
        label=graph.text(node, RDFS + "label"),
        ends=(_end(graph, node, 0, "first"), _end(graph, node, 1, "second")),
        safety_critical=graph.flag(node, VOCAB + "safetyCritical"),
        conditions=tuple(c for _, c in found),
        comment=graph.text(node, RDFS + "comment"),
    )
    roles = {end.role for end in rule.ends}
    for condition in rule.conditions:
        for term in condition.terms:
            if term.role not in roles:
                raise VocabularyError(f"rule {rule.label!r}, condition {condition.label!r}: no role {term.role!r}")
    return rule
