"""A condition in the rule that has it: does what it adds up exist, and can it be compared with its limits?"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

import msgspec

from knockon.graph.formulas import Formula, formula, formula_names
from knockon.graph.model.rules import BARE_UNITS, BASE_OF_UNIT
from knockon.graph.rulebook.faults import Book, Fault, Node
from knockon.graph.triples.statements import DCTERMS, FORMULA, SH, VOCAB, VocabularyError
from knockon.graph.triples.sums import Term, parse_reference, parse_sum

ENDS = ("low", "high", "grossLow", "grossHigh")


class _Condition(msgspec.Struct, frozen=True):
    """A condition of a rule, with the limits that it states and the kinds by role."""

    book: Book
    rule: Node
    node: Node
    limits: Mapping[str, float]
    dimensions: Mapping[str, Mapping[str, str]]

    @property
    def need(self) -> str:
        return self.text(VOCAB + "need").removeprefix(VOCAB)

    def text(self, predicate: str) -> str:
        """What is said of it."""
        return self.book.every.text(self.node, predicate)

    def fault(self, problem: str, expected: str, predicate: str, known: Sequence[str] = (), out: bool = True) -> Fault:
        """A fault of the condition, if it is a club's; of the rule that uses it, if that alone is."""
        value = next(iter(self.book.every.objects(self.node, predicate)), None)
        if self.node in self.book.own.by_subject:
            return Fault(self.node, problem, expected, predicate, value, known=tuple(known), out=out)
        return Fault(
            self.rule, f"{problem} ({self.text(predicate)})", expected, VOCAB + "condition", self.node, out=out
        )


def faults(book: Book, rule: Node, node: Node) -> Iterator[Fault]:
    """What is wrong with a condition as this rule has it."""
    limits = {n: v for n in ENDS if (v := _number(book.every.text(node, VOCAB + n))) is not None}
    roles = [(book.own.text(rule, VOCAB + r), book.own.objects(rule, VOCAB + k)) for r, k in SIDES]
    dimensions = {role.replace("_", " "): _dimensions(book, kinds) for role, kinds in roles}
    here = _Condition(book, rule, node, limits, dimensions)
    yield from _texts(here)
    yield from _window(here)
    value, named = here.text(VOCAB + "value"), here.text(VOCAB + "formula")
    if bool(value) == bool(named):
        problem = "kn:value and kn:formula stand together" if value else "has neither kn:value nor kn:formula"
        yield here.fault(problem, "one of the two", VOCAB + ("formula" if value else "value"))
    elif named:
        yield from _formula(here, named)
    else:
        yield from _sum(here, value)
    if here.text(VOCAB + "arguments") and not named:
        yield here.fault("without kn:formula nothing reads this word", "kn:formula", VOCAB + "arguments")


SIDES = (("firstRole", "firstKind"), ("secondRole", "secondKind"))


def _number(text: str) -> float | None:
    try:
        return float(text) if text else None
    except ValueError:
        return None


def _dimensions(book: Book, kinds: Sequence[Node]) -> dict[str, str]:
    """Name and base unit of each number or word that a kind's features have; ``thread.major`` for a part of one."""
    found: dict[str, str] = {}
    for kind in kinds:
        for node in book.every.objects(kind, SH + "property"):
            name = book.every.text(node, SH + "name")
            for part, unit in book.datatypes.get(book.every.text(node, SH + "datatype"), {}).items():
                found[f"{name}.{part}" if part else name] = unit
    return found


def _texts(here: _Condition) -> Iterator[Fault]:
    if here.need == "told":
        return
    if not here.text(VOCAB + "saysNo"):
        yield here.fault(
            "is missing, so a condition that is not kept would say nothing",
            "in words, what it means where the condition is not kept",
            VOCAB + "saysNo",
            out=False,
        )
    if here.text(VOCAB + "listed"):
        yield here.fault("is for conditions with kn:need kn:told only", "kn:need kn:told", VOCAB + "listed", out=False)
    if here.limits and not here.text(DCTERMS + "source"):
        yield here.fault("is missing: limits need their source", "dcterms:source", DCTERMS + "source", out=False)


