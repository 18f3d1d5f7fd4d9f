"""Shims of a swivel: the stacks from the box, by each rule in use."""

from __future__ import annotations

from collections.abc import Mapping

from knockon.graph.formulas import shims as formulas
from knockon.graph.formulas.interval import Value, low, middle
from knockon.graph.formulas.shims import ShimStack
from knockon.queries.answers import NO_TORQUES
from knockon.queries.workshop.answer import COMMON_PRACTICE, Calculation, Listing, amount, influences
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

COMMON_RULE = f"gap minus 0.030 in: {COMMON_PRACTICE}"
WASHER_RULE = "gap minus the tab washer's thickness minus the nip of the manual: geometry of the stack"
FINAL_TEST = "The final test is the pin itself: stiff, smooth, no lift."
CLOSE = 0.05
"""How far in mm a stack may be off before the box is said to be short of shims. Common practice, no source."""


def swivel(
    gap: Value, box: Mapping[float, int | None], washer: Value | None = None, nip: Value | None = None, first: int = 4
) -> Calculation:
    """Shim stacks for a gap, by the common rule and, where the tab washer is measured, by the washer's thickness.

    All in mm; ``box``: how many there are of each thickness, None for as many as wanted. Raises ValueError.
    """
    common = formulas.wanted_by_common_rule(gap)
    rules = [("common rule", common)]
    if washer is not None:
        rules.append(("washer rule", formulas.wanted_by_washer(gap, washer, 0.0 if nip is None else nip)))
    for name, wanted in rules:
        if low(wanted) < 0:
            raise ValueError(f"the gap is smaller than what the {name} takes off: no shims go in")
    stacks = {name: formulas.best_stacks(wanted, box, first) for name, wanted in rules}
    short = tuple(
        f"No stack from this box comes near by the {name}: the nearest is off by {_error(stacks[name][0].error)}."
        for name, _ in rules
        if abs(stacks[name][0].error) > max(min(box, default=0.0), CLOSE)
    )
    return Calculation(
        subject="shims",
        question="Which shims go under the dome nut?",
        given=(
            amount("gap without shims", gap, "mm"),
            *((amount("tab washer", washer, "mm"),) if washer is not None else ()),
            *((amount("nip by the manual", nip, "mm"),) if nip is not None else ()),
        ),
        results=tuple(amount(f"wanted, {name}", wanted, "mm") for name, wanted in rules),
        says=(*short, *_says(rules, washer, nip)),
        influences=influences(formulas.wanted_by_washer, {"gap": gap, "tab washer": 0.0 if washer is None else washer}),
        listings=tuple(_listing(name, stacks[name]) for name, _ in rules),
        sources=(COMMON_RULE, WASHER_RULE),
        good=not short,
        cautions=(
            FINAL_TEST,
            "Set it without the spring, with the grease boot off and a new tab washer.",
            NO_TORQUES,
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def _says(rules: list[tuple[str, Value]], washer: Value | None, nip: Value | None) -> list[str]:
    lines = []
    if washer is None:
        lines.append("Measure the tab washer's thickness: the common rule takes it as 0.030 in, and yours may differ.")
    else:
        apart = middle(rules[0][1]) - middle(rules[1][1])
        if abs(apart) > 1e-6:
            more = "thinner" if apart > 0 else "thicker"
            lines.append(
                f"The two rules differ by {abs(apart):.3f} mm ({abs(apart) / 25.4:.4f} in): "
                f"by your washer the stack is {more}."
            )
        else:
            lines.append("Both rules want the same stack.")
    if nip is None:
        lines.append("Look up the nip or play that the manual asks for. It counts as none here.")
    lines.append(FINAL_TEST)
    return lines


def _listing(name: str, stacks: list[ShimStack]) -> Listing:
    rows = [
        (
            " + ".join(f"{s / 25.4:.3f}" for s in stack.shims) or "none",
            " + ".join(f"{s:.3f}" for s in stack.shims) or "none",
            f"{stack.total:.3f} mm ({stack.total / 25.4:.4f} in)",
            _error(stack.error),
        )
        for stack in stacks
    ]
    return Listing(f"Stacks by the {name}", ("shims, in", "shims, mm", "together", "off"), tuple(rows))


def _error(error: float) -> str:
    return "exact" if abs(error) < 5e-5 else f"{error:+.3f} mm ({error / 25.4:+.4f} in)"
