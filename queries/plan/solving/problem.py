"""A planning problem: the candidates of a layout and all verdicts between them, written as facts for swap.lp."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cached_property
from itertools import product
from math import prod

from knockon.graph.judge.figures import STEPS, FigureResult, TermValue, judge_figure, limits_of
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layout import FigureAt, JointAt, Place, Places, others_than
from knockon.graph.model.things import Fitting, Vehicle
from knockon.queries.fits.checking.candidates import Candidate, candidates_of, yet_to_be_found
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.standing import arrangements_of, is_recorded, lacks, partners_of
from knockon.queries.plan.solving.levels import priorities
from knockon.queries.plan.solving.offered import Offered
from knockon.queries.plan.solving.request import Request, Wanted

MOST_BELIEFS = 256
"""Where a sum has more combinations of beliefs than this, its contested sizes enter with the span of all."""


class Problem:
    """One request on one vehicle (or on a bare layout), with every candidate numbered and every check judged."""

    candidates: dict[Place, tuple[Candidate, ...]]
    found: Mapping[Place, Fitting]
    perhaps: Mapping[Place, Fitting]
    """Places that hold something not recorded if the vehicle has an arrangement that nothing tells of."""

    def __init__(
        self,
        checks: Checks,
        vehicle: Vehicle | None,
        request: Request,
        kit: Mapping[str, int] | None = None,
        sought: frozenset[str] = frozenset(),
    ) -> None:
        """``sought``: positions in which a part yet to be found may stand though parts for them are recorded."""
        self.checks, self.vehicle, self.request = checks, vehicle, request
        self.kit: Mapping[str, int] = kit or {}
        self.sought = sought
        catalogue, places = self.checks.catalogue, self.checks.places
        every, now = candidates_of(catalogue, places, self.vehicle)
        self.found, self.perhaps = now.found, now.perhaps
        asked = {*self.kit, *(n for w in self.request.wants for n in w.numbers)}
        not_accepted = {n for n, p in catalogue.parts.items() if p.not_accepted}
        refused = not_accepted - asked
        accepted = {p: tuple(c for c in cs if c.stays or c.number not in refused) for p, cs in every.items()}
        avoid = set(self.request.avoid)
        self.candidates = {p: tuple(c for c in cs if c.stays or c.number not in avoid) for p, cs in accepted.items()}
        known = {p.position for p, cs in every.items() for c in cs if not c.stays and c.number not in not_accepted}
        for place in places.all:
            position = places.positions[place.position]
            if (position.need != "optional" and place.position not in known) or place.position in self.sought:
                self.candidates[place] += (yet_to_be_found(place, position.part_type),)

    @property
    def places(self) -> Places:
        """The places of the layout."""
        return self.checks.places

    @cached_property
    def place_ids(self) -> dict[Place, int]:
        """Places, numbered in the layout's order."""
        return {p: i for i, p in enumerate(self.places.all)}

    @cached_property
    def numbered(self) -> tuple[Candidate, ...]:
        """Candidates, numbered in the order of places."""
        return tuple(c for p in self.places.all for c in self.candidates[p])

    @cached_property
    def ids(self) -> dict[Candidate, int]:
        """The number of each candidate."""
        return {c: i for i, c in enumerate(self.numbered)}

    @cached_property
    def offered(self) -> Offered:
        """What can be bought."""
        return Offered.by(self.checks.catalogue, self.request.avoid)

    @cached_property
    def arranged(self) -> tuple[str, ...]:
        """The arrangements that the vehicle has, in the order of their choices; none of a choice that nothing tells."""
        own = arrangements_of(self.vehicle, self.places) if self.vehicle else frozenset()
        return tuple(a for a in self.places.layout.arrangements if a in own)

    def old_parts(self, place: Place) -> int:
        """How many parts are found in a place, to be handed in when they leave; none where nothing is recorded."""
        fitting = self.found.get(place)
        return self.places.positions[place.position].quantity if fitting is not None and is_recorded(fitting) else 0

    def is_one_use(self, place: Place) -> bool:
        """Whether what is found in a place must be renewed once disturbed."""
        candidate = self.staying(place)
        numbers = candidate.numbers if candidate else ()
        parts = [self.checks.catalogue.parts[n] for n in numbers if n in self.checks.catalogue.parts]
        own = [p.one_use for p in parts if p.part_type != "set"] or [p.one_use for p in parts]
        return any(own)

    def is_due(self, place: Place) -> bool:
        """Whether what is found there is due, or asked to be renewed."""
        fitting = self.found.get(place) or self.perhaps.get(place)
        return fitting is not None and (fitting.condition == "due" or place in self.request.renew)

    @cached_property
    def _as_found(self) -> dict[Place, Candidate]:
        return {c.place: c for c in reversed(self.numbered) if c.stays and not c.work}

    def staying(self, place: Place) -> Candidate | None:
        """What is in the place now, as a candidate."""
        return self._as_found.get(place)

    @cached_property
    def joint_ids(self) -> dict[int, JointAt]:
        """Joints, numbered in the layout's order."""
        return dict(enumerate(self.places.joints))

    @cached_property
    def figure_ids(self) -> dict[int, FigureAt]:
        """Figures that are judged, numbered after the joints."""
        return dict(enumerate(self.places.figures, len(self.joint_ids)))

    @cached_property
    def told_ids(self) -> dict[int, FigureAt]:
        """Figures that are told only, numbered after those that are judged."""
        return dict(enumerate(self.places.told, len(self.joint_ids) + len(self.figure_ids)))

    @cached_property
    def sorts(self) -> dict[str, str]:
        """Sorts of check: atom text -> name of the joint or figure."""
        names = [j.joint.joint for j in self.places.joints] + [f.figure.figure for f in self.places.figures]
        return {f"s{i}": name for i, name in enumerate(dict.fromkeys(names))}

    @cached_property
    def sort_of(self) -> dict[str, str]:
        """Name of the joint or figure -> atom text."""
        return {name: atom for atom, name in self.sorts.items()}

    def facts(self) -> str:
        """All facts, one a line, in a fixed order."""
        lines = [
            *self._arrangement_facts(),
            *self._place_facts(),
            *self._candidate_facts(),
            *self._unknown_facts(),
            *self._joint_facts(),
            *self._reach_facts(),
            *self._figure_facts(),
            *self._request_facts(),
        ]
        return "\n".join(lines) + "\n"

    def _arrangement_facts(self) -> Iterator[str]:
        for i, choice in enumerate(self.places.layout.choices):
            only = set(self.request.arrangements) & set(choice.arrangements)
            for arrangement in choice.arrangements:
                yield f'choice_of("{arrangement}",{i}).'
                if not only or arrangement in only:
                    yield f'arrangement("{arrangement}").'
        yield from (f'arranged("{arrangement}").' for arrangement in self.arranged)

    def _place_facts(self) -> Iterator[str]:
        for place, i in self.place_ids.items():
            position = self.places.positions[place.position]
            yield f"place({i})."
            if position.arrangement:
                yield f'in_arrangement({i},"{position.arrangement}").'
            partners = partners_of(self.places, place)
            for partner in partners:
                yield f"with({i},{self.place_ids[partner]})."
                if position.lacking_feature:
                    yield f"lacking({i})."
                    yield from (
                        f"without_feature({i},{self.ids[c]})."
                        for c in self.candidates[partner]
                        if lacks(self.checks.catalogue, c.thing, position.lacking_feature)
                    )
            if not partners:
                yield f"{'optional' if position.need == 'optional' else 'needed'}({i})."
            if place.side == "left":
                yield f"hand_pair({i},{self.place_ids[place.other_hand]})."
            carrier = self.places.carrier(place)
            if carrier is not None:
                yield f"hangs_on({i},{self.place_ids[carrier]})."
            if place in self.found:
                yield f"found({i})."
            if place in self.found or place in self.perhaps:
                flags = (
                    ("one_use", self.is_one_use(place)),
                    ("due", self.is_due(place)),
                    ("pressed", position.pressed_in),
                )
                yield from (f"{name}({i})." for name, holds in flags if holds)

    def _candidate_facts(self) -> Iterator[str]:
        uses: dict[tuple[str, str], int] = {}
        numbers: dict[str, int] = {}
        keys: dict[str, int] = {}
        for candidate, c in self.ids.items():
            place = self.place_ids[candidate.place]
            yield f"candidate({place},{c})."
            if candidate.place.side:
                yield f"alike({c},{keys.setdefault(candidate.alike, len(keys))})."
            if candidate.stays:
                yield f"stays({c})." + (f" work({c})." if candidate.work else "")
            else:
                yield f"number({c},{numbers.setdefault(candidate.number, len(numbers))})."
            old = self.staying(candidate.place)
            if old is not None and (candidate.stays or candidate.number == old.number):
                yield f"keeps_number({place},{c})."
            if candidate.set_use is not None:
                use = uses.setdefault(candidate.set_use, len(uses))
                yield f"set_use({c},{use})."
            elif not candidate.stays:
                quantity = self.places.positions[candidate.place.position].quantity
                yield f"line_price({c},{self.offered.cents(candidate.number, quantity)}). units({c},{quantity})."
        yield from (
            f"set_price({u},{self.offered.cents(use[0], 1)}). use_of({u},{numbers[use[0]]})." for use, u in uses.items()
        )
        for number, held in sorted(self.kit.items()):
            if number in numbers:
                yield f"kit_holds({numbers[number]},{held})."
                yield from (f"kit_unit({numbers[number]},{i})." for i in range(1, held + 1))
        yield from (f"offered({n})." for number, n in numbers.items() if number in self.offered.offers)
        yield from self._exchange_facts(uses)

    def _unknown_facts(self) -> Iterator[str]:
        """Candidates of which nothing is known but that they stand there, or would have to."""
        for candidate, c in self.ids.items():
            if candidate.to_be_found:
                yield f"to_be_found({c})."
            elif not candidate.recorded:
                yield f"blank({self.place_ids[candidate.place]},{c})."

    def _exchange_facts(self, uses: Mapping[tuple[str, str], int]) -> Iterator[str]:
        """Which old parts can be handed in, and what that saves on a unit of each candidate of their type."""
        types: dict[str, dict[int, None]] = {}
        seen: set[tuple[str, str]] = set()
        for candidate, c in self.ids.items():
            saved = 0 if candidate.stays else self.offered.savings.get(candidate.number, 0)
            if not saved or candidate.set_use in seen:
                continue
            part_type = self.places.positions[candidate.place.position].part_type
            types.setdefault(part_type, {})[saved] = None
            t = list(types).index(part_type)
            if candidate.set_use is None:
                yield f"saves({c},{t},{saved})."
            else:  # a set is one unit, of the type of its first member
                seen.add(candidate.set_use)
                yield f"set_saves({uses[candidate.set_use]},{t},{saved})."
        for t, (part_type, savings) in enumerate(types.items()):
            steps = sorted(savings)
            yield from (f"saving({t},{s},{s - less})." for less, s in zip([0, *steps], steps, strict=False))
            there = [p for p in self.places.all if self.places.positions[p.position].part_type == part_type]
            yield from (f"gives({self.place_ids[p]},{t},{q})." for p in there if (q := self.old_parts(p)))
            yield from (f"old({t},{i})." for i in range(1, sum(map(self.old_parts, there)) + 1))

    def _joint_facts(self) -> Iterator[str]:
        for j, at in self.joint_ids.items():
            firsts, seconds = self.candidates[at.first], self.candidates[at.second]
            yield f"joint({j},{self.place_ids[at.first]},{self.place_ids[at.second]})."
            yield f"sort({j},{self.sort_of[at.joint.joint]})."
            if at.joint.arrangement:
                yield f'only_in({j},"{at.joint.arrangement}").'
            if at.joint.disturbs is False:
                yield f"gentle({j})."
            for owned in at.joint.owns:
                place = self.places.at(owned, at.side)
                if place is not None:
                    yield f"owns({j},{self.place_ids[place]})."
            if not firsts or not seconds:
                continue
            self.checks.judge_all(at, (c.thing for c in firsts), (c.thing for c in seconds))
            yield from self._pair_facts(j, at, firsts, seconds)

    def _pair_facts(
        self, j: int, at: JointAt, firsts: tuple[Candidate, ...], seconds: tuple[Candidate, ...]
    ) -> Iterator[str]:
        for first in firsts:
            for second in seconds:
                result = self.checks.joint(at, first, second)
                pair = f"({j},{self.ids[first]},{self.ids[second]})."
                if result.verdict.is_no:
                    yield "no" + pair
                elif self.counts_first(at, first, second):
                    yield "first_open" + pair
                    if self.kit and any(
                        o.lacks[i] and not c.stays and c.number not in self.kit
                        for o in result.judged.outcomes
                        for i, c in enumerate((first, second))
                    ):
                        yield "outside_open" + pair
                elif result.verdict.is_unproven:
                    yield "other_open" + pair

    def counts_first(self, at: JointAt, first: Candidate, second: Candidate) -> bool:
        """Whether a joint on two candidates is not known without even a claim. Where one of them is something not
        recorded, only if it were so with every part that may be put there: to leave it must cost nothing extra."""
        if not self.checks.joint(at, first, second).counts_first:
            return False
        for end, blank in enumerate((first, second)):
            if not blank.recorded:
                pairs = ((first, c) if end else (c, second) for c in self.candidates[blank.place] if c.recorded)
                results = [self.checks.joint(at, *pair) for pair in pairs]
                return all(r.verdict.is_no or r.counts_first for r in results)
        return True

    @cached_property
    def in_the_way(self) -> Mapping[tuple[Place, Place], frozenset[str]]:
        """(what must come off, what is reached then), as the layout says of the vehicle as it is, with the joints that
        stay made meanwhile."""
        found: dict[tuple[Place, Place], frozenset[str]] = {}
        now = arrangements_of(self.vehicle, self.places) if self.vehicle else frozenset()
        for row in self.places.layout.in_the_way if self.vehicle else ():
            if row.slackened or others_than(self.places.layout, row.arrangement) & now:
                continue
            for reached in self.places.seen_from(row.in_the_way_of, ""):
                for off in self.places.seen_from(row.position, reached.side):
                    if off in self.found or off in self.perhaps:
                        found[(off, reached)] = found.get((off, reached), frozenset(row.leaves)) & set(row.leaves)
        return found

    def _reach_facts(self) -> Iterator[str]:
        for (off, reached), leaves in self.in_the_way.items():
            way = f"{self.place_ids[off]},{self.place_ids[reached]}"
            yield f"in_way({way})."
            yield from (f"leaves({way},{j})." for j, at in self.joint_ids.items() if at.joint.joint in leaves)

    def _figure_facts(self) -> Iterator[str]:
        for s, at in self.figure_ids.items():
            yield f"sort({s},{self.sort_of[at.figure.figure]})."
            yield from (
                self._formula_facts(s, at)
                if at.figure.formula or at.figure.compared_with == "as made"
                else self._sum_facts(s, at)
            )
        for s, at in (self.figure_ids | self.told_ids).items():
            yield from (f"among({s},{self.place_ids[place]})." for place in dict.fromkeys(at.places))
            if at.figure.arrangement:
                yield f'only_in({s},"{at.figure.arrangement}").'

    def _sum_facts(self, s: int, at: FigureAt) -> Iterator[str]:
        figure = at.figure
        yield f"stack({s})." + (f" by_method({s})." if figure.method else "")
        low, high = limits_of(figure, None)
        if low is not None:
            yield f"low({s},{round(low * STEPS)})."
        if high is not None:
            yield f"high({s},{round(high * STEPS)})."
        for i, place in enumerate(at.places):
            for candidate in self.candidates[place]:
                value, c = self.checks.term(at, i, candidate), self.ids[candidate]
                if value.maybe_absent:
                    yield f"maybe_absent({s},{i},{c})."
                if not value.is_sized:
                    yield f"{'absent' if value.absent else 'missing'}({s},{i},{c})."
                elif value.is_weak(figure.safety_critical):
                    yield f"weak({s},{i},{c})."
                if self.checks.states_figure(at, candidate):
                    yield f"stated({s},{c})."
        yield from self._share_facts(s, at)

    def _share_facts(self, s: int, at: FigureAt) -> Iterator[str]:
        """What each candidate adds to a sum, for each combination of beliefs about its terms."""
        factors = [term.factor for term in at.figure.terms]
        known = [
            [(c, value) for c in self.candidates[place] if (value := self.checks.term(at, i, c)).is_sized]
            for i, place in enumerate(at.places)
        ]
        counts = [max((value.beliefs for _, value in values), default=1) for values in known]
        spanned = prod(counts) > MOST_BELIEFS
        for b, belief in enumerate(product(*(range(1 if spanned else count) for count in counts))):
            yield f"belief({s},{b})."
            for i, values in enumerate(known):
                for candidate, value in values:
                    believed = None if spanned else belief[i]
                    key = f"{s},{b},{i},{self.ids[candidate]}"
                    low, high = value.steps(factors[i], believed)
                    yield f"share({key},{low},{high})."
                    low, high = value.worst_steps(factors[i], believed)
                    yield f"at_worst({key},{low},{high})."

    def _formula_facts(self, s: int, at: FigureAt) -> Iterator[str]:
        places = tuple(dict.fromkeys(at.places))
        groups: list[dict[tuple[TermValue, ...], int]] = []
        as_made = self.checks.as_made_value(at, self.vehicle)
        for i, place in enumerate(places):
            indices = [k for k, p in enumerate(at.places) if p == place]
            empty = tuple(self.checks.term(at, k, None) for k in indices)
            known: dict[tuple[TermValue, ...], int] = {empty: 0}
            yield f"part_of({s},{i},{self.place_ids[place]})."
            for candidate in self.candidates[place]:
                values = tuple(self.checks.term(at, k, candidate) for k in indices)
                if self.checks.states_figure(at, candidate):
                    yield f"stated({s},{self.ids[candidate]})."
                if any(not value.is_sized and not value.absent for value in values):
                    yield f"unsized({s},{self.ids[candidate]})."
                yield f"group({s},{i},{self.ids[candidate]},{known.setdefault(values, len(known))})."
            groups.append(known)
        for t, combination in enumerate(product(*groups)):
            by_place = dict(zip(places, combination, strict=True))
            taken: dict[Place, int] = {}
            terms = []
            for place in at.places:
                terms.append(by_place[place][taken.setdefault(place, 0)])
                taken[place] += 1
            result = judge_figure(at.figure, terms, as_made)
            torn = judge_figure(at.figure, terms, as_made, stated=True).verdict is Verdict.DISPUTED
            name = "tuple_torn" if torn else _tuple_name(result)
            if name:
                chosen = zip(range(len(places)), (g[v] for g, v in zip(groups, combination, strict=True)), strict=True)
                key = f"({s},{t})"
                yield f"tuple({s},{key}). {name}({key})." + "".join(f" tuple_value({key},{i},{g})." for i, g in chosen)

    def _request_facts(self) -> Iterator[str]:
        yield from (f'level("{name}",{priority}).' for name, priority in priorities(self.request.prefer).items())
        for place in dict.fromkeys(p for w in self.request.wants for p in w.places):
            yield f"wanted({self.place_ids[place]})."
            wishes = [w for w in self.request.wants if place in w.places]
            for candidate in self.candidates[place]:
                if all(self.grants(wanted, candidate) for wanted in wishes):
                    yield f"grants({self.place_ids[place]},{self.ids[candidate]})."
        yield from (f"must_keep({self.place_ids[p]})." for p in self.request.keep)

    def grants(self, wanted: Wanted, candidate: Candidate) -> bool:
        """Whether a candidate is what a wish asks for."""
        if not wanted.dimension:
            return candidate.number in wanted.numbers
        if candidate.to_be_found and candidate.place.position in self.sought:
            return True  # the wish is a part of what it would have to be
        return wanted.is_met_by(self.checks.catalogue.features_of(candidate.thing))


def _tuple_name(result: FigureResult) -> str:
    if result.verdict.is_no:
        return "tuple_no"
    if result.verdict.is_unproven:
        open_first = result.verdict == "not known" and not result.only_kept_missing
        return "tuple_first" if open_first else "tuple_other"
    return ""
