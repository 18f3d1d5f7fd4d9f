"""Which of the consistent fillings is best, and what every one of them changes."""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import combinations
from typing import NamedTuple

from tests.oracle.fillings import Consistent
from tests.oracle.motion import Effects, Filling
from tests.oracle.verdict import Verdict
from tests.oracle.world import Place


class Levels(NamedTuple):
    """The order of preference, smaller is better."""

    unsupported: int
    replaced: int
    unproven: int
    not_offered: int
    price: int


@dataclass
class Answer:
    """What is found for a request.

    `best`: the consistent fillings that no other beats, also not by part numbers (more than one
    only where they differ in nothing but "stays" against "the same number new").  `keeping`: the
    levels of the best filling that keeps a place's thing.  `frontier`: levels than which none is
    better in all, among fillings that renew nothing needlessly by its own number.
    """

    best: list[Filling] = field(default_factory=list)
    levels: Levels | None = None
    forced_by_fit: frozenset[Place] = frozenset()
    forced_by_known: frozenset[Place] = frozenset()
    frontier: frozenset[Levels] = frozenset()
    keeping: dict[Place, Levels] = field(default_factory=dict)
    consistent: int = 0


class Swap(Consistent):
    """A request on a vehicle: its consistent fillings, how good each is, and the answer."""

    # ---------------------------------------------------------------------------------- preference

    def replaced(self, filling: Filling) -> int:
        """Positions that are new, or whose thing goes, and that cost something."""
        new = sum(place not in self.there and choice is not None for place, choice in filling.items())
        effects = self.after(filling)
        gone = [
            place
            for place in effects.gone - effects.pressed_out
            if not self.freed(filling, place) and not self.is_due(place)
        ]
        one_use = [place for place in gone if self.one_use(place)]
        return new + len(gone) - len(one_use) + self._one_use_paid(filling, one_use)

    def freed(self, filling: Filling, place: Place) -> bool:
        """Emptied by the layout: by its arrangement, or because what it goes with is gone."""
        position = self.world.position[place[0]]
        by_layout = self._left_out(filling, position) or position.need == "with"
        return filling.get(place) is None and by_layout

    def _one_use_paid(self, filling: Filling, places: list[Place]) -> int:
        """The fewest one-use parts that must be counted so that each other one has a cause."""
        for size in range(len(places) + 1):
            for counted in combinations(places, size):
                if self._grounded(filling, set(counted)).issuperset(places):
                    return size
        raise AssertionError("counting every one of them is always enough")

    def _grounded(self, filling: Filling, counted: set[Place]) -> set[Place]:
        """What goes or moves at the end of a chain of causes.

        A chain ends in a part that is due, counted, freed by the layout, or not one-use.
        """
        effects = self.after(filling)
        found = {
            place
            for place in effects.gone
            if place in counted
            or self.is_due(place)
            or self.freed(filling, place)
            or not (self.one_use(place) or place in effects.pressed_out)
        }
        growing = True
        while growing:
            more = {p for p in self.there if p not in found and self._why(effects, p) & found}
            found |= more
            growing = bool(more)
        return found

    def _why(self, effects: Effects, place: Place) -> set[Place]:
        """Other places because of which a thing moves, is pressed out or is disturbed."""
        if place in effects.moving:
            return effects.lost[place]
        found = effects.causes[place] if self.one_use(place) else set()
        carrier = self.carrier(place)
        return found | {carrier} if carrier is not None and place in effects.pressed_out else found

    def order(self, filling: Filling) -> dict[str, int]:
        """What is bought: part or set numbers with their quantities."""
        lines: dict[str, int] = {}
        whole_axle: set[str] = set()
        corners: set[tuple[str, str]] = set()
        for (name, side), choice in filling.items():
            if choice is None or choice.thing.stays:
                continue
            number = choice.thing.number
            if not choice.set_number:
                lines[number] = lines.get(number, 0) + self.world.position[name].quantity
                continue
            if any(member.side for member in self.world.set_named[number].members):
                whole_axle.add(number)
            else:
                corners.add((number, side))
        for number in [*whole_axle, *(number for number, _ in corners)]:
            lines[number] = lines.get(number, 0) + 1
        return lines

    def levels(self, filling: Filling) -> Levels:
        """How good a consistent filling is."""
        results = self.results(filling)
        unsupported = sum(result.unsupported for result in results)
        unproven = sum(result.verdict is not Verdict.FITS for result in results) - unsupported
        prices: dict[str, int] = {}
        for offer in self.world.offers:
            prices[offer.part] = min(offer.price, prices.get(offer.part, offer.price))
        lines = self.order(filling)
        return Levels(
            unsupported,
            self.replaced(filling),
            unproven,
            sum(number not in prices for number in lines),
            sum(prices.get(number, 0) * count for number, count in lines.items()),
        )

    def numbers(self, filling: Filling) -> tuple[tuple[bool, str], ...]:
        """The part numbers in the layout's order of positions; an empty one comes last."""
        return tuple(
            (True, "") if choice is None else (False, choice.thing.number)
            for choice in (filling[place] for place in self.world.places)
        )

    def answer(self) -> Answer:
        """The best plan, and what every plan changes."""
        answer = Answer()
        best_key: tuple[Levels, tuple[tuple[bool, str], ...]] | None = None
        seen: set[Levels] = set()
        for filling in self.fillings():
            answer.consistent += 1
            levels = self.levels(filling)
            if not self.renews_needlessly(filling):
                seen.add(levels)
            key = (levels, self.numbers(filling))
            if best_key is None or key < best_key:
                best_key, answer.best = key, [filling]
            elif key == best_key:
                answer.best.append(filling)
            for place in self.there:
                if self.keeps(filling, place):
                    answer.keeping[place] = min(levels, answer.keeping.get(place, levels))
        if best_key is None:
            return answer
        answer.levels = best_key[0]
        answer.forced_by_fit = frozenset(place for place in self.there if place not in answer.keeping)
        answer.forced_by_known = frozenset(
            place for place, levels in answer.keeping.items() if levels.unsupported > best_key[0].unsupported
        )
        answer.frontier = frozenset(one for one in seen if not any(_no_worse(other, one) for other in seen - {one}))
        return answer


def _no_worse(one: Levels, other: Levels) -> bool:
    return all(a <= b for a, b in zip(one, other, strict=True))