def _window(here: _Condition) -> Iterator[Fault]:
    low, high, gross_low, gross_high = (here.limits.get(n) for n in ENDS)
    for name, limit in here.limits.items():
        if not math.isfinite(limit):
            yield here.fault("is no finite number", "a number", VOCAB + name)
    for one, other, names in ((low, high, ENDS[:2]), (gross_low, gross_high, ENDS[2:])):
        if one is not None and other is not None and one > other:
            yield here.fault(f"is above kn:{names[1]}", f"a number up to kn:{names[1]}", VOCAB + names[0])
    if gross_low is None and gross_high is None:
        return
    for end, gross, name in ((low, gross_low, "grossLow"), (high, gross_high, "grossHigh")):
        plain = "low" if name == "grossLow" else "high"
        if (end is None) != (gross is None):
            stands, lacks = (name, plain) if end is None else (plain, name)
            problem = f"kn:{lacks} is missing: kn:{stands} stands alone at that end"
            yield here.fault(problem, f"kn:{lacks} too", VOCAB + stands)
        elif end is not None and gross is not None and (gross > end if name == "grossLow" else gross < end):
            yield here.fault(f"is narrower than kn:{plain}", f"as wide as kn:{plain}, or wider", VOCAB + name)


# ------------------------------------------------------------------------------------------ sums and codes


def _sum(here: _Condition, value: str) -> Iterator[Fault]:
    try:
        terms, same = parse_sum(value)
    except VocabularyError as error:
        yield here.fault(f"cannot be read: {error}", "a signed sum of ROLE.dimension", VOCAB + "value")
        return
    missing = list(_unknown(here, terms, VOCAB + "value"))
    yield from missing
    if missing:
        return
    if len({(t.role, t.dimension) for t in terms}) < len(terms):
        yield here.fault("names one size twice", "each size once", VOCAB + "value")
    units = {here.dimensions[t.role][t.dimension] for t in terms}
    if same:
        yield from _same(here, terms, units)
    elif len({t.role for t in terms}) < 2 and len(terms) > 1:
        yield here.fault("compares one side with itself", "a size of each side", VOCAB + "value")
    elif "code" in units:
        yield here.fault("adds up words", "ROLE.dimension == ROLE.dimension", VOCAB + "value")
    elif len(units) > 1:
        said = " and ".join(sorted(_plain(u) for u in units))
        yield here.fault(f"adds up {said}", "sizes of one sort", VOCAB + "value")
    else:
        yield from _limits(here, next(iter(units)))
        yield from _one_sign(here, terms)


def _plain(unit: str) -> str:
    return {"count": "whole numbers", "1": "bare numbers"}.get(unit, unit)


def _unknown(here: _Condition, terms: Sequence[Term], predicate: str) -> Iterator[Fault]:
    for term in terms:
        if term.role not in here.dimensions:
            roles = tuple(here.dimensions)
            yield here.fault(f"no such role: {term.role}", "one of " + ", ".join(roles), predicate, roles)
        elif term.dimension not in here.dimensions[term.role]:
            names = tuple(f"{term.role}.{d}".replace(" ", "_") for d in here.dimensions[term.role])
            problem = f"{term.role} has no such size: {term.dimension}"
            yield here.fault(problem, "one of " + ", ".join(names), predicate, names)


def _same(here: _Condition, terms: Sequence[Term], units: set[str]) -> Iterator[Fault]:
    if len(terms) != 2 or any(t.factor != 1 for t in terms) or terms[0].role == terms[1].role:
        yield here.fault("is no comparison of two words", "ROLE.dimension == ROLE.dimension", VOCAB + "value")
    elif units != {"code"}:
        problem = "only words are compared with ==, not " + " and ".join(sorted(_plain(u) for u in units))
        yield here.fault(problem, "a difference, with kn:low and kn:high", VOCAB + "value")
    for name in here.limits:
        yield here.fault("words are the same or not: there is no window", "no limit", VOCAB + name)


