"""Asks the program the oracle's question, and names every difference between the two answers.

The only module here that knows the program; it uses the public question functions and nothing else.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from knockon.graph.model.layouts.layout import Place as EnginePlace
from knockon.graph.records import load
from knockon.queries.plan.changes import (
    CHOSEN,
    FORCED_BY_FIT,
    FORCED_BY_KNOWN,
    FREED,
    KEPT,
    KEPT_AFTER_WORK,
    MOVED_OVER,
    NEW,
    RENEWED,
    TAKEN_OFF,
    Change,
)
from knockon.queries.plan.reasons.reasons import Reason
from knockon.queries.plan.solving.request import Request as EngineRequest
from knockon.queries.plan.solving.request import Wanted
from knockon.queries.plan.swap import SwapAnswer, plan_swap
from tests.oracle.candidates import TO_BE_FOUND
from tests.oracle.generate import Case
from tests.oracle.motion import Filling, Request
from tests.oracle.plan import Answer, Swap
from tests.oracle.reasons import can_keep, needless_units
from tests.oracle.records import write_records
from tests.oracle.verdict import Verdict
from tests.oracle.world import Place, Vehicle, World, places_of

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

WORDS = {
    Verdict.DOES_NOT_FIT: "does not fit",
    Verdict.DO_NOT_USE: "goes together, do not use",
    Verdict.DISPUTED: "disputed",
    Verdict.NOT_KNOWN: "not known",
    Verdict.ON_PAPER: "fits on paper",
    Verdict.WITH_WORK: "fits with work",
    Verdict.FITS: "fits",
}

OTHER_PLANS = 3
NOT_RECORDED = "something not recorded"
"""What the program calls a thing of which nothing is recorded."""


def loaded(*worlds: World) -> Catalogue:
    """The catalogue that the program reads from the worlds' records; no row may be set aside."""
    with tempfile.TemporaryDirectory() as folder:
        write_records(Path(folder), *worlds)
        records = load(Path(folder))
    set_aside = [finding for finding in records.findings if finding.set_aside]
    assert not set_aside, set_aside
    return records.catalogue


def spoken(place: Place) -> str:
    """A place as the program writes it."""
    return f"{place[1]} {place[0]}".strip()


def request_for_engine(world: World, request: Request) -> EngineRequest:
    """The same request in the program's own words."""

    def places(name: str) -> tuple[EnginePlace, ...]:
        return tuple(EnginePlace(*place) for place in places_of(world.position[name]))

    wants = [
        Wanted(f"{name}={part}", places(name), tuple(n for n in (part, _mirror(world, part)) if n))
        for name, part in request.wants
    ]
    wants += [
        Wanted(
            f"{one.position}.{one.dimension}",
            places(one.position),
            dimension=one.dimension,
            low=None if one.window.low is None else float(one.window.low),
            high=None if one.window.high is None else float(one.window.high),
        )
        for one in request.properties
    ]
    return EngineRequest(
        wants=tuple(wants),
        keep=tuple(place for name in request.keep for place in places(name)),
        renew=tuple(place for name in request.renew for place in places(name)),
        avoid=tuple(sorted(request.avoid)),
        prefer=request.prefer,
        arrangements=request.arrangements,
    )


def _mirror(world: World, number: str) -> str:
    return world.part[number].mirror_of if number in world.part else ""


