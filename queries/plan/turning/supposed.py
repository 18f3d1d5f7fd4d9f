"""Readings supposed and not written: a planning problem in which a thing of the vehicle may have any of several sizes.

Each supposed size is a candidate of its own that stays in the place of the thing, so that one program decides about
all of them at once: the best filling is the best that any of these sizes allows. Readings of several things stand in
one program too: it is ground once, and each question assumes which candidates may stand.
"""

from __future__ import annotations

from collections import ChainMap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from functools import cached_property

import msgspec
from msgspec.structs import replace

from knockon.graph.model.bound import InPlace, in_places, named_in_place
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, fitted
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature, Fitting, Said, Statement, Vehicle
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.facts import written_of
from knockon.queries.plan.solving.levels import PRICE
from knockon.queries.plan.solving.narrowed import FEW, planner_of
from knockon.queries.plan.solving.patience import Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request

ON_THE_ITEM = 1
SUPPOSED = "supposed reading"
"""The source of what is supposed."""


class Size(msgspec.Struct, frozen=True):
    """What a reading says of one dimension (``thread.pitch`` of a designation): an interval in the base unit, or a
    code."""

    dimension: str
    low: float | None = None
    high: float | None = None
    code: str | None = None
    nominal: bool = False


Reading = tuple[Size, ...]


class Read(msgspec.Struct, frozen=True, dict=True):
    """A size of a thing on a vehicle, of which readings are supposed: where it stands, its feature and column."""

    catalogue: Catalogue
    vehicle: Vehicle
    place: Place
    feature: str
    kind: str
    column: str

    @cached_property
    def at(self) -> InPlace:
        """What stands there now."""
        here = {at.place: at for at in in_places(self.catalogue.things, self.vehicle)}
        return here.get(self.place) or InPlace(self.vehicle.vehicle, self.place)

    @cached_property
    def item(self) -> str:
        """The name that the thing has, or gets once it is read."""
        return named_in_place(self.catalogue.things, self.at).item

    @property
    def recorded(self) -> Feature | None:
        """What is recorded of the feature now."""
        return self.catalogue.features_of(self.at.thing).get(self.feature)

    @cached_property
    def before(self) -> Mapping[str, Feature]:
        """What is recorded of the thing, as of a thing that has a name."""
        own = self.catalogue.features_of(self.at.thing)
        return own if self.at.item else {name: _of_number(feature) for name, feature in own.items()}

    def features(self, reading: Reading) -> dict[str, Feature]:
        """What would be recorded of the thing: the reading in the place of those of this column on the thing itself."""
        found = dict(self.before)
        old = found.get(self.feature) or Feature(self.feature, self.kind)
        found[self.feature] = self._with(old, reading)
        return {name: found[name] for name in sorted(found)}

    def _with(self, old: Feature, reading: Reading) -> Feature:
        dimensions = {d: _without(s) if column_of(d) == self.column else s for d, s in old.dimensions.items()}
        for size in reading:
            said = Statement(
                written=SUPPOSED,
                source=SUPPOSED,
                rank=ON_THE_ITEM,
                low=size.low,
                high=size.high,
                nominal=size.nominal,
                code=size.code,
            )
            dimensions[size.dimension] = (said, *dimensions.get(size.dimension, ()))
        kept = {d: dimensions[d] for d in sorted(dimensions) if dimensions[d]}
        return Feature(old.name, old.kind, kept, old.absent, (Said(SUPPOSED, ON_THE_ITEM), *old.there))

    def bound(self, vehicle: Vehicle) -> Vehicle:
        """The vehicle, with the thing under its name."""
        places = Places(self.catalogue.layouts[self.vehicle.layout])
        there = fitted(self.vehicle, places).get(self.place) or self._unrecorded
        rows = {(f.position, f.side): f for f in vehicle.fittings}
        key = (self.place.position, self.place.side)
        rows[key] = replace(there, position=key[0], side=key[1], item=self.item)
        return replace(vehicle, fittings=tuple(f for _, f in sorted(rows.items())))

    @property
    def is_recorded(self) -> bool:
        """Whether anybody recorded what stands there."""
        return bool(self.at.item or self.at.number)

    @property
    def _unrecorded(self) -> Fitting:
        rows = {f.side: f for f in self.vehicle.fittings if f.position == self.place.position}
        row = rows.get(self.place.side) or rows.get("")
        return Fitting(*self._key, condition=row.condition if row is not None else "unknown")

    @property
    def _key(self) -> tuple[str, str]:
        return self.place.position, self.place.side


