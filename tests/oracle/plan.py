"""Which of the consistent fillings is best, and what every one of them changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import combinations
from typing import NamedTuple

from tests.oracle.fillings import Consistent
from tests.oracle.known import Thing
from tests.oracle.motion import Choice, Effects, Filling
from tests.oracle.prices import offers_of, old_parts, price
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
    levels of the best filling that keeps a place's thing.  `others`: the levels of fillings that are
    as well known as the best and renew nothing needlessly by its own number.
    """

    best: list[Filling] = field(default_factory=list)
    levels: Levels | None = None
    forced_by_fit: frozenset[Place] = frozenset()
    forced_by_known: frozenset[Place] = frozenset()
    others: frozenset[Levels] = frozenset()
    keeping: dict[Place, Levels] = field(default_factory=dict)
    consistent: int = 0


class Swap(Consistent):
    """A request on a vehicle: its consistent fillings, how good each is, and the answer."""

    # ---------------------------------------------------------------------------------- preference

    def replaced(self, filling: Filling) -> int:
        """Positions that are new, or whose thing goes, and that cost something."""
        effects = self.after(filling)
        new = sum(place not in effects.here and choice is not None and not self._had_to_go(filling, place)
                  for place, choice in filling.items())  # fmt: skip
        bought_again = self.pressed_into_what_is_bought_again(filling)
        gone = [
            place
            for place in effects.gone - (effects.pressed_out - bought_again)
            if not self.freed(filling, place) and not self.is_due(place)
        ]
        one_use = [place for place in gone if self.one_use(place) and place not in bought_again]
        return new + len(gone) - len(one_use) + self._one_use_paid(filling, one_use)

    def _had_to_go(self, filling: Filling, place: Place) -> bool:
        """What is perhaps there and is replaced because it is due, or is pressed into a carrier that goes."""
        if place not in self.perhaps or self.is_due(place):
            return place in self.perhaps
        carrier = self.carrier(place)
        return self.after(filling).presses_out(place) and carrier is not None and not self._again(filling, carrier)

    def _again(self, filling: Filling, carrier: Place) -> bool:
        """Whether a sound carrier that is not due is replaced by its own number."""
        choice = filling.get(carrier)
        return choice is not None and self.same_again(choice, carrier) and not self.is_due(carrier)

    def pressed_into_what_is_bought_again(self, filling: Filling) -> set[Place]:
        """What is pressed into a sound carrier that is not due and is replaced by its own number."""
        found = set()
        for place in self.after(filling).pressed_out:
            carrier = self.carrier(place)
            assert carrier is not None
            if self._again(filling, carrier):
                found.add(place)
        return found

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

        A chain ends in a part that is due, counted, freed by the layout, or not one-use, or where nothing was.
        """
        effects = self.after(filling)
        found = {
            place
            for place in effects.gone
            if place in counted
            or self.is_due(place)
            or self.freed(filling, place)
            or not (self.one_use(place) or place in effects.pressed_out)
        } | self.pressed_into_what_is_bought_again(filling)
        found |= effects.new
        growing = True
        while growing:
            more = {p for p in effects.here if p not in found and self._why(effects, p) & found}
            found |= more
            growing = bool(more)
        return found

    def _why(self, effects: Effects, place: Place) -> set[Place]:
        """Other places because of which a thing moves, is pressed out, is disturbed or comes off."""
        if place in effects.moving:
            return effects.lost[place]
        found = effects.causes[place] | effects.reached[place] if place in effects.reached else set()
        carrier = self.carrier(place)
        return found | {carrier} if carrier is not None and place in effects.pressed_out else found

    def bought(self, filling: Filling) -> dict[str, int]:
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
        unproven = sum(result.verdict.is_unproven for result in results) - unsupported
        offers = offers_of(self.world, self.request.avoid)
        lines = self.bought(filling)
        old = old_parts(self.world, (place for place in self.after(filling).gone if self.is_recorded(place)))
        return Levels(
            unsupported,
            self.replaced(filling),
            unproven,
            sum(number not in offers for number in lines),
            price(self.world, offers, lines, old),
        )

    def order(self, levels: Levels) -> list[int]:
        """What fillings are compared by: the levels in the order that is asked for.

        The first stays the first, and prices are only compared of plans with as many lines that nobody offers.
        """
        names = {"changes": 1, "unproven": 2, "unoffered": 3, "price": 4}
        asked = [names[name] for name in self.request.prefer]
        if 4 in asked and 3 not in asked[: asked.index(4)]:
            asked = [i for level in asked if level != 3 for i in ((3, 4) if level == 4 else (level,))]
        return [levels[i] for i in (0, *asked, *(i for i in names.values() if i not in asked))]

    def numbers(self, filling: Filling) -> tuple[tuple[bool, str], ...]:
        """The part numbers in the layout's order of positions; an empty one comes last."""
        return tuple(
            (True, "") if choice is None else (False, choice.thing.number)
            for choice in (filling[place] for place in self.world.places)
        )

    def plans(self, found: list[Filling]) -> list[Filling]:
        """The consistent fillings `found` but for those that replace what is not recorded for no other reason.

        Where it could as well stay, and all else be as it is, nothing but its not being recorded speaks for another.
        """
        blanks = {**{p: self.there[p] for p in self.there if not self.is_recorded(p)}, **self.perhaps}
        if not blanks:
            return found
        consistent = {(one.arrangements, tuple(one[place] for place in self.world.places)) for one in found}
        return [one for one in found if not any(key in consistent for key in self._with_blanks_back(one, blanks))]

    def has_use_for(self, thing: Thing) -> bool:
        """Whether a thing stays."""
        return thing.stays

    def _with_blanks_back(self, filling: Filling, blanks: dict[Place, Thing]) -> Iterator[object]:
        """The filling with some of what is not recorded left where it is."""
        taken = [p for p in blanks if (choice := filling.get(p)) is not None and not self.has_use_for(choice.thing)]
        for size in range(1, len(taken) + 1):
            for back in combinations(taken, size):
                yield (
                    filling.arrangements,
                    tuple(Choice(blanks[p]) if p in back else filling[p] for p in self.world.places),
                )

    def unknowns_of_keeping(self, place: Place) -> list[set[str]]:
        """The checks that are not known without even a claim, in each best filling that keeps a place's thing."""
        best: Levels | None = None
        found: list[set[str]] = []
        for filling in self.fillings():
            if not self.keeps(filling, place):
                continue
            levels = self.levels(filling)
            if best is None or self.order(levels) < self.order(best):
                best, found = levels, []
            if levels == best:
                results = (*self.joint_results(filling).items(), *self.stack_results(filling).items())
                found.append({name for (name, _), result in results if result.unsupported})
        return found

    def answer(self) -> Answer:
        """The best plan, and what every plan changes."""
        answer = Answer()
        best_key: tuple[list[int], int, tuple[tuple[bool, str], ...], tuple[bool, ...]] | None = None
        seen: set[Levels] = set()
        found = list(self.fillings())
        plans = {id(one) for one in self.plans(found)}
        for filling in found:
            answer.consistent += 1
            levels = self.levels(filling)
            for place in self.there:
                if self.keeps(filling, place):
                    answer.keeping[place] = min(levels, answer.keeping.get(place, levels), key=self.order)
            if id(filling) not in plans:
                continue
            if not self.renews_needlessly(filling):
                seen.add(levels)
            works = sum(choice is not None and choice.worked for choice in filling.values())
            other = tuple(bool(self.own & {*c.arrangements} - filling.arrangements) for c in self.world.choices)
            key = (self.order(levels), works, self.numbers(filling), other)
            if best_key is None or key < best_key:
                best_key, answer.best, answer.levels = key, [filling], levels
            elif key == best_key:
                answer.best.append(filling)
        if answer.levels is None:
            return answer
        least = answer.levels.unsupported
        answer.forced_by_fit = frozenset(place for place in self.there if place not in answer.keeping)
        answer.forced_by_known = frozenset(
            place for place, levels in answer.keeping.items() if levels.unsupported > least
        )
        answer.others = frozenset(one for one in seen if one.unsupported == least)
        return answer

    def others(self, answer: Answer, most: int) -> list[Levels]:
        """The levels of the next best plans, each of which is better on some level than every one before it."""
        found: list[Levels] = []
        rest, last = set(answer.others), answer.levels
        while last is not None and len(found) < most:
            rest = {one for one in rest if not _no_worse(last, one)}
            last = min(rest, key=self.order) if rest else None
            found += [last] if last is not None else []
        return found


def _no_worse(one: Levels, other: Levels) -> bool:
    """On no level worse.  A plan with more lines that nobody offers is never the cheaper one."""
    fewer = one.replaced <= other.replaced and one.unproven <= other.unproven
    return fewer and (one.not_offered, one.price) <= (other.not_offered, other.price)
