"""Measuring: combined uncertainty, stacks of tolerances, how well one must measure to decide."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.formulas import measuring as formulas
from knockon.graph.formulas.interval import Interval, Value, as_interval
from knockon.graph.formulas.measuring import Component, StackTerm
from knockon.graph.triples.tools import Tool, shipped_tools
from knockon.queries.workshop.answer import Calculation, Influence, Listing, amount


def uncertainty(components: Sequence[Component], unit: str, coverage: float = 2.0) -> Calculation:
    """Combined and expanded uncertainty of independent parts, in ``unit``. Raises ValueError for none."""
    if not components:
        raise ValueError("an uncertainty has at least one part")
    found = formulas.combine(components)
    return Calculation(
        subject="uncertainty",
        question="How uncertain is this measurement?",
        given=tuple(amount(c.name, c.contribution, unit, "standard uncertainty") for c in components),
        results=(
            amount("combined standard uncertainty", found.uncertainty, unit),
            amount("expanded uncertainty", found.expanded(coverage), unit, f"k = {coverage:g}"),
        ),
        influences=tuple(Influence(name, 100 * share) for name, share in found.shares),
        assumptions=("the parts are independent of each other",),
        sources=(formulas.GUM,),
    )


def stack(terms: Sequence[StackTerm]) -> Calculation:
    """Mean and spread of a stack of dimensions in mm, worst case and statistical. Raises ValueError for none."""
    found = formulas.stack(terms)
    total = sum(t.half for t in terms)
    shares = [Influence(t.name, 100 * t.half / total) for t in terms if t.half > 0] if total else []
    return Calculation(
        subject="stack",
        question="What does this stack come to?",
        given=tuple(amount(t.name, Interval(t.nominal + t.lower, t.nominal + t.upper), "mm") for t in terms),
        results=(
            amount("middle", found.mean, "mm"),
            amount("worst case", found.interval("worst"), "mm", "every part at its limit"),
            amount("root of the sum of squares", found.interval("rss"), "mm", "many parts, centred"),
            amount("the same, enlarged", found.interval("modified"), "mm", f"factor {found.factor:.3f}"),
        ),
        says=("For one vehicle take the worst case, or measure the parts: statistics speak of many.",),
        influences=tuple(sorted(shares, key=lambda s: (-s.share, s.name))),
        sources=(formulas.STACKS,),
    )


def decide(first: Value, second: Value, instrument: float = 0.0) -> Calculation:
    """How well one must measure to tell two sizes (mm) apart, and whether an instrument of plus or minus this does."""
    found = formulas.must_measure(first, second, instrument)
    results = [
        amount("gap between them", found.gap, "mm"),
        amount("greatest uncertainty", found.allowed, "mm", "plus or minus, less than this"),
    ]
    tools = [tool for tool in _at_hand() if tool.within < _exact(found.allowed)]
    if found.gap == 0:
        says = "No measurement of this size tells them apart: their ranges meet."
    elif instrument:
        says = "Your instrument decides." if found.decides else "Your instrument does not decide: measure closer."
    else:
        says = f"Measure to better than plus or minus {found.allowed:.3f} mm."
    return Calculation(
        subject="decide",
        question="How well must I measure to tell these two apart?",
        given=(
            amount("one", first, "mm"),
            amount("the other", second, "mm"),
            *((amount("instrument", instrument, "mm", "plus or minus"),) if instrument else ()),
        ),
        results=tuple(results),
        says=(says,),
        listings=(_tools(tools),) if tools else (),
        assumptions=_assumed(tools),
        sources=("geometry of intervals: less than half the gap",),
        good=found.gap > 0 and (not instrument or found.decides),
    )


def within(size: Value, window: Value) -> Calculation:
    """How well one must measure (mm) to say that a part lies within a window, from what it is known to be.

    Outside the window no measurement makes it lie within: the answer is then a no.
    """
    wanted, known = as_interval(window), as_interval(size)
    allowed = formulas.needed_uncertainty(known.middle, wanted)
    inside = known in wanted
    outside = not wanted.overlaps(known)
    listed = not inside and not outside
    tools = [tool for tool in _at_hand() if listed and tool.within <= _exact(allowed)]
    if inside:
        says = "It lies within the window for all of its uncertainty: nothing more to measure."
    elif outside:
        says = "It lies outside the window for all of its uncertainty."
    elif allowed > 0:
        says = f"Not decided. If it measures {known.middle:g} mm, measure to plus or minus {allowed:.3f} mm or better."
    else:
        says = "Not decided, and the middle of what is known lies outside the window: measure again."
    return Calculation(
        subject="within",
        question="How well must I measure to say that this lies within its window?",
        given=(amount("size as known", size, "mm"), amount("window", window, "mm")),
        results=(amount("greatest uncertainty", allowed, "mm", "plus or minus, at the middle of the size"),),
        says=(says,),
        listings=(_tools(tools),) if tools else (),
        assumptions=_assumed(tools),
        sources=("geometry of intervals: the distance to the nearer end of the window",),
        good=inside,
    )


def _tools(tools: Sequence[Tool]) -> Listing:
    rows = tuple((tool.name, f"plus or minus {tool.within:g} {tool.unit}") for tool in tools)
    return Listing("What will do", ("instrument", "taken as"), rows)


def _exact(length: float) -> float:
    """A length in mm to the nanometre: a difference of decimals is not to fail a tool by its last binary digit."""
    return round(length, 6)


def _at_hand() -> list[Tool]:
    """The tools of the vocabulary's table that measure a length wherever they reach, the coarsest first."""
    known = shipped_tools().by_name
    return sorted((known[name] for name in _AT_HAND), key=lambda tool: (-tool.within, tool.name))


def _assumed(tools: Sequence[Tool]) -> tuple[str, ...]:
    """What is taken for granted of tools that are listed."""
    return tuple(f"the instruments' limits are usual workshop ones: {s}" for s in sorted({t.source for t in tools}))


_AT_HAND = (
    "tape", "rule", "caliper", "inside jaws", "caliper on bolt holes", "depth gauge", "micrometer", "inside micrometer",
)  # fmt: skip
"""Not the tools that measure one sort of size only: thread gauge, feelers, pins."""