def _of_number(feature: Feature) -> Feature:
    dimensions = {d: tuple(replace(s, of_number=True) for s in v) for d, v in feature.dimensions.items()}
    absent, there = (tuple(s._replace(of_number=True) for s in said) for said in (feature.absent, feature.there))
    return replace(feature, dimensions=dimensions, absent=absent, there=there)


def _without(statements: tuple[Statement, ...]) -> tuple[Statement, ...]:
    return tuple(s for s in statements if s.of_number or s.rank != ON_THE_ITEM)


class Supposed:
    """A problem in which things of a vehicle may have other readings. Each reading that may be asked of is told by
    ``suppose`` first; all of them are then ground once, and each question says which of them may stand."""

    def __init__(self, problem: Problem, reads: Sequence[Read]) -> None:
        self.original = problem
        self._features: dict[str, Mapping[str, Feature]] = {}
        self._catalogue = catalogue = self._with_names(problem.checks.catalogue, reads)
        self.problem = copy(problem)
        self.problem.request = but_price(problem.request)
        self.problem.checks = copy(problem.checks)
        self.problem.checks.catalogue = catalogue
        self.is_bound = any(not read.is_recorded for read in reads)
        if self.is_bound:
            vehicle = catalogue.vehicles[reads[0].vehicle.vehicle]
            self.problem = Problem(Checks(catalogue, problem.places), vehicle, self.problem.request)
        self._as_it_is = {read.place: self.problem.candidates[read.place] for read in reads}
        self._several: dict[Place, list[Candidate]] = {p: [] for p in self._as_it_is}

    def _with_names(self, catalogue: Catalogue, reads: Sequence[Read]) -> Catalogue:
        """The records; where nobody recorded what stands in a place that is read, with the name that it gets."""
        features = ChainMap(self._features, catalogue.features)  # type: ignore[arg-type]
        items, vehicle = dict(catalogue.items), reads[0].vehicle
        for read in (r for r in reads if not r.is_recorded):
            name = named_in_place(catalogue.things, read.at)
            items[name.item] = replace(name, part=read.at.number)
            self._features[name.item] = read.before
            vehicle = read.bound(vehicle)
        vehicles = {**catalogue.vehicles, vehicle.vehicle: vehicle}
        items = {name: items[name] for name in sorted(items)}
        return replace(catalogue, items=items, vehicles=vehicles, features=features)

    def suppose(self, read: Read, readings: Sequence[Reading]) -> Supposing:
        """Readings of which one is asked; before anything is asked of any."""
        clones: list[list[Candidate]] = []
        for reading in readings:
            clones.append([])
            for candidate in (c for c in self._as_it_is[read.place] if c.stays):
                # the name says the reading: what checks remember of a name holds for as long as they last
                name = f"{read.item} as {candidate.thing}, {read.feature}: {reading}"
                self._features[name] = self._with(read, candidate, reading)
                clones[-1].append(replace(candidate, thing=name))
        self._several[read.place] += [c for alike in clones for c in alike]
        return Supposing(self, read, clones)

    def _with(self, read: Read, candidate: Candidate, reading: Reading) -> Mapping[str, Feature]:
        """What would be recorded of the thing, or of it after work, where that leaves this feature as it was."""
        if not candidate.work:
            return read.features(reading)
        before = self._catalogue.features_of(candidate.thing)
        if read.recorded != before.get(read.feature):
            return before
        own = {**before, read.feature: read.features(reading)[read.feature]}
        return {name: own[name] for name in sorted(own)}

    @cached_property
    def whole(self) -> Problem:
        """The problem with all that is supposed. That has the last numbers, so that what was written of the problem as
        facts is not written anew."""
        part = self.with_candidates({p: (*there, *self._several[p]) for p, there in self._as_it_is.items()})
        part.numbered = (*self.problem.numbered, *(c for p in self._as_it_is for c in self._several[p]))
        part.every = part.candidates
        part.written = written_of(self.problem).but_of(part, self._as_it_is.keys())
        return part

    @cached_property
    def planner(self) -> Planner | None:
        """A planner of all that is supposed; None where candidates are too many to load all."""
        return Planner(self.whole) if len(self.whole.numbered) <= FEW else None

    def others_than(self, place: Place, those: Sequence[Candidate]) -> Iterator[Candidate]:
        """What may not stand where only those are read in a place: other readings, there and at all other places, and
        what is recorded there now."""
        wanted = set(those)
        yield from (c for several in self._several.values() for c in several if c not in wanted)
        yield from (c for c in self._as_it_is[place] if c.stays)

    def with_candidates(self, candidates: Mapping[Place, tuple[Candidate, ...]]) -> Problem:
        """The problem with other candidates in some places, numbered by itself, with the same checks; what is there now
        stays known, whether it is among them or not."""
        for place in candidates:
            self.problem.staying(place)
        part = copy(self.problem)
        part.candidates = {**self.problem.candidates, **candidates}
        for name in ("ids", "numbered", "of_set"):
            part.__dict__.pop(name, None)
        return part

    @cached_property
    def _alike(self) -> dict[tuple[object, ...], Candidate]:
        found: dict[tuple[object, ...], Candidate] = {}
        for candidate in (c for cs in self.problem.candidates.values() for c in cs):
            found.setdefault(_as_it_is(candidate), candidate)
        return found

    def known(self, candidate: Candidate) -> Candidate:
        """What is this candidate where the things that are read have their names."""
        return self._alike[_as_it_is(candidate)]


