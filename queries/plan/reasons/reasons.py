"""Reasons: the minimal set of checks that rules a thing out, told as a chain from what was asked.

Four steps, each of its own: find a minimal set of sorts of check, preferring joints to stacks and the path that
follows joints
from the request; drop nothing that is needed, keep nothing that is not; put the steps in an order in which each follows
from the one before; sentences last (queries/ui).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property

from msgspec.structs import replace

from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, nowhere, others_than
from knockon.graph.model.things import SIDES
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.plan.reasons.links import Reason, Step, in_order
from knockon.queries.plan.reasons.shown import Things, buildable
from knockon.queries.plan.reasons.walks import steps_from
from knockon.queries.plan.solving.planner import STRUCTURE, Filling, Planner

__all__ = ["Reason", "Reasoner", "Step", "places_asked", "reason_without_unknowns"]

FAR = 1_000


class Reasoner:
    """Finds reasons on one planned swap."""

    def __init__(self, planner: Planner, filling: Filling | None, asked: Sequence[Place]) -> None:
        self.planner, self.filling, self.asked = planner, filling, tuple(asked)
        self.problem = planner.problem

    @cached_property
    def beside(self) -> dict[str, set[str]]:
        """Positions, and those that each is joined to."""
        found: dict[str, set[str]] = {position: set() for position in self.problem.places.positions}
        for at in self.problem.places.joints:
            found[at.first.position].add(at.second.position)
            found[at.second.position].add(at.first.position)
        return found

    @cached_property
    def _arrangements(self) -> set[str]:
        """The arrangements that were asked for, by name or by a place of theirs."""
        positions = self.problem.places.positions
        asked = {positions[p.position].arrangement for p in self.asked} - {""}
        return asked | set(self.problem.request.arrangements)

    @cached_property
    def _from_asked(self) -> dict[str, int]:
        own = {p.position for p in self.problem.places.layout.positions if p.arrangement in self._arrangements}
        sources = {p.position for p in self.asked} or own or set(self.beside)
        return steps_from(sources, self.beside)

    def ranked(self, kept: Place | None) -> list[str]:
        """The sorts of check, most wanted in a reason first: arrangement, joints near the walk from the request to what
        is kept (of equally near ones those that decide safety)."""
        target = (kept or next(iter(self.asked), self.problem.places.all[0])).position
        to_target = steps_from((target,), self.beside)
        rank: dict[str, tuple[int, float, bool, int]] = {}
        last = (9, 0.0, False, 0)

        def walk(a: str, b: str) -> float:
            return min(self._from_asked.get(x, FAR) + to_target.get(y, FAR) for x, y in ((a, b), (b, a)))

        for i, at in enumerate(self.problem.places.joints):
            atom = self.problem.sort_of[at.joint.joint]
            aside = not self.problem.checks.is_safety_critical(at)
            level = 3 if self.problem.checks.is_by_name(at) else 1
            rank[atom] = min(rank.get(atom, last), (level, walk(at.first.position, at.second.position), aside, i))
        for i, figure in enumerate(self.problem.places.figures):
            atom = self.problem.sort_of[figure.figure.figure]
            near = max(to_target.get(p.position, FAR) for p in figure.places)
            rank[atom] = min(rank.get(atom, last), (2, near, False, i))
        ordered = sorted(rank, key=lambda atom: rank[atom])
        joints = [a for a in ordered if rank[a][0] == 1]
        return ["arrangement", "unknown", *joints, "axle", *(a for a in ordered if rank[a][0] > 1)]

    def cites(self, kept: Place | None, unknown_limited: bool) -> tuple[str, ...]:
        """A minimal set of sorts that together leave no filling (keeping ``kept``), in order of preference."""
        ranked = self.ranked(kept)
        if not unknown_limited:
            ranked.remove("unknown")
        return self.planner.trials.minimal(ranked, kept)

    def reason(self, place: Place, unknown_limited: bool) -> Reason:
        """The reason why the thing at a place cannot stay."""
        cited = self.cites(place, unknown_limited)
        return Reason(tuple(self.name_of(a) for a in cited), self._told(cited, place))

    def reason_for_none(self, unknown_limited: bool = False) -> Reason:
        """The minimal reason why no consistent filling meets the request, told on the filling that fails in one check.

        That check is a joint with something that is to be kept, if any is, else the one farthest from what was asked.
        ``unknown_limited``: why there is none with no more unknowns than the planner was told.
        """
        cited = self.cites(None, unknown_limited)
        teller = Reasoner(self.planner, self._nearly(cited), self.asked)
        return Reason(tuple(self.name_of(a) for a in cited), teller._told(cited, None))

    def _nearly(self, cited: Sequence[str]) -> Filling | None:
        """A filling that fails in one cited check, and meets as many of the others as can be."""
        if not cited:
            return None
        kept = set(self.problem.request.keep)
        joints = self.problem.places.joints
        at_kept = {self.problem.sort_of[j.joint.joint] for j in joints if kept & {j.first, j.second}}
        failing = next((a for a in reversed(cited) if a in at_kept), cited[-1])
        met = [a for a in cited if a != failing]
        for sort in (*STRUCTURE, *self.problem.sorts):
            if sort not in (*cited, "unknown") and self.planner.is_possible([*met, sort]):
                met.append(sort)
        return self.planner.best_of_only(met)

    def name_of(self, atom: str) -> str:
        """The name of a sort of check, in words."""
        words = {"axle": "axle rule", "unknown": "unknown not allowed"}
        return self.problem.sorts.get(atom, words.get(atom, atom))

    # ---- telling

    def _told(self, cited: tuple[str, ...], place: Place | None) -> tuple[Step, ...]:
        side = place.side if place and place.side else "left"
        names = {self.problem.sorts[a] for a in cited if a in self.problem.sorts}
        joints = [j for j in self.problem.places.joints if j.joint.joint in names and j.side in (side, "")]
        steps = []
        if "arrangement" in cited:
            steps.append(self._arrangement_step(place))
        steps += self._joint_steps(joints, place, cited)
        for at in self.problem.places.figures:
            if at.figure.figure in names and at.side in (side, ""):
                evidence = self._figure_shown(at, place, cited)
                steps.append(
                    Step(at.figure.figure, "figure", place or nowhere(), verdict=evidence.verdict, evidence=evidence)
                )
        if "axle" in cited:
            steps.append(self._axle_step(place))
        if "unknown" in cited:
            steps.append(Step("unknown not allowed", "unknown", place or nowhere()))
        return in_order(steps)

    def _arrangement_step(self, place: Place | None) -> Step:
        wanted, old = self._arrangements, self._old(place) if place else None
        if place is not None:  # of several choices the one in which it stands, if the wish is of that one
            arrangement = self.problem.places.positions[place.position].arrangement
            wanted = wanted & others_than(self.problem.places.layout, arrangement) or wanted
        given = ", ".join(sorted(wanted)) or "the other arrangement"
        return Step("arrangement", "arrangement", place or nowhere(), given=given, ruled_out=old.number if old else "")

    def _axle_step(self, place: Place | None) -> Step:
        """The axle rule, with the two things that are both to be kept and are not alike, if that is why."""
        keep = set(self.problem.request.keep)
        for left in (p for p in self.problem.places.all if p in keep and p.side == SIDES[0]):
            right = left.other_hand
            first, second = self._old(left), self._old(right)
            if right in keep and first and second and first.alike != second.alike:
                return Step("axle rule", "axle rule", right, first.number, left, second.number)
        return Step("axle rule", "axle rule", place or nowhere())

    def _figure_shown(self, at: FigureAt, place: Place | None, cited: Sequence[str]) -> Evidence:
        """The figure with one old thing among the new ones that it rules out: first the one that is asked about."""

        def judged(chosen: Things) -> Evidence:
            return figure_evidence(self.problem.checks, at, dict(chosen), self.problem.vehicle)

        as_planned = {p: self._chosen(p) or self._old(p) for p in at.places}
        planned = judged(as_planned)
        if planned.verdict.is_no:  # nothing fits: what was asked for fails by itself
            return planned
        for kept in sorted(dict.fromkeys(at.places), key=lambda p: p != place):
            if self._old(kept) is not None:
                chosen = {p: self._old(p) if p == kept else self._chosen(p) for p in at.places}
                chosen, lacking = buildable(self.problem, chosen)
                if not lacking and (shown := judged(chosen)).verdict.is_no:
                    return shown
        failing = self._failing(at.figure.figure, cited, place)
        return judged({p: failing.chosen.get(p) for p in at.places}) if failing else planned

    def _failing(self, sort: str, cited: Sequence[str], kept: Place | None) -> Filling | None:
        """A filling that keeps the thing and meets all that is cited but this one sort, which it must then break."""
        return self.planner.best_of_only([c for c in cited if c != self.problem.sort_of[sort]], kept)

    def _joint_steps(self, joints: list[JointAt], place: Place | None, cited: Sequence[str]) -> list[Step]:
        """Joints in the order of a walk from what was asked, and what its arrangement brings, to the place; each
        told once."""
        positions = self.problem.places.positions
        held = self._arrangements if "arrangement" in cited else set(self.problem.request.arrangements)
        brought = [p for p in self.problem.places.all if positions[p.position].arrangement in held]
        reached = {*self.asked, *brought}
        left, steps = list(joints), []
        while left:
            ready = [j for j in left if j.first in reached or j.second in reached] or left[:1]
            ready.sort(key=lambda j: place is not None and place in (j.first, j.second))
            at = ready[0]
            left.remove(at)
            forward = at.first in reached or (at.second not in reached and at.first != place)
            here, there = (at.first, at.second) if forward else (at.second, at.first)
            if there in reached and here in reached and place in (here, there) and place is not None:
                here, there = (here, there) if there == place else (there, here)
            step = self._joint_step(at, here, there, place, cited)
            starts = "asked" if here in self.asked else "arrangement" if here in brought else ""
            arrangement = positions[here.position].arrangement if starts == "arrangement" else ""
            steps.append(replace(step, starts=starts, arrangement=arrangement))
            reached |= {here, there}
        return steps

    def _old(self, place: Place) -> Candidate | None:
        return self.problem.staying(place)

    def _chosen(self, place: Place) -> Candidate | None:
        if self.filling is not None:
            return self.filling.chosen.get(place)
        granted = self._granted(place)
        return granted[0] if granted else None

    def _granted(self, place: Place) -> list[Candidate]:
        wants = [w for w in self.problem.request.wants if place in w.places]
        candidates = self.problem.candidates[place]
        return [c for c in candidates if all(self.problem.grants(w, c) for w in wants)] if wants else []

    def _could_stay(self, place: Place) -> Candidate | None:
        """The thing that is there now, unless the wishes ask for another one."""
        old = self._old(place)
        wants = [w for w in self.problem.request.wants if place in w.places]
        return old if old is not None and all(self.problem.grants(w, old) for w in wants) else None

    def _joint_step(self, at: JointAt, here: Place, there: Place, place: Place | None, cited: Sequence[str]) -> Step:
        """The pair that shows it: one that is a no, else, where nothing is kept and unknowns are to blame, one of which
        too much is unknown."""
        unknown_told = "unknown" in cited and place is None
        given = self._chosen(here) or self._old(here)
        others = (self._could_stay(there), self._chosen(there))
        for other in others[::-1] if unknown_told else others:
            things, _ = buildable(
                self.problem,
                {place: self._old(place), here: given, there: other} if place else {here: given, there: other},
            )
            first, second = things[here], things[there]
            if first is not None and second is not None:
                step = self._pair_step(at, first, second, unknown_told)
                if step is not None:
                    return step
        return self._none_known(at, here, there, given)

    def _pair_step(self, at: JointAt, given: Candidate, other: Candidate, unknown_told: bool) -> Step | None:
        """The link that one pair makes, if it shows why the other thing cannot stand beside what is given."""
        pair = at.in_order(given.place, given, other)
        result = self.problem.checks.joint(at, *pair)
        if not (result.verdict.is_no or (unknown_told and self.problem.counts_first(at, *pair))):
            return None
        evidence = joint_evidence(self.problem.checks, at, *pair)
        return Step(
            sort=at.joint.joint,
            kind="joint",
            place=other.place,
            given=given.number,
            given_place=given.place,
            ruled_out=other.number,
            verdict=evidence.verdict,
            evidence=evidence,
        )

    def _none_known(self, at: JointAt, here: Place, there: Place, given: Candidate | None) -> Step:
        """No pair shows it: say which known parts agree with what is given, on sizes or at least by a claim."""
        agreeing = tuple(self._agreeing(at, here, there, given)) if given else ()
        sought, number = self.problem.places.positions[there.position].part_type, given.number if given else ""
        return Step(at.joint.joint, "joint", there, number, here, sought=sought, agreeing=agreeing)

    def _agreeing(self, at: JointAt, here: Place, there: Place, given: Candidate) -> list[str]:
        found = []
        for candidate in self.problem.candidates[there]:
            pair = at.in_order(here, given, candidate)
            result = self.problem.checks.joint(at, *pair)
            if not result.verdict.is_no and not self.problem.counts_first(at, *pair):
                found.append(candidate.number)
        return list(dict.fromkeys(found))


def reason_without_unknowns(planner: Planner, asked: Sequence[Place]) -> Reason:
    """Why no filling meets the request on known sizes and claims alone, where the best plan rests on unknowns; from
    here on the planner limits them so."""
    planner.limit_unknowns(0)
    return Reasoner(planner, None, asked).reason_for_none(unknown_limited=True)


def places_asked(wants: Iterable[tuple[Place, ...]]) -> tuple[Place, ...]:
    """All places that the wishes speak of, each once."""
    return tuple(dict.fromkeys(p for places in wants for p in places))
