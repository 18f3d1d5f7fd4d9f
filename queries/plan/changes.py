"""What becomes of each place: forced, chosen, renewed, moved over, kept, freed or new, with causes and minimal
reasons."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import ON_THE_ITEM
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import column_of
from knockon.queries.fits.as_it_stands import noes_at
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.standing import is_recorded
from knockon.queries.plan.reasons.reasons import Reason, Reasoner
from knockon.queries.plan.reasons.shown import buildable
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.movement import Movement
from knockon.queries.plan.solving.patience import MAY_STAY, REASONS, Found
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.undecided import FORCED, KEEPING, REASON, RESTS_ON, Undecided
from knockon.queries.plan.solving.unproven import Unknown, unknowns_of

FORCED_BY_FIT, FORCED_BY_KNOWN = "forced by fit", "forced by what is known"
UNDECIDED = "not decided"
"""Whether it is forced or only chosen was not decided in the time."""
CHOSEN, RENEWED, NEW, FREED = "chosen", "renewed", "new", "freed"
DUE = "due"
ONE_USE = "one use: a joint of it is undone"
KEPT, MOVED_OVER, KEPT_AFTER_WORK = "kept", "moved over", "kept after work"
TAKEN_OFF = "taken off"
"""Comes off to reach another place, and is put back."""


class Change(msgspec.Struct, frozen=True):
    """What becomes of one place.

    ``cause`` says in words why a thing is renewed or what work keeps it; ``reason`` proves a forced change;
    ``keeping`` are the levels' costs of the best plan that keeps a chosen change's old part, or renews a due part by
    its own number where this plan takes another; ``rests_on`` names the unknowns that such
    a plan
    would rest on where the change is forced by what is known; ``also`` are the checks beside the reason that are a
    no when the
    old part of a forced change stands among the new ones. ``not_recorded``: nobody recorded what is there now.
    """

    place: Place
    position: str
    side: str
    part_type: str
    group: str
    status: str
    old: str
    new: str
    cause: str = ""
    reason: Reason | None = None
    keeping: dict[str, int] | None = None
    rests_on: tuple[Unknown, ...] = ()
    evidence: tuple[Evidence, ...] = ()
    also: tuple[Evidence, ...] = ()
    not_recorded: bool = False


class Findings(msgspec.Struct, frozen=True):
    """What the vehicle as found shows before anything is changed: joints and figures that are a no, unknown states, and
    the needed places of which nothing is recorded."""

    wrong: tuple[Evidence, ...] = ()
    unknown_condition: tuple[Place, ...] = ()
    measured: tuple[str, ...] = ()
    not_recorded: tuple[Place, ...] = ()


NOTHING_FOUND = Findings()


def changes_of(
    planner: Planner,
    filling: Filling,
    asked: Sequence[Place],
    with_reasons: bool = True,
    undecided: Undecided | None = None,
) -> tuple[Change, ...]:
    """All places of the layout that had or get something, in the layout's order; ``undecided`` is told what could not
    be decided of them in the time."""
    undecided = undecided or Undecided(planner.patience)
    teller = _Teller(planner, filling, Reasoner(planner, filling, asked), with_reasons, undecided)
    found, places = [], planner.problem.places.all
    for done, place in enumerate(places):
        if with_reasons:
            planner.patience.heard(REASONS, done, len(places))
        change = teller.change(place)
        found += [change] if change is not None else []
    return tuple(found)


def plain_status(movement: Movement, place: Place, old: Candidate | None, new: Candidate | None) -> str:
    """What becomes of a place where that hangs on this filling alone: blank of what is replaced or given up, which may
    be forced or chosen."""
    if old is None:
        return NEW
    if new is None and place in movement.released:
        return FREED
    if new is not None and new.stays:
        if new.work or place in movement.moved:
            return KEPT_AFTER_WORK if new.work else MOVED_OVER
        return TAKEN_OFF if any(off == place for off, _, _ in movement.comes_off) else KEPT
    return ""


def there_now(problem: Problem, filling: Filling, place: Place) -> Candidate | None:
    """What a place of the vehicle holds before the filling changes it; None if nothing."""
    new = filling.chosen.get(place)
    there = place in problem.found or (new is not None and new.stays)
    return problem.staying(place) if there else None


def positions_changed(problem: Problem, filling: Filling) -> set[str]:
    """The positions where something changes, comes off or moves over."""
    ends = ((p, there_now(problem, filling, p), filling.chosen.get(p)) for p in problem.places.all)
    return {
        place.position
        for place, old, new in ends
        if (old is not None or new is not None) and plain_status(filling.movement, place, old, new) != KEPT
    }


class _Teller:
    def __init__(
        self, planner: Planner, filling: Filling, reasoner: Reasoner, with_reasons: bool, undecided: Undecided
    ) -> None:
        self.planner, self.filling, self.reasoner, self.with_reasons = planner, filling, reasoner, with_reasons
        self.undecided = undecided
        self.problem = planner.problem
        self.movement = filling.movement
        planner.patience.heard(MAY_STAY, 0, 0)
        self.fit_allows = planner.may_stay(unknown_limited=False)
        planner.limit_unknowns(filling.costs[NOT_KNOWN])
        self.known_allows = planner.may_stay(unknown_limited=True)
        self.fit_allows = Found(self.fit_allows | self.known_allows, self.fit_allows.whole)
        self.reasons: dict[tuple[str, str, bool], Reason] = {}
        self.unknowns: dict[tuple[str, str], tuple[Unknown, ...]] = {}
        self.own_costs: dict[Place, dict[str, int] | None] = {}

    def change(self, place: Place) -> Change | None:
        new, old = self.filling.chosen.get(place), there_now(self.problem, self.filling, place)
        if old is None and new is None:
            return None
        status = self.status(place, old, new)
        position = self.problem.places.positions[place.position]
        change = Change(
            place=place,
            position=place.position,
            side=place.side,
            part_type=position.part_type,
            group=position.group,
            status=status,
            old=old.number if old else "",
            new=new.number if new else "",
            not_recorded=old is not None and not old.recorded,
        )
        return self._explained(change, place, new)

    def status(self, place: Place, old: Candidate | None, new: Candidate | None) -> str:
        """What becomes of a place, in one of the words above."""
        plain = plain_status(self.movement, place, old, new)
        if plain or old is None:
            return plain
        if self.problem.is_due(place) and old.number not in self.problem.checks.catalogue.parts:
            return RENEWED if new is not None else CHOSEN  # due, and no number to renew it by: nothing else forces it
        if place not in self.fit_allows:
            return FORCED_BY_FIT if self.fit_allows.whole else UNDECIDED
        if place not in self.known_allows:
            return FORCED_BY_KNOWN if self.known_allows.whole else UNDECIDED
        if not self.filling.proved and self.filling.costs[NOT_KNOWN]:
            return UNDECIDED  # kept with as many unknowns as here, but the best plan may have fewer
        return RENEWED if new is not None and self.cause(place) else CHOSEN

    def cause(self, place: Place) -> str:
        """Why a thing must be renewed although its kind may stay."""
        carrier = self.problem.places.carrier(place)
        if self._due(place):
            return self._due(place)
        if place in self.movement.pressed_out and carrier:
            return f"pressed into the {carrier.position}, which leaves"
        if place in self.movement.parted:
            return ONE_USE
        off = [p for p in self.problem.places.all if (place, p) in self.movement.off_with]
        return f"one use: {self.reached_by(off[0], place)}" if off else ""

    def reached_by(self, off: Place, own: Place | None = None) -> str:
        """What comes off, and to reach what; not what it comes off for only because ``own`` is reached."""
        sought = {(p, reached) for p, reached, sake in self.movement.comes_off if sake != own}
        reached = (r for p, r in self.problem.in_the_way if p == off and (p, r) in sought)
        return f"the {off.position} comes off to reach {listed_places(reached)}"

    def _due(self, place: Place) -> str:
        return DUE if self.problem.is_due(place) else ""

    def _explained(self, change: Change, place: Place, new: Candidate | None) -> Change:
        """The change with its cause, its reason, or what keeping the old part would cost."""
        status = change.status
        if status == KEPT_AFTER_WORK and new is not None:
            return replace(change, cause=new.work, evidence=self._with_the_old(place))
        if status == TAKEN_OFF:
            return replace(change, cause=self.reached_by(place))
        if status == UNDECIDED:
            self.undecided.add(FORCED, place)
            return replace(change, cause=self._due(place))
        if status == RENEWED:
            change = replace(change, cause=self.cause(place))
            return self._own_number(change, place) if self.with_reasons and change.cause == DUE else change
        return self._reasoned(change, place) if self.with_reasons else change

    def _own_number(self, change: Change, place: Place) -> Change:
        """Of a due part that another number takes the place of, though its own was possible: what that would cost."""
        if change.new == change.old or change.old not in self.problem.checks.catalogue.parts:
            return change
        costs = self.undecided.each_in_time(lambda: self._own_cost(place), None, KEEPING, place)
        return replace(change, keeping=costs)

    def _own_cost(self, place: Place) -> dict[str, int] | None:
        """What the best plan costs that renews a due part by its own number; the same for both hands where the one
        brings the other."""
        other = place.other_hand
        if other in self.own_costs and self.problem.are_renewed_together(place):
            return self.own_costs[other]
        self.own_costs[place] = self.planner.cost_of_keeping(place)
        return self.own_costs[place]

    def _cost_of_keeping(self, place: Place) -> dict[str, int] | None:
        return self.undecided.each_in_time(lambda: self.planner.cost_of_keeping(place), None, KEEPING, place)

    def _reasoned(self, change: Change, place: Place) -> Change:
        """A forced change with its reason, a chosen one with what keeping the old part would cost."""
        status = change.status
        if status == FORCED_BY_FIT:
            reason = self._reason_in_time(place, known=False)
            return replace(change, reason=reason, cause=self._due(place), also=self._also(place, reason))
        if status == FORCED_BY_KNOWN:
            reason = self._reason_in_time(place, known=True)
            return replace(
                change,
                reason=reason,
                cause=self._due(place),
                rests_on=self.undecided.each_in_time(lambda: self._rests_on(place), (), RESTS_ON, place),
                also=self._also(place, reason),
            )
        return replace(change, keeping=self._cost_of_keeping(place)) if status == CHOSEN else change

    def _reason_in_time(self, place: Place, known: bool) -> Reason | None:
        return self.undecided.each_in_time(lambda: self._reason(place, known), None, REASON, place)

    def _reason(self, place: Place, known: bool) -> Reason:
        key = (*self._key(place), known)
        if key not in self.reasons or not self._serves(key, place):
            self.reasons[key] = self.reasoner.reason(place, known)
        return self.reasons[key]

    def _serves(self, key: tuple[str, str, bool], place: Place) -> bool:
        """Whether the reason of one hand is a minimal reason for the other too."""
        names = {self.reasoner.name_of(s): s for s in (*self.problem.sorts, "arrangement", "axle", "unknown")}
        cited = [names[c] for c in self.reasons[key].cites]
        if self.planner.is_possible(cited, place):
            return False
        return all(self.planner.is_possible([c for c in cited if c != one], place) for one in cited)

    def _rests_on(self, place: Place) -> tuple[Unknown, ...]:
        """The unknowns that the best plan which keeps the thing would rest on, once for both hands."""
        key = self._key(place)
        if key not in self.unknowns:
            other = self.planner.filling_that_keeps(place)
            self.unknowns[key] = unknowns_of(self.problem, other) if other else ()
        return self.unknowns[key]

    def _key(self, place: Place) -> tuple[str, str]:
        old = self.problem.staying(place)
        return place.position, old.alike if old else ""

    def _also(self, place: Place, reason: Reason | None) -> tuple[Evidence, ...]:
        """What else the old thing does not agree with once the rest of the plan stands."""
        told = {step.sort for step in reason.steps} if reason is not None else set()
        return tuple(e for e in self._with_the_old(place) if e.check not in told)

    def _with_the_old(self, place: Place) -> tuple[Evidence, ...]:
        """The figures and joints that rule the old thing out where the rest of the plan stands."""
        old = self.problem.staying(place)
        if old is None:
            return ()
        things, lacking = buildable(self.problem, {**self.filling.chosen, place: old})
        standing = {p: c for p, c in things.items() if c is not None}
        noes = noes_at(self.problem.checks, self.problem.vehicle, standing, (place,))
        found = (e for e in noes if lacking.isdisjoint(e.places))
        return tuple(e for e in found if e.kind == "joint" or not self._is_mixed(e, place))

    def _is_mixed(self, evidence: Evidence, place: Place) -> bool:
        """Whether a sum takes one old and one new of a pair, as of two bearings: nobody would build that."""
        positions, all_places = self.problem.places.positions, self.problem.places.all
        others = (p for p in all_places if p in evidence.places and p.position != place.position)
        alike = (p for p in others if positions[p.position].part_type == positions[place.position].part_type)
        return any(c is not None and not c.stays for c in map(self.filling.chosen.get, alike))


def listed_places(places: Iterable[Place]) -> str:
    """Positions in words, each once: ``the rotor and the splash shield``."""
    names = [f"the {name}" for name in dict.fromkeys(p.position for p in places)]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def findings_of(problem: Problem) -> Findings:
    """What is wrong or unknown on the vehicle as it stands."""
    now = {p: c for p in problem.places.all if (c := problem.staying(p)) is not None}
    wrong = noes_at(problem.checks, problem.vehicle, now, now)
    unknown = tuple(p for p, f in problem.found.items() if f.condition == "unknown" and is_recorded(f))
    blank = tuple(p for p, f in problem.found.items() if not is_recorded(f))
    measured = []
    for place, candidate in now.items():
        for name, feature in problem.checks.catalogue.features_of(candidate.thing).items():
            for dimension, statements in feature.dimensions.items():
                said = column_of(dimension) if dimension.endswith(".major") else dimension
                if "." not in said:
                    own = (s for s in statements if s.rank == ON_THE_ITEM and not s.of_number)
                    measured += [f"{place}, {name}: {said} {s.written}" for s in own]
    return Findings(wrong, unknown, tuple(dict.fromkeys(measured)), blank)