class Comparison:
    """One case answered twice."""

    def __init__(self, case: Case, catalogue: Catalogue | None = None) -> None:
        self.case = case
        self.swap = Swap(*case)
        self.ours: Answer = self.swap.answer()
        self.theirs: SwapAnswer = plan_swap(
            catalogue or loaded(case.world),
            case.vehicle.name,
            request_for_engine(case.world, case.request),
        )

    def differences(self) -> list[str]:
        """Every difference, in words; empty where the two agree."""
        if self.theirs.plan is None or self.ours.levels is None:
            if (self.theirs.plan is None) == (self.ours.levels is None):
                return list(self._why_none())
            ours = [said(self.swap, one) for one in self.ours.best]
            return [f"a plan: ours {ours}, theirs {self.theirs.plan}"]
        return [
            *self._plan(),
            *self._unproven(),
            *self._statuses(),
            *self._keeping(),
            *self._order(),
            *self._alternatives(),
            *self._forced(),
            *self._reasons(),
            *self._rests_on(),
            *self._why_unknown(),
            *self._given_up(),
        ]

    # ------------------------------------------------------------------------------------ the plan

    def _their_filling(self) -> dict[Place, tuple[str, bool, bool]]:
        """Number, whether it stays, whether it stays after work."""
        assert self.theirs.plan is not None
        by_name = {spoken(place): place for place in self.case.world.places}
        worked = {item.name for item in self.case.world.items if item.work_on}
        return {
            by_name[f.place]: ("" if f.number == NOT_RECORDED else f.number, f.stays, f.thing in worked)
            for f in self.theirs.plan.filled
        }

    def same_filling(self) -> Filling | None:
        """Ours that is theirs, among the best."""
        if self.theirs.plan is None:
            return None
        theirs = self._their_filling()
        for filling in self.ours.best:
            if told(self.case.world, filling.arrangements) == self.theirs.plan.arrangement and theirs == {
                place: (choice.thing.number, choice.thing.stays, choice.worked)
                for place, choice in filling.items()
                if choice is not None
            }:
                return filling
        return None

    def _plan(self) -> Iterator[str]:
        assert self.theirs.plan is not None
        assert self.ours.levels is not None
        theirs = levels_of(self.theirs.plan.costs)
        if tuple(self.ours.levels) != theirs:
            yield f"levels: ours {tuple(self.ours.levels)}, theirs {theirs}"
        if self.same_filling() is None:
            ours = [said(self.swap, one) for one in self.ours.best]
            yield f"filling: ours {ours}, theirs {self.theirs.plan.arrangement} {self._their_filling()}"

    def _unproven(self) -> Iterator[str]:
        filling = self.same_filling()
        if filling is None:
            return
        assert self.theirs.plan is not None
        world, swap = self.case.world, self.swap
        ours = {
            (name, *sorted(spoken(end) for end in ends)): WORDS[result.verdict]
            for (name, ends), result in swap.joint_results(filling).items()
            if result.verdict.is_unproven
        }
        theirs = {
            (e.check, *sorted(e.places)): str(e.verdict)
            for e in self.theirs.plan.unproven
            if e.check in {joint.name for joint in world.joints}
        }
        if ours != theirs:
            yield f"unproven joints: ours {ours}, theirs {theirs}"
        stacks = sorted(
            (name, WORDS[result.verdict])
            for (name, _), result in swap.stack_results(filling).items()
            if result.verdict.is_unproven
        )
        their_stacks = sorted(
            (e.check, str(e.verdict))
            for e in self.theirs.plan.unproven
            if e.check in {stack.name for stack in world.stacks}
        )
        if stacks != their_stacks:
            yield f"unproven stacks: ours {stacks}, theirs {their_stacks}"

    # ------------------------------------------------------------ what becomes of the vehicle's things

    def _statuses(self) -> Iterator[str]:
        """What is said of things that nothing forces."""
        filling = self.same_filling()
        if filling is None:
            return
        for change in self.theirs.changes:
            place = (change.position, change.side)
            if change.status in (FORCED_BY_FIT, FORCED_BY_KNOWN):
                continue
            if change.status != (ours := self._status(filling, place)):
                yield f"status of {change.place}: ours {ours}, theirs {change.status}"

    def _status(self, filling: Filling, place: Place) -> str:
        swap = self.swap
        if place not in swap.after(filling).here:
            return NEW
        if place not in swap.after(filling).gone:
            choice = filling[place]
            if choice is not None and choice.worked:
                return KEPT_AFTER_WORK
            if place in swap.after(filling).moving:
                return MOVED_OVER
            return TAKEN_OFF if place in swap.after(filling).off else KEPT
        if swap.freed(filling, place):
            return FREED
        given_up = filling.get(place) is None
        return RENEWED if place in swap.after(filling).renewed and not given_up else CHOSEN

    def _keeping(self) -> Iterator[str]:
        """What keeping a chosen change's old part would cost."""
        for change in self.theirs.changes:
            if change.status != CHOSEN:
                continue
            ours = self.ours.keeping.get((change.position, change.side))
            theirs = None if change.keeping is None else levels_of(change.keeping)
            if theirs != (None if ours is None else tuple(ours)):
                yield f"keeping {change.place}: ours {ours}, theirs {theirs}"

    def _order(self) -> Iterator[str]:
        """Numbers and quantities to buy."""
        filling = self.same_filling()
        if filling is None or self.theirs.plan is None:
            return
        theirs: Counter[str] = Counter()
        for group in self.theirs.plan.groups:
            for line in group.lines:
                theirs[line.number or line.name + TO_BE_FOUND] += line.quantity
        if +theirs != Counter(self.swap.bought(filling)):
            yield f"order: ours {self.swap.bought(filling)}, theirs {dict(theirs)}"

    def _alternatives(self) -> Iterator[str]:
        """Other plans than which none is better in all."""
        theirs = [levels_of(other.costs) for other in self.theirs.alternatives]
        ours = [tuple(levels) for levels in self.swap.others(self.ours, OTHER_PLANS)]
        if theirs != ours:
            yield f"other plans: ours {ours}, theirs {theirs}"

    # ------------------------------------------------------------------------------ forced, reasons

    def _changed(self) -> dict[str, Change]:
        return {change.place: change for change in self.theirs.changes}

    def _forced(self) -> Iterator[str]:
        changes = self._changed()
        for status, ours in (
            (FORCED_BY_FIT, self.ours.forced_by_fit),
            (FORCED_BY_KNOWN, self.ours.forced_by_known),
        ):
            mine = {
                spoken(place)
                for place in ours
                if changes.get(spoken(place)) is None or changes[spoken(place)].status != FREED
                if not self._due_without_number(place)
            }
            theirs = {place for place, change in changes.items() if change.status == status}
            if mine != theirs:
                yield f"{status}: ours {sorted(mine)}, theirs {sorted(theirs)}"

    def _due_without_number(self, place: Place) -> bool:
        """Due, and no number to renew it by, or none recorded: it is renewed, which nothing else forces."""
        item = self.swap.fitted[place].item
        numbered = bool(self.case.world.item[item].part) if item else self.swap.is_recorded(place)
        return not numbered and self.swap.is_due(place)

    def _reasons(self) -> Iterator[str]:
        world, vehicle, request = self.case
        assert self.ours.levels is not None
        allowed = self.ours.levels.unsupported
        for change in self.theirs.changes:
            if change.reason is None:
                continue
            place = (change.position, change.side)
            units = frozenset(change.reason.cites)
            if can_keep(world, vehicle, request, [place], units, allowed):
                yield f"{change.status} {change.place}: {sorted(units)} rules nothing out"
            needless = needless_units(world, vehicle, request, [place], units, allowed)
            if needless:
                yield f"{change.status} {change.place}: of {sorted(units)} needless {sorted(needless)}"

    def _why_none(self) -> Iterator[str]:
        if self.theirs.none is not None:
            yield from self._closes("none", self.theirs.none)

    def _why_unknown(self) -> Iterator[str]:
        """Why the plan rests on unknowns: what closes every plan without any."""
        assert self.ours.levels is not None
        if (self.theirs.unknowns is None) != (not self.ours.levels.unsupported):
            yield f"why unknowns: theirs {self.theirs.unknowns}"
        elif self.theirs.unknowns is not None:
            yield from self._closes("without unknowns", self.theirs.unknowns)

    def _given_up(self) -> Iterator[str]:
        """Of which choices the vehicle's own arrangement is left unasked; what a plan would cost that keeps these."""
        filling, theirs = self.same_filling(), self.theirs.given_up
        if filling is None:
            return
        world, vehicle, request = self.case
        named = [name for name, _ in request.wants] + [one.position for one in request.properties]
        asked = {world.position[name].arrangement for name in named}.union(request.arrangements) & filling.arrangements
        lost = frozenset(one for one in self.swap.own - filling.arrangements if not world.beside(one) & asked)
        if told(world, lost) != (theirs.arrangement if theirs else ""):
            yield f"given up: ours {sorted(lost)}, theirs {theirs}"
        elif theirs is not None:
            held = replace(request, arrangements=(*request.arrangements, *sorted(lost)))
            ours = Swap(world, vehicle, held).answer().levels
            if (None if ours is None else tuple(ours)) != (theirs.costs and levels_of(theirs.costs)):
                yield f"given up {sorted(lost)}: ours {ours}, theirs {theirs}"
            assert self.ours.levels is not None
            allowed = self.ours.levels.unsupported
            if (theirs.reason is None) != (ours is not None and ours.unsupported <= allowed):
                yield f"given up {sorted(lost)}: ours {ours}, theirs {theirs.reason}"
            elif theirs.reason is not None:
                yield from self._closes("given up", theirs.reason, held, allowed)

    def _closes(self, name: str, reason: Reason, held: Request | None = None, allowed: int = 0) -> Iterator[str]:
        """Whether what a reason cites leaves no filling, and less would leave one."""
        world, vehicle, request = self.case
        units, request = frozenset(reason.cites), held or request
        if can_keep(world, vehicle, request, [], units, allowed):
            yield f"{name}: {sorted(units)} rules nothing out"
        needless = needless_units(world, vehicle, request, [], units, allowed)
        if needless:
            yield f"{name}: of {sorted(units)} needless {sorted(needless)}"

    def _rests_on(self) -> Iterator[str]:
        """The checks on which a best plan would rest that keeps what is forced by what is known."""
        for change in self.theirs.changes:
            if change.status == FORCED_BY_KNOWN:
                theirs = {one.check for one in change.rests_on}
                ours = self.swap.unknowns_of_keeping((change.position, change.side))
                if theirs not in ours:
                    yield f"{change.place} rests on: ours {ours}, theirs {theirs}"


