"""What a part for a place has to be, asked twice: how every recorded part comes out, and whether the windows say so.

The windows are only read from the answer. A part made to lie in them, or just outside, is judged here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import TYPE_CHECKING

from knockon.queries.plan.needs import NeedsAnswer, plan_needs
from knockon.queries.plan.openings.specified import ASKED, REQUIRED, SUPPORTING, Limit, Specification, Window
from tests.oracle.engine import Comparison, request_for_engine, spoken
from tests.oracle.fillings import stack_places
from tests.oracle.generate import Case
from tests.oracle.known import Thing, beliefs_in_feature, believed
from tests.oracle.motion import Choice, Filling
from tests.oracle.plan import Swap
from tests.oracle.verdict import Verdict, in_window, judge_joint, judge_stack
from tests.oracle.world import Cell, Mark, Place, Row, Size, Thread, Value, World
from tests.oracle.world import Window as Limits

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

AGREES = (Verdict.FITS, Verdict.ON_PAPER)
MEETS, MAY_MEET, NO = "meets", "may meet", "no"
WORST_FIRST = (NO, MAY_MEET, MEETS)
MADE = "MADE"
"""A part that is made to lie in the windows."""


class Needed:
    """One case, and what a part for one of its positions has to be in the best plan."""

    def __init__(self, case: Case, catalogue: Catalogue, filling: Filling, position: str) -> None:
        world, vehicle, request = case
        self.world = replace(world, claims=(), notes=())  # by sizes alone
        self.case, self.filling, self.position = case, filling, world.position[position]
        self.swap = Swap(self.world, vehicle, request)
        self.theirs: NeedsAnswer = plan_needs(catalogue, vehicle.name, request_for_engine(world, request), position)
        self.places = [p for p in world.places if p[0] == position and self._stands()]

    def _stands(self) -> bool:
        return self.position.arrangement in ("", *self.filling.arrangements)

    # ------------------------------------------------------------------------- every recorded part

    def differences(self) -> Iterator[str]:
        """Where a recorded part comes out otherwise."""
        theirs = {r.number: r.outcome for r in (*self.theirs.meets, *self.theirs.may_meet)}
        nearly = {r.number for r in self.theirs.nearly}
        ours = self.outcomes()
        for number, outcome in ours.items():
            said = theirs.get(number, NO)
            if said != outcome:
                yield f"{self.position.name}, {number}: ours {outcome}, theirs {said}"
        there = {*theirs, *nearly}
        if there - ours.keys() or len(there) + self.theirs.others != len(ours):
            yield f"{self.position.name}: ours {sorted(ours)}, theirs {sorted(there)} and {self.theirs.others}"

    def outcomes(self) -> dict[str, str]:
        """Of each part, and set, for the position the worst of the places in which it can stand."""
        found: dict[str, str] = {}
        for place in self.places:
            for choice in self._choices(place):
                outcome = self.outcome(place, choice)
                before = found.get(choice.thing.number, outcome)
                found[choice.thing.number] = min(before, outcome, key=WORST_FIRST.index)
        return found

    def _choices(self, place: Place) -> list[Choice]:
        world, avoid = self.world, self.case.request.avoid
        parts = [p for p in world.parts if p.part_type == self.position.part_type and p.hand in ("either", place[1])]
        parts = parts if place[1] else [p for p in world.parts if p.part_type == self.position.part_type]
        sets = [
            one for one in world.sets if any(m.position == place[0] and m.side in ("", place[1]) for m in one.members)
        ]
        found = [Choice(Thing(p.number, (self.swap.drawing(p.number),))) for p in parts]
        found += [Choice(self.swap.member(one, place), one.number) for one in sets]
        return [c for c in found if c.thing.number not in avoid]

    def outcome(self, place: Place, choice: Choice, world: World | None = None) -> str:
        """How a thing comes out in a place beside the rest of the filling."""
        verdicts = [*self._verdicts(place, choice, world or self.world)]
        if any(v.is_no for v in verdicts):
            return NO
        return MEETS if all(v in AGREES for v in verdicts) else MAY_MEET

    def _verdicts(self, place: Place, choice: Choice, world: World) -> Iterator[Verdict]:
        there = Filling(self.filling.arrangements, {**self.filling, place: choice})
        for joint, ends in self.swap.joints:
            one, other = (there.get(end) for end in ends)
            held = joint.arrangement in ("", *there.arrangements)
            if place in ends and one is not None and other is not None and held:
                stated = bool(one.set_number) and one.set_number == other.set_number and not one.thing.stays
                stated = stated and not other.thing.stays and joint.name in world.set_named[one.set_number].states
                apart = [replace(c.thing, number=f"{c.thing.number} {n}") for n, c in enumerate((one, other))]
                yield judge_joint(world, joint, apart[0], apart[1], stated).verdict  # that a set is one is a claim too
        for stack, side in self.swap.stacks:
            places = stack_places(world, stack, side)
            if place in places and stack.arrangement in ("", *there.arrangements):
                things = {p[0]: c.thing for p in places if (c := there.get(p)) is not None}
                stated = self._is_stated(stack.name, [there.get(p) for p in places], places)
                yield judge_stack(world, self.swap._limited(stack, side), things, stated).verdict
        yield from self._wishes(place, choice, world)
        yield from self._demands(place, choice, world)

    def _is_stated(self, name: str, there: list[Choice | None], places: list[Place]) -> bool:
        """A set, new, states it, and fills all of its own places in it."""
        for one in there:
            if one is None or not one.set_number or one.thing.stays:
                continue
            made = self.world.set_named[one.set_number]
            own = [(m.position, m.side) for m in made.members]
            where = [
                c for p, c in zip(places, there, strict=True) if any(p[0] == n and s in ("", p[1]) for n, s in own)
            ]
            if name in made.states and all(c is not None and c.set_number == one.set_number for c in where):
                return not any("yet to be found" in c.thing.number for c in there if c is not None)
        return False

    def _wishes(self, place: Place, choice: Choice, world: World) -> Iterator[Verdict]:
        for wish in self.case.request.properties:
            if wish.position != place[0]:
                continue
            if self._has(choice.thing, wish, world):
                yield Verdict.FITS
                continue
            features = {f for owner, f in world.rows_of if owner in choice.thing.records}
            sizes = [s for f in features for s in believed(world, choice.thing, f, wish.dimension).statements]
            outside = [isinstance(s, Size) and in_window(s.low, s.high, wish.window) is False for s in sizes]
            yield Verdict.DOES_NOT_FIT if outside and all(outside) else Verdict.NOT_KNOWN

    def _has(self, thing: Thing, wish: object, world: World) -> bool:
        return Swap(world, self.case.vehicle, self.case.request)._has(thing, wish)  # type: ignore[arg-type]

    def _demands(self, place: Place, choice: Choice, world: World) -> Iterator[Verdict]:
        """What the plan leaves empty is needed with no part that has the feature, and the other way round."""
        for position in world.positions:
            if not position.lacking_feature or position.need != "with":
                continue
            if position.arrangement not in ("", *self.filling.arrangements):
                continue
            for other in (p for p in world.places if p[0] == position.name):
                if place not in self.swap.goes_with(position, other[1]):
                    continue
                feature, filled = position.lacking_feature, self.filling.get(other) is not None
                beliefs = beliefs_in_feature(world, choice.thing, feature)
                recorded = any((owner, feature) in world.rows_of for owner in choice.thing.records)
                if beliefs == (False, True) or (filled and not recorded):
                    yield Verdict.NOT_KNOWN
                else:
                    yield Verdict.FITS if (beliefs == (False,)) is filled else Verdict.DOES_NOT_FIT

    # -------------------------------------------------------------------------- what the windows say

    def windows_differ(self) -> Iterator[str]:
        """Where the windows say otherwise than the verdicts of recorded parts, or of parts made to lie in them."""
        for spec in self.theirs.specifications:
            for place in [p for p in self.places if spoken(p) in spec.places]:
                for choice in self._choices(place):
                    yield from self._part_differs(spec, place, choice)
                yield from self._made_differ(spec, place)

    def _part_differs(self, spec: Specification, place: Place, choice: Choice) -> Iterator[str]:
        outcome, thing = self.outcome(place, choice), choice.thing
        said = [self._state(window, thing) for window in spec.windows]
        where = f"{spoken(place)}, {thing.number}: {outcome}"
        required = [s for s, w in zip(said, spec.windows, strict=True) if w.need == REQUIRED]
        if outcome == MEETS and not choice.set_number:
            if not spec.is_possible:
                yield f"{where}, though no part can"
            noes = [w for w in spec.windows if self._is_beyond(w, thing)]
            codes = [s for s, w in zip(said, spec.windows, strict=True) if w.need == SUPPORTING and w.codes]
            if not all(s is True for s in required) or noes or any(s is False for s in codes):
                outside = [(s, w) for s, w in zip(said, spec.windows, strict=True) if s is not True]
                yield f"{where}, outside of {outside}"
            if any(beliefs_in_feature(self.world, thing, f) != (True,) for f in spec.features):
                yield f"{where}, without a feature of {spec.features}"
        elif outcome != NO and any(self._is_beyond(w, thing) for w in spec.windows):
            yield f"{where}, beyond what is a no: {[w for w in spec.windows if self._is_beyond(w, thing)]}"
        elif outcome != MEETS and spec.is_possible and not spec.stated and not spec.demands:
            whole = all(beliefs_in_feature(self.world, thing, f) == (True,) for f in spec.features)
            whole = whole and all((o, f) in self.world.rows_of for f in spec.features for o in thing.records[:1])
            sure = all(w.sure for w in spec.windows if w.need == REQUIRED)
            if whole and sure and all(s is True for s in said):
                yield f"{where}, though all windows hold it: {spec.windows}"

    def _state(self, window: Window, thing: Thing) -> bool | None:
        """Whether all that is said of the size lies in the window; None where it is not recorded, or straddles."""
        if window.need == ASKED:
            said = [
                self._all_in(window, list(believed(self.world, thing, f, window.dimension).statements))
                for f in {feature for owner, feature in self.world.rows_of if owner in thing.records}
            ]
            return True in said or None
        return self._all_in(window, [*self._values(window, thing)])

    def _is_beyond(self, window: Window, thing: Thing) -> bool:
        """Whether all that is said of the size, measured, is a no by the window."""
        values = self._values(window, thing)
        sizes = [s for s in values if isinstance(s, Size) and not s.nominal]
        limits = Limits(window.no_below, window.no_above)  # type: ignore[arg-type]
        return (
            bool(values) and len(sizes) == len(values) and all(in_window(s.low, s.high, limits) is False for s in sizes)
        )

    def _values(self, window: Window, thing: Thing) -> tuple[Value, ...]:
        return believed(self.world, thing, window.feature, window.dimension.partition(".")[0]).statements

    def _all_in(self, window: Window, values: list[Value]) -> bool | None:
        if not values:
            return None
        states = {_in(window, value) for value in values}
        return states.pop() if len(states) == 1 else None

    # ----------------------------------------------------------------------------------- parts made up

    def _made_differ(self, spec: Specification, place: Place) -> Iterator[str]:
        """A part with each size at an end of its window meets it; with one size just outside it does not."""
        windows = spec.windows
        unjudged = any((w.nominal_open and not w.sure) or w.need == ASKED for w in windows)
        ends = self._ends_of_all(windows)
        if not spec.is_possible or unjudged or not all(ends.values()):
            return
        for which in range(2):
            sizes = {key: found[which % len(found)] for key, found in ends.items()}
            outcome = self._of_made(spec, place, sizes)
            if outcome not in self._expected(spec):
                yield f"{spoken(place)}: {sizes} in all windows {outcome}: {_short(spec)}"
        for window in windows:
            judged = window.need == REQUIRED and window.sure and not window.codes
            for outside in _outside(window) if judged else ():
                sizes = {key: found[0] for key, found in ends.items()}
                sizes[window.feature, window.dimension] = Size(outside, outside)
                if self._of_made(spec, place, sizes) == MEETS:
                    yield f"{spoken(place)}: {outside} is outside of {window}, and meets it"

    @staticmethod
    def _expected(spec: Specification) -> tuple[str, ...]:
        """How a part in all windows may come out: where sums of several sizes have limits, that is their own matter."""
        if any(s.low is not None or s.high is not None for s in spec.stated):
            return (MEETS, MAY_MEET, NO)
        if spec.stated or not all(w.sure for w in spec.windows if w.need == REQUIRED or w.codes):
            return (MEETS, MAY_MEET)
        return (MEETS,)

    def _ends_of_all(self, windows: tuple[Window, ...]) -> dict[tuple[str, str], list[Cell]]:
        together: dict[tuple[str, str], list[Window]] = {}
        for window in windows:
            together.setdefault((window.feature, window.dimension), []).append(window)
        return {key: self._ends(found) for key, found in together.items()}

    def _ends(self, windows: list[Window]) -> list[Cell]:
        """The ends of what several windows of one size leave: both, or one and a bit further if there is no other."""
        codes = [{c.code.casefold() for c in w.codes} for w in windows if w.codes]
        if codes:
            shared = sorted(set.intersection(*codes))
            return [self._code(windows[0], code) for code in shared]
        lows = [w.low.value for w in windows if w.low is not None and w.low.value is not None]
        highs = [w.high.value for w in windows if w.high is not None and w.high.value is not None]
        low, high = (max(lows) if lows else None), (min(highs) if highs else None)
        low = max(low, 0.0) if low is not None else None
        if high is not None and high < (low or 0.0):
            return []
        if low is None and high is None:
            return [Size(5, 5)]
        first = low if low is not None else max(0.0, (high or 0.0) - 1)
        last = high if high is not None else first + 1
        whole = [x for x in (first, last) if x == int(x)]
        return [Size(int(x), int(x)) for x in whole]

    @staticmethod
    def _code(window: Window, code: str) -> Cell:
        if "." in window.dimension:
            return Thread("LH" if code.startswith("l") else "RH")
        return code

    def _of_made(self, spec: Specification, place: Place, sizes: dict[tuple[str, str], Cell]) -> str:
        """How a new part with these sizes comes out, said by the best source that is not about a thing."""
        source = next(s.name for s in self.world.sources if s.standing == "drawing")
        cells: dict[str, list[tuple[str, Cell]]] = {feature: [] for feature in spec.features}
        for (feature, dimension), cell in sizes.items():
            cells[feature].append((dimension.partition(".")[0], cell))
        kinds = {row.feature: row.kind for row in self.world.rows}
        rows = [Row(MADE, f, kinds.get(f, ""), tuple(found), source) for f, found in cells.items()]
        rows += [
            Row(MADE, d.feature, kinds.get(d.feature, self.world.kinds[0].name), (("width", Mark.ABSENT),), source)
            for d in spec.demands
            if not d.there
        ]
        world = replace(self.world, rows=(*self.world.rows, *rows))
        return self.outcome(place, Choice(Thing(MADE, (MADE,))), world)


def _short(spec: Specification) -> str:
    windows = [
        (w.feature, w.dimension, w.need, _limits(w.low, w.high), [c.code for c in w.codes], w.sure)
        for w in spec.windows
    ]
    return f"{windows} {spec.stated}"


def _in(window: Window, value: Value) -> bool | None:
    """Whether one statement lies in a window, by its ends."""
    if isinstance(value, Thread):
        hands = {code.code.casefold()[:1] for code in window.codes}
        same = (value.hand or "RH")[:1].casefold() in hands
        taken = not value.hand or any(code.assumed for code in window.codes)  # usual right on one side: open
        return True if same and len(hands) == 1 else None if taken or len(hands) > 1 else False
    if isinstance(value, str):
        codes = {code.code.casefold() for code in window.codes}
        return (value.casefold() in codes) if len(codes) == 1 else None
    low, high = window.low, window.high
    if value.nominal and not window.nominal_same:
        low, high = window.nominal_low, window.nominal_high
        if window.nominal_open and in_window(value.low, value.high, _limits(low, high)) is True:
            return None
    return in_window(value.low, value.high, _limits(low, high))


def _limits(low: Limit | None, high: Limit | None) -> Limits:
    return Limits(low.value if low else None, high.value if high else None)  # type: ignore[arg-type]


def _outside(window: Window) -> Iterator[int]:
    """Whole sizes just below and above a window; none below zero."""
    if window.low is not None and window.low.value is not None and window.low.value == int(window.low.value) > 0:
        yield int(window.low.value) - 1
    if window.high is not None and window.high.value is not None and window.high.value == int(window.high.value) >= 0:
        yield int(window.high.value) + 1


def needed(case: Case, catalogue: Catalogue) -> Iterator[Needed]:
    """Every position of a case's best plan; none where there is no plan."""
    comparison = _Planned(case, catalogue)
    filling = comparison.filling()
    for position in case.world.positions if filling is not None else ():
        assert filling is not None
        yield Needed(case, catalogue, filling, position.name)


class _Planned(Comparison):
    """The program's plan as a filling of ours: not whether it is the best, which another test asks."""

    def __init__(self, case: Case, catalogue: Catalogue) -> None:
        from knockon.queries.plan.swap import plan_swap

        self.case, self.swap = case, Swap(*case)
        request = request_for_engine(case.world, case.request)
        self.theirs = plan_swap(catalogue, case.vehicle.name, request, alternatives=0, reasons=False)

    def filling(self) -> Filling | None:
        """Their plan, each thing one of our candidates."""
        if self.theirs.plan is None:
            return None
        theirs, world = self._their_filling(), self.case.world
        held = frozenset(self.theirs.plan.arrangement.each)
        ways = [way for way in world.ways if held <= way]
        arrangements = next(w for w in ways if all(world.position[p[0]].arrangement in ("", *w) for p in theirs))
        found: dict[Place, Choice | None] = dict.fromkeys(world.places)
        for place, side in product(world.positions, ("left", "right", "")):
            at = (place.name, side)
            if at in theirs:
                choices = self.swap.candidates(place, side)
                found[at] = next(c for c in choices if (c.thing.number, c.thing.stays, bool(c.worked)) == theirs[at])
        return Filling(arrangements, found)
