"""What goes, comes, moves and comes off when a filling replaces what a vehicle has: read from the model, as swap.lp
derives it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

import msgspec

from knockon.graph.model.layouts.layout import Place

if TYPE_CHECKING:
    import clingo


class Movement(msgspec.Struct, frozen=True):
    """What a filling does to a vehicle, each set by the name that it has in swap.lp.

    ``gone``: found there, and it leaves. ``new``: what stands there is not what was there. ``moved``: it stays, and
    what it hangs on goes. ``released``: gone, and nothing is called for there any more. ``pressed_out``: its carrier
    goes. ``parted``: a one-use part of which a joint is undone. ``off_with``: a one-use part, and what takes it along
    in coming off. ``comes_off``: what is put back, what it is in the way of, and for whose sake that is reached.
    ``counts``: the joints and figures that the filling makes or undoes, by their number in the problem.
    """

    gone: frozenset[Place]
    new: frozenset[Place]
    moved: frozenset[Place]
    released: frozenset[Place]
    pressed_out: frozenset[Place]
    parted: frozenset[Place]
    off_with: frozenset[tuple[Place, Place]]
    comes_off: frozenset[tuple[Place, Place, Place]]
    counts: frozenset[int]


def movement_of(shown: Iterable[clingo.Symbol], places: Sequence[Place]) -> Movement:
    """The movement that a model shows; ``places`` in the order in which the problem numbers them."""
    found: dict[str, list[tuple[int, ...]]] = {}
    for atom in shown:
        if atom.name != "holds":
            found.setdefault(atom.name, []).append(tuple(a.number for a in atom.arguments))

    def at(name: str) -> frozenset[Place]:
        return frozenset(places[p] for (p,) in found.get(name, ()))

    return Movement(
        gone=at("gone"),
        new=at("new"),
        moved=at("moved"),
        released=at("released"),
        pressed_out=at("pressed_out"),
        parted=at("parted"),
        off_with=frozenset((places[p], places[q]) for p, q in found.get("off_with", ())),
        comes_off=frozenset((places[p], places[q], places[r]) for p, q, r in found.get("comes_off", ())),
        counts=frozenset(x for (x,) in found.get("counts", ())),
    )