def told(world: World, arrangements: frozenset[str]) -> str:
    """Arrangements as the program writes them: of the choices that leave one, in the order of their names."""
    left = sorted(choice for choice in world.choices if len(choice.arrangements) > 1)
    return "; ".join(one for choice in left for one in choice.arrangements if one in arrangements)


def levels_of(costs: dict[str, int]) -> tuple[float, ...]:
    """The program's costs as our levels; its price is in hundredths."""
    names = ("not known", "changes", "unproven", "unoffered")
    return (*(float(costs[name]) for name in names), costs["price"] / 100)


def said(swap: Swap, filling: Filling) -> str:
    """A filling in one line; a star marks what is new."""
    words = [
        f"{spoken(place)}: {choice.thing.number}{'' if choice.thing.stays else '*'}"
        for place, choice in filling.items()
        if choice is not None
    ]
    return f"{tuple(swap.levels(filling))} {sorted(filling.arrangements)} {', '.join(words)}"


def agreed(world: World, van: Vehicle, *wants: str, **more: Any) -> Answer:
    """The answer to a request for part numbers, each in the position named before its dot, once both give it."""
    request = Request(wants=tuple((number.split(".")[0], number) for number in wants), **more)
    vehicles = world.vehicles if van in world.vehicles else (*world.vehicles, van)
    things = {*world.part, *world.item, *world.set_named}
    # the program sets aside what speaks of nothing
    rows = tuple(row for row in world.rows if row.owner.partition("/")[0] in things)
    comparison = Comparison(Case(replace(world, vehicles=vehicles, rows=rows), van, request))
    assert not comparison.differences()
    return comparison.ours
