"""What goes, comes, moves and comes off when a filling replaces what a vehicle has: read from the model, as swap.lp
derives it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any

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


class Atoms:
    """What a model shows, by name: the arguments of each atom, numbers or texts."""

    def __init__(self, found: dict[str, list[tuple[Any, ...]]]) -> None:
        self._found = found

    def numbers(self, name: str) -> Sequence[tuple[int, ...]]:
        """The arguments of the atoms of this name, which are numbers."""
        return self._found.get(name, ())

    def texts(self, name: str) -> Iterator[str]:
        """The only argument of each atom of this name, which is a text."""
        return (text for (text,) in self._found.get(name, ()))


class AtomReader:
    """Reads models. Each atom is taken apart once: hundreds of models show the same ones."""

    def __init__(self) -> None:
        self._known: dict[clingo.Symbol, tuple[str, tuple[Any, ...]]] = {}

    def read(self, model: clingo.Model) -> Atoms:
        """What a model shows."""
        found: dict[str, list[tuple[Any, ...]]] = {}
        for atom in model.symbols(shown=True):
            known = self._known.get(atom)
            if known is None:
                name = atom.name
                known = name, tuple(a.string if name == "holds" else a.number for a in atom.arguments)
                self._known[atom] = known
            found.setdefault(known[0], []).append(known[1])
        return Atoms(found)


def movement_of(shown: Atoms, places: Sequence[Place]) -> Movement:
    """The movement that a model shows; ``places`` in the order in which the problem numbers them."""

    def at(name: str) -> frozenset[Place]:
        return frozenset(places[p] for (p,) in shown.numbers(name))

    return Movement(
        gone=at("gone"),
        new=at("new"),
        moved=at("moved"),
        released=at("released"),
        pressed_out=at("pressed_out"),
        parted=at("parted"),
        off_with=frozenset((places[p], places[q]) for p, q in shown.numbers("off_with")),
        comes_off=frozenset((places[p], places[q], places[r]) for p, q, r in shown.numbers("comes_off")),
        counts=frozenset(x for (x,) in shown.numbers("counts")),
    )