class Supposing:
    """Readings of one thing that are supposed; ``number`` tells which of them stands in a filling."""

    def __init__(self, supposed: Supposed, read: Read, clones: Sequence[Sequence[Candidate]]) -> None:
        self.supposed, self.read, self._clones = supposed, read, clones
        self._number = {c: number for number, alike in enumerate(clones) for c in alike}

    @property
    def original(self) -> Problem:
        """The problem before anything was supposed."""
        return self.supposed.original

    @property
    def problem(self) -> Problem:
        """The problem with what is there now."""
        return self.supposed.problem

    def number(self, chosen: Mapping[Place, Candidate]) -> int | None:
        """Which of the readings what stands in a filling has; None where the thing goes."""
        there = chosen.get(self.read.place)
        return self._number.get(there) if there is not None else None

    def of(self, number: int) -> Sequence[Candidate]:
        """What stays with a reading: as it is, or after work."""
        return self._clones[number]

    def same(self, chosen: Mapping[Place, Candidate], number: int) -> dict[Place, Candidate]:
        """The filling of the problem without readings, with this reading."""
        found = {place: self.supposed.known(c) for place, c in chosen.items()} if self.supposed.is_bound else {**chosen}
        old = chosen.get(self.read.place)
        if old is not None and old.stays:
            found[self.read.place] = next(c for c in self._clones[number] if c.work == old.work)
        return found

    def __len__(self) -> int:
        """How many readings are supposed."""
        return len(self._clones)

    def best(self, number: int, patience: Patience | None) -> Filling | None:
        """The best filling that a reading allows, the first of equals. Raises TimeUp."""
        planner, those = self._in_time(patience), self._clones[number]
        if planner is None:
            return self._alone(those, patience)
        return planner.best_without(self.supposed.others_than(self.read.place, those))

    def least(self, numbers: Iterable[int], patience: Patience | None) -> tuple[Mapping[str, int], int | None] | None:
        """What the best filling that any of some readings allows costs on each level, and which reading it has. Raises
        TimeUp."""
        planner, those = self._in_time(patience), [c for n in numbers for c in self._clones[n]]
        if planner is None:
            found = self._alone(those, patience)
            return (found.costs, self.number(found.chosen)) if found is not None else None
        least = planner.least_without(self.supposed.others_than(self.read.place, those), those)
        return (least[0], self._number[least[1]] if least[1] is not None else None) if least is not None else None

    def _in_time(self, patience: Patience | None) -> Planner | None:
        if self.supposed.planner is not None:
            self.supposed.planner.patience = patience.anew() if patience else Patience()
        return self.supposed.planner

    def _alone(self, those: Sequence[Candidate], patience: Patience | None) -> Filling | None:
        new = (c for c in self.problem.candidates[self.read.place] if not c.stays)
        problem = self.supposed.with_candidates({self.read.place: (*those, *new)})
        found = planner_of(problem, patience.anew() if patience else Patience()).best()
        if found is not None and not found.proved:
            raise TimeUp
        return found


def but_price(request: Request) -> Request:
    """The same request, in which no price is preferred: a plan holds while none is better on the other levels."""
    return replace(request, prefer=tuple(level for level in request.prefer if level != PRICE))


def _as_it_is(candidate: Candidate) -> tuple[object, ...]:
    number = "" if candidate.stays else candidate.number  # something not recorded gets a name once it is read
    return candidate.place, number, candidate.stays, candidate.work, candidate.set_use, candidate.to_be_found
