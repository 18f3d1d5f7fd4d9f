"""Taking parcels in: what each line should be, what to measure on it, and what must pass on the bench before anything
is stripped; and writing down what is accepted, rejected or asked about."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import msgspec

from knockon.graph.jobs.events import ACCEPT, ASK, REJECT, Received
from knockon.graph.jobs.store import Job, JobRefused, add_event
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.things import SIDES
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.buy.placed import LineStands
from knockon.queries.find.readings_typed import Reader, Reading, meant, split, unknown_feature
from knockon.queries.find.tell_apart import DIFFERS, tell_apart
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.job.goods_sizes import Sizes, SizeToCheck, Together
from knockon.queries.job.named import asked_in, member, not_built, now
from knockon.queries.job.parcels import line_meant, stands
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import asked_of
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count

IN_ORDER, COMES_OFF = "in the order", "comes off"
DRY_FIT, PATTERN, FIGURE = "dry fit", "pattern", "figure"


class LookAlike(msgspec.Struct, frozen=True):
    """Another number of the same part type, ``where`` it can be mixed up, and what tells the two apart, first this
    part. Not ``told_apart``: nothing recorded differs for certain."""

    part: str
    where: str
    told_apart: bool
    differs: tuple[str, ...] = ()


class GoodsLine(msgspec.Struct, frozen=True):
    """One part number of a parcel: what stands of it, which side it is for and how that is seen, where it goes, what it
    can be mixed up with, and what to measure."""

    line: LineStands
    name: str = ""
    hand: str = ""
    hand_sign: str = ""
    places: tuple[Place, ...] = ()
    look_alikes: tuple[LookAlike, ...] = ()
    sizes: tuple[SizeToCheck, ...] = ()
    together: tuple[Together, ...] = ()


class Parcel(msgspec.Struct, frozen=True):
    """All that one supplier sends."""

    supplier: str
    lines: tuple[GoodsLine, ...]


class BenchCheck(msgspec.Struct, frozen=True):
    """A check among new parts that must pass on the bench: ``kind`` is dry fit, pattern or figure; of a figure the
    limits in ``unit``. ``verdict``: as the records have it."""

    check: str
    kind: str
    places: tuple[Place, ...]
    parts: tuple[str, ...]
    verdict: str
    safety_critical: bool = False
    low: float | None = None
    high: float | None = None
    unit: str = ""
    method: str = ""


class GoodsIn(Answer, frozen=True):
    """The goods-in card of a named plan. ``has_plan``: what was ordered still makes a plan; without one nothing says
    what to measure."""

    plan: str
    vehicle: str
    title: str
    parcels: tuple[Parcel, ...] = ()
    bench: tuple[BenchCheck, ...] = ()
    has_plan: bool = True
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def lines(self) -> tuple[GoodsLine, ...]:
        """The lines of all parcels."""
        return tuple(line for parcel in self.parcels for line in parcel.lines)

    @property
    def is_good(self) -> bool:
        """Whether everything that was ordered is here and accepted."""
        return self.has_plan and all(x.line.accepted == x.line.ordered for x in self.lines)


def goods_in(catalogue: Catalogue, job: Job, patience: Patience | None = None) -> GoodsIn:
    """The card of what was ordered for a plan. Raises JobRefused where nothing was, RequestError, UnknownNameError."""
    every = stands(job.events)
    if not every:
        raise JobRefused(f"nothing was ordered of plan {job.name}. Place an order first: knockon order --plan --place")
    vehicle_name, typed = asked_in(job)
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    problem = Problem(Checks(catalogue, places), vehicle, request)
    filling = planner_of(problem, patience).best()
    card = _Card(catalogue, problem, filling, [x.part for x in every])
    suppliers = dict.fromkeys(x.supplier for x in every)
    return GoodsIn(
        plan=job.name,
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        parcels=tuple(Parcel(s, tuple(card.line(x) for x in every if x.supplier == s)) for s in suppliers),
        bench=tuple(bench_checks(problem, filling)) if filling is not None else (),
        has_plan=filling is not None,
        cautions=cautions_on(catalogue, [places.layout]),
    )


class _Card:
    """Writes lines for one plan."""

    def __init__(self, catalogue: Catalogue, problem: Problem, filling: Filling | None, numbers: Sequence[str]) -> None:
        self.catalogue, self.problem, self.filling, self.numbers = catalogue, problem, filling, list(numbers)
        self.places: dict[str, list[Place]] = {}
        self.sizes = Sizes(catalogue, problem, filling)
        if filling is not None:
            for place, candidate in sorted(filling.chosen.items()):
                if not candidate.stays:
                    self.places.setdefault(candidate.number, []).append(place)

    def line(self, stand: LineStands) -> GoodsLine:
        """One line."""
        part = self.catalogue.parts.get(stand.part)
        here = tuple(self.places.get(stand.part, ()))
        handed = part is not None and part.hand in SIDES
        return GoodsLine(
            line=stand,
            name=part.name if part is not None else "",
            hand=part.hand if part is not None and handed else "",
            hand_sign=self.catalogue.vocabulary.hand_sign(part.part_type) if part is not None and handed else "",
            places=here,
            look_alikes=tuple(self._look_alikes(stand.part, here)),
            sizes=tuple(self.sizes.of(stand.part, here)),
            together=self.sizes.together(here),
        )

    def _look_alikes(self, number: str, here: Sequence[Place]) -> Iterator[LookAlike]:
        """Numbers of the same part type that are in the order too, or that come off where this one goes."""
        part = self.catalogue.parts.get(number)
        if part is None:
            return
        others = dict.fromkeys(dict.fromkeys(self.numbers), IN_ORDER)
        for place in here:
            old = self.problem.staying(place)
            if old is not None and old.number:
                others.setdefault(old.number, COMES_OFF)
        for other, where in others.items():
            known = self.catalogue.parts.get(other)
            if known is None or other == number or known.part_type != part.part_type:
                continue
            mine, theirs = self._member_types(number), self._member_types(other)
            if mine != theirs and not mine & theirs:  # sets of quite other things
                continue
            answer = tell_apart(self.catalogue, number, other)
            found = [d for d in answer.differences if d.word == DIFFERS and d.what != "evidence"]
            said = (": ".join(x for x in (d.member, d.feature or d.what, d.dimension) if x) for d in found)
            differs = (f"{name}: {d.first} against {d.second}" for name, d in zip(said, found, strict=True))
            yield LookAlike(other, where, answer.told_apart, tuple(dict.fromkeys(differs)))

    def _member_types(self, number: str) -> set[str]:
        """The part types that the members of a set stand for; none of what is no set."""
        positions = self.problem.places.positions
        members = self.catalogue.set_members.get(number, ())
        return {positions[m.position].part_type for m in members if m.position in positions}


def bench_checks(problem: Problem, filling: Filling) -> Iterator[BenchCheck]:
    """The checks of which every part is new, and that are not proven or safety-critical; both sides in one, those that
    are safety-critical first. What one set states of its own members is no check among parts."""
    found: dict[tuple[str, str], tuple[Evidence, list[Place], list[str]]] = {}
    for evidence in _among_new(problem, filling):
        of_one = len(set(evidence.numbers)) == 1 and not evidence.verdict.is_unproven
        if (evidence.verdict.is_unproven or evidence.safety_critical) and not of_one:
            _, places, numbers = found.setdefault((evidence.check, evidence.verdict.value), (evidence, [], []))
            places.extend(evidence.places)
            numbers.extend(evidence.numbers)
    for evidence, places, numbers in sorted(found.values(), key=lambda one: not one[0].safety_critical):
        is_joint, lines = evidence.kind == "joint", evidence.lines
        required = [line for line in lines if line.need == "required"]
        by_name = is_joint and bool(required) and all(line.by_name for line in required)
        limit = next(iter(lines), None) if not is_joint else None
        yield BenchCheck(
            check=evidence.check,
            kind=PATTERN if by_name else DRY_FIT if is_joint else FIGURE,
            places=tuple(dict.fromkeys(places)),
            parts=tuple(dict.fromkeys(numbers)),
            verdict=evidence.verdict.value,
            safety_critical=evidence.safety_critical,
            low=limit.window_low if limit is not None else None,
            high=limit.window_high if limit is not None else None,
            unit=limit.unit if limit is not None else "",
            method=evidence.method,
        )


def _among_new(problem: Problem, filling: Filling) -> Iterator[Evidence]:
    chosen = filling.chosen
    for at in joints_that_count(problem, filling):
        if not (chosen[at.first].stays or chosen[at.second].stays):
            yield joint_evidence(problem.checks, at, chosen[at.first], chosen[at.second])
    for figure in figures_that_count(problem, filling):
        there = {p: chosen.get(p) for p in figure.places}
        if all(c is not None and not c.stays for c in there.values()):
            yield figure_evidence(problem.checks, figure, there, problem.vehicle)


# ---- readings


class Judged(msgspec.Struct, frozen=True):
    """What a reading says of a part: accept, reject or ask, and the limits."""

    typed: str
    verdict: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    codes: tuple[str, ...] = ()


def judged(catalogue: Catalogue, card: GoodsIn, number: str, typed: str) -> Judged:
    """Compare a reading of a part with its limits. Raises RequestError, UnknownNameError."""
    name, items = split(typed)
    part = catalogue.parts[number]
    alike = [n for n, p in catalogue.parts.items() if p.part_type == part.part_type]
    own = catalogue.features_of(number)
    features = [own, *(catalogue.features_of(n) for n in alike if n != number)]
    named = meant(catalogue, name, [own]) or meant(catalogue, name, features)
    if named is None:
        raise unknown_feature(catalogue, name, features)
    sizes = {(s.feature, s.dimension): s for x in card.lines if x.line.part == number for s in x.sizes}
    verdicts = []
    for reading in Reader(catalogue, features).readings(named, items):
        size = sizes.get((named.name, reading.dimension))
        verdicts.append((_verdict(reading, size), size))
    order = (REJECT, ASK, ACCEPT)
    verdict, size = min(verdicts, key=lambda pair: order.index(pair[0]))
    if size is None:
        return Judged(typed, verdict)
    return Judged(typed, verdict, size.low, size.high, size.unit, size.codes)


def _verdict(reading: Reading, size: SizeToCheck | None) -> str:
    """Wholly inside the limits: accept; wholly outside: reject; else, or without a limit: ask."""
    if size is None:
        return ASK
    if reading.code is not None:
        if not size.codes:
            return ASK
        return ACCEPT if reading.code.casefold() in {c.casefold() for c in size.codes} else REJECT
    if reading.value is None or (size.low is None and size.high is None):
        return ASK
    low, high = reading.value - reading.within, reading.value + reading.within
    if (size.low is None or low >= size.low - 1e-9) and (size.high is None or high <= size.high + 1e-9):
        return ACCEPT
    outside = (size.low is not None and high < size.low - 1e-9) or (size.high is not None and low > size.high + 1e-9)
    return REJECT if outside else ASK


def receive(
    folder: Path,
    job: Job,
    part: str,
    verdict: str,
    by: str,
    *,
    quantity: int | None = None,
    supplier: str = "",
    side: str = "",
    why: str = "",
    readings: Sequence[str] = (),
) -> tuple[Job, Received]:
    """Write down what came of a part. Raises JobRefused where it was not ordered, where more is said of it than was, or
    where a reason is lacking; NotWritten."""
    who = member(by)
    if verdict in (REJECT, ASK) and not why.strip():
        raise JobRefused(f"say why: --{verdict} {part} --why TEXT")
    if quantity is not None and quantity < 1:
        raise JobRefused("--quantity counts parts: 1 or more")

    def written(there: Job) -> Received:
        line, n = line_meant(there, part, supplier, verdict, quantity)
        return Received(who, now(), line.part, n, verdict, line.supplier, side, why.strip(), tuple(readings))

    event = written(job)

    def unchanged(there: Job) -> None:
        not_built(there)
        if msgspec.structs.replace(written(there), at=event.at) != event:
            raise JobRefused(f"somebody wrote to plan {job.name} meanwhile. Look at the card again")

    return add_event(folder, job.name, event, unchanged), event