def _one_sign(here: _Condition, terms: Sequence[Term]) -> Iterator[Fault]:
    """A sum of sizes of both sides, all with one sign, with a limit that such a sum never crosses: what compares has a
    minus. A sum may well have a limit that it can cross: two lips are 5 mm thick together, or less."""
    factors = [t.factor for t in terms]
    if len(terms) > 1 and here.need != "told" and (min(factors) > 0 or max(factors) < 0):
        sign = math.copysign(1, factors[0])
        if any(here.limits.get(name, sign) * sign <= 0 for name in ("low", "high")):
            yield here.fault("a sum without a difference keeps such limits always or never", "a minus", VOCAB + "value")


def _limits(here: _Condition, base: str) -> Iterator[Fault]:
    """Whether there is a window, in a unit of what it limits."""
    if here.need != "told" and not {"low", "high"} & set(here.limits):
        yield here.fault("has no window: every size would do", "kn:low or kn:high", VOCAB + "low")
    unit = here.text(VOCAB + "unit")
    if not any(here.limits.values()) and BASE_OF_UNIT.get(unit, unit) == unit:
        return  # nothing is nothing in any unit
    if not unit and base not in BARE_UNITS:
        yield here.fault("kn:unit is missing: limits need their unit", f"kn:unit {base}", VOCAB + "unit")
    elif BASE_OF_UNIT.get(unit, unit) != ("" if base in BARE_UNITS else base):
        expected = (
            "no unit" if base in BARE_UNITS else ", ".join(sorted(u for u, b in BASE_OF_UNIT.items() if b == base))
        )
        yield here.fault(f"no unit of {_plain(base)}", expected or base, VOCAB + "unit")


# ----------------------------------------------------------------------------------------------- formulas


def _formula(here: _Condition, named: str) -> Iterator[Fault]:
    predicate = VOCAB + "formula"
    name = named.removeprefix(FORMULA)
    if not named.startswith(FORMULA) or name not in formula_names():
        known = [f"formula:{n}" for n in formula_names()]
        yield here.fault("no such formula", "one of " + ", ".join(known), predicate, known)
        return
    known_formula = formula(name)
    try:
        written = here.text(VOCAB + "arguments").split(",")
        terms = [Term(1.0, *parse_reference(a)) for a in written]
    except VocabularyError as error:
        yield here.fault(f"cannot be read: {error}", "ROLE.dimension, ROLE.dimension ...", VOCAB + "arguments")
        return
    missing = list(_unknown(here, terms, VOCAB + "arguments"))
    yield from missing
    if not missing:
        yield from _arguments(here, known_formula, terms)
        yield from _limits(here, known_formula.unit if known_formula.unit in BASE_OF_UNIT else "1")


def _arguments(here: _Condition, known: Formula, terms: Sequence[Term]) -> Iterator[Fault]:
    wanted = ", ".join(f"{a} ({u})" for a, u in zip(known.arguments, known.argument_units, strict=True))
    if not known.required <= len(terms) <= len(known.arguments):
        problem = f"{known.name} has {len(known.arguments)} arguments, and {len(terms)} stand here"
        yield here.fault(problem, wanted, VOCAB + "arguments")
        return
    for term, unit, argument in zip(terms, known.argument_units, known.arguments, strict=False):
        if here.dimensions[term.role][term.dimension] != unit:
            problem = f"{term.role}.{term.dimension} is no {argument} in {unit}"
            yield here.fault(problem, wanted, VOCAB + "arguments")
    if len({(t.role, t.dimension) for t in terms}) < len(terms):
        yield here.fault("names one size twice", "each size once", VOCAB + "arguments")
