"""Which checks rule a thing out: trials on one ground program, each answered once for all that it settles.

A filling that was found shows that what it keeps may stay beside any of the checks that it meets. Checks that left no
filling rule out whatever cites at least these. So most trials are settled by an earlier one, and the answer is the
same whichever filling or proof the solver happens on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.solving.patience import Found, Patience, TimeUp, solving

if TYPE_CHECKING:
    import clingo

GUESSES = 2


class Trials:
    """Trials of a ground program with some sorts of check and perhaps one thing kept.

    ``switches``: the literal behind each sort of check; ``keeping``: the literal that says that a place's thing is
    kept. The program must not be added to while these trials are in use. ``is_ruled_out``: whether what leaves no
    filling of the program's candidates leaves none of all; else ``go_on_with`` was told of more. ``patience``: the
    time that the question has; methods raise TimeUp where it is over before a trial is settled.
    """

    def __init__(
        self,
        control: clingo.Control,
        switches: Mapping[str, int],
        keeping: Mapping[Place, int],
        patience: Patience,
        is_ruled_out: Callable[[frozenset[str], Place | None], bool] = lambda sorts, kept: True,
    ) -> None:
        self._patience, self._is_ruled_out = patience, is_ruled_out
        self._bits = {sort: 1 << i for i, sort in enumerate(switches)}
        self._keeping_bits = {place: 1 << i for i, place in enumerate(keeping, len(switches))}
        self.go_on_with(control, switches, keeping)
        self._met: list[int] = []  # of each filling found: the checks that it meets and the things that it keeps
        self._earlier: list[tuple[str, ...]] = []  # the minimal sets found so far
        self._proofs: list[int] = []  # checks, and a thing kept, that leave no filling

    def go_on_with(self, control: clingo.Control, switches: Mapping[str, int], keeping: Mapping[Place, int]) -> None:
        """From here on of this program, the same with more candidates: what was shown holds of it too."""
        self._control, self._switches, self._keeping = control, switches, keeping
        literals, bits = [*switches.values(), *keeping.values()], [*self._bits.values(), *self._keeping_bits.values()]
        self._watched = list(zip(literals, bits, strict=True))

    def is_possible(self, sorts: Iterable[str], kept: Place | None) -> bool:
        """Whether a filling exists when only these sorts of check count, with the thing at a place kept."""
        return self._trial(list(sorts), kept)[0]

    def keepable(self, sorts: Iterable[str]) -> Found[Place]:
        """The places whose thing stands in at least one filling when these sorts of check count, as far as was found in
        the time. One search: after each filling it goes on for one that keeps something else too. That there is none is
        one proof for all that is left, where a trial of each would need one for each."""
        assumed = [(self._switches[s], self._bits[s]) for s in sorts if s in self._switches]
        asked = sum(bit for _, bit in assumed)
        left = dict(self._keeping)
        try:
            with solving(self._control, [literal for literal, _ in assumed], self._patience) as search:
                for model in search.models():
                    met = self._met_by(model, asked)
                    left = {p: literal for p, literal in left.items() if not met & self._keeping_bits[p]}
                    model.context.add_clause(list(left.values()))
        except TimeUp:
            return Found(self._keeping.keys() - left.keys(), whole=False)
        return Found(self._keeping.keys() - left.keys(), whole=True)

    def minimal(self, ranked: Sequence[str], kept: Place | None) -> tuple[str, ...]:
        """The first minimal set of sorts that together leave no filling: the last of the shortest prefix of ``ranked``
        that rules it out is needed; then the same before it. ``ranked`` as a whole must leave none."""
        self._try_earlier(ranked, kept)
        found: list[str] = []
        last = len(ranked)
        while last := self._shortest(ranked[:last], found, kept):
            last -= 1
            found.append(ranked[last])
        self._earlier.append(tuple(found))
        return tuple(reversed(found))

    def _try_earlier(self, ranked: Sequence[str], kept: Place | None) -> None:
        """What ruled out another thing often rules out this one too: a short proof to begin with."""
        known = set(ranked)
        for sorts in self._earlier[: -1 - GUESSES : -1]:
            if known.issuperset(sorts) and not self._trial(sorts, kept)[0]:
                break

    def _shortest(self, ranked: Sequence[str], beside: Sequence[str], kept: Place | None) -> int:
        """How many of the first checks are needed, beside some, to rule it out; more never make it possible again."""
        bits = [self._bits.get(sort, 0) for sort in ranked]
        length = len(ranked)
        while length:
            possible, shown = self._trial([*beside, *ranked[: length - 1]], kept)
            if possible:
                return length
            # the proof needs no check after the last one that it cites
            length = next((i for i in range(length - 1, 0, -1) if shown & bits[i - 1]), 0)
        return 0

    def _trial(self, sorts: Sequence[str], kept: Place | None) -> tuple[bool, int]:
        """Whether it is possible; what the filling meets and keeps, or what rules it out."""
        if kept is not None and kept not in self._keeping:
            return False, 0
        asked = self._keeping_bits[kept] if kept is not None else 0
        for sort in sorts:
            asked |= self._bits.get(sort, 0)
        met = next((met for met in self._met if not asked & ~met), None)
        if met is not None:
            return True, met
        proof = next((proof for proof in self._proofs if not proof & ~asked), None)
        if proof is not None:
            return False, proof
        return self._solve(sorts, kept, asked)

    def _solve(self, sorts: Sequence[str], kept: Place | None, asked: int) -> tuple[bool, int]:
        while True:
            assumed = [(self._switches[s], self._bits[s]) for s in sorts if s in self._switches]
            if kept is not None:
                assumed.insert(0, (self._keeping[kept], self._keeping_bits[kept]))
            with solving(self._control, [literal for literal, _ in assumed], self._patience) as search:
                model = next(search.models(), None)
                if model is not None:
                    return True, self._met_by(model, asked)
                core = set(search.handle.core())
            proof = sum(bit for literal, bit in assumed if literal in core)
            keeps = kept if kept is not None and proof & self._keeping_bits[kept] else None
            if self._is_ruled_out(frozenset(s for s in sorts if proof & self._bits.get(s, 0)), keeps):
                self._proofs.append(proof)
                return False, proof

    def _met_by(self, model: clingo.Model, asked: int) -> int:
        """What a filling that was found meets and keeps; it is remembered."""
        met = asked + sum(bit for literal, bit in self._watched if not bit & asked and model.is_true(literal))
        self._met.append(met)
        return met
