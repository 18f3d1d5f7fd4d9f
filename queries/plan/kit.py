"""A kit (or the shelf, or a list of part numbers) held against the best plan that uses most of it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import SIDES, Kit, KitLine, SetAside
from knockon.queries.answers import SHORT_CAUTIONS, Answer, OrderGroup, OrderLine, cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.as_it_stands import noes_at
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.notes_beside import failures_told
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.changes import NOTHING_FOUND, UNDECIDED, Findings, findings_of, positions_changed
from knockon.queries.plan.figures import ToldFigure, told_figures, told_meetings
from knockon.queries.plan.orders import group_key, order_groups
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.patience import BEST_PLAN, MAY_STAY, Found, Patience
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import TypedRequest, asked_of
from knockon.queries.plan.solving.undecided import BEST, PLAN, POSSIBLE, WHY_NONE, NotDecided, Undecided, is_undecided
from knockon.queries.plan.solving.unproven import unproven_checks

PRESENT, MISSING, SHORT, PERHAPS, UNPROVEN = "present", "missing", "short", "short, perhaps inside", "present, unproven"


class KitGroup(msgspec.Struct, frozen=True):
    """One order group of the plan and what the kit has of it."""

    group: str
    hand: str
    status: str
    lines: tuple[tuple[OrderLine, int], ...]
    to_measure: tuple[str, ...] = ()


class KitPart(msgspec.Struct, frozen=True):
    """One line of the kit: ``usable``, ``unproven``, ``wrong`` (a no beside the rest of the plan, or in no consistent
    filling), ``surplus``, or ``not decided`` in the time; ``over``: more than needed. ``unasked``: it is wrong because
    another one was asked for."""

    number: str
    name: str
    quantity: int
    status: str = ""
    over: int = 0
    why: tuple[Evidence, ...] = ()
    unasked: bool = False


class OneSided(msgspec.Struct, frozen=True):
    """Parts of one type of which a kit has enough for both sides, and all for the one: two left calipers."""

    part_type: str
    hand: str
    parts: tuple[str, ...]
    quantity: int


class KitAnswer(Answer, frozen=True):
    """What a kit lacks for a plan. ``message`` may be sent to the seller.

    ``per``: axle or side, as it is sold. ``own`` are the joints between lines of the kit itself that are a no;
    ``notes`` tell of failures with its parts.

    ``figures`` and ``meetings`` are the workshop's numbers for that plan, and for the kit's lines that are ruled out.
    ``set_aside``: rows of the layout that touch what changes and could not be used, so that nobody checks them.
    ``findings``: what is wrong or unknown on the vehicle as it stands. ``lacks_checks``: usual checks that its layout
    lacks.
    """

    kit: str
    title: str
    supplier: str
    price: float | None
    not_itemised: str
    vehicle: str
    asked: tuple[Asked, ...]
    groups: tuple[KitGroup, ...] = ()
    parts: tuple[KitPart, ...] = ()
    none: Reason | None = None
    message: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    figures: tuple[ToldFigure, ...] = ()
    meetings: tuple[ToldFigure, ...] = ()
    per: str = ""
    own: tuple[Evidence, ...] = ()
    notes: tuple[str, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    findings: Findings = NOTHING_FOUND
    lacks_checks: tuple[Lacking, ...] = ()
    not_decided: tuple[NotDecided, ...] = ()
    one_sided: tuple[OneSided, ...] = ()

    @property
    def is_planned(self) -> bool:
        """Whether there is a plan that the kit was held against."""
        return self.none is None and not is_undecided(self.not_decided, PLAN, WHY_NONE)

    def count(self, *statuses: str) -> int:
        """How many groups have one of these states."""
        return sum(g.status in statuses for g in self.groups)


def read_kit(catalogue: Catalogue, text: str) -> Kit:
    """A kit of the records, or a list of part numbers ``LARCH-201 x2, LARCH-204``; raises RequestError,
    UnknownNameError."""
    if "," not in text and text.strip() not in catalogue.parts and not re.search(r"\sx\s*\d+$", text):
        kit: Kit = catalogue.find("kit", text)
        return kit

    lines: Counter[str] = Counter()
    for piece in filter(None, (p.strip() for p in text.split(","))):
        match = re.fullmatch(r"(.+?)(?:\s*[x×]\s*(\d+))?", piece) if not catalogue.parts.get(piece) else None
        number, count = (match.group(1), int(match.group(2) or 1)) if match else (piece, 1)
        lines[catalogue.find("part", number).part] += count
    if not lines:
        raise RequestError(f"{text!r} names no parts")
    named = ", ".join(f"{n} x{q}" for n, q in sorted(lines.items()))
    return Kit("list", "shelf", f"of parts: {named}", lines=tuple(KitLine(n, q) for n, q in sorted(lines.items())))


def check_kit(
    catalogue: Catalogue,
    kit_name: str,
    vehicle_name: str,
    *,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> KitAnswer:
    """Hold a kit against the best plan given the kit. Raises RequestError or UnknownNameError."""
    kit = read_kit(catalogue, kit_name)
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    held: Counter[str] = Counter()
    for line in kit.lines:
        held[line.part] += line.quantity
    problem = Problem(Checks(catalogue, places), vehicle, request, dict(held))
    planner = Planner(problem, patience)
    undecided = Undecided(planner.patience)
    planner.patience.heard(BEST_PLAN, 0, 0)
    filling = undecided.in_time(planner.best, None, PLAN)
    planner.patience.again()
    lacks, usual = lacking(catalogue, [places.layout]), cautions_on(catalogue, [places.layout])
    answer = KitAnswer(
        kit=kit.kit,
        title=kit.title,
        supplier=kit.supplier,
        price=kit.price,
        not_itemised=kit.not_itemised,
        vehicle=vehicle.vehicle,
        asked=request.in_words,
        findings=findings_of(problem),
        lacks_checks=lacks,
        one_sided=tuple(_one_sided(catalogue, places, held)),
    )
    if filling is None:
        none = None
        if not undecided.all:
            reasoner = Reasoner(planner, None, places_asked(w.places for w in request.wants))
            none = undecided.in_time(reasoner.reason_for_none, None, WHY_NONE)
        aside = touching(catalogue, [places.layout], places.positions, vehicle=vehicle.vehicle)
        cautions = (*usual, *told(aside), *lacking_told(lacks))
        return replace(answer, none=none, cautions=cautions, set_aside=aside, not_decided=undecided.all)
    if not filling.proved:
        undecided.add(BEST)
    unproven = unproven_checks(problem, filling)
    groups = order_groups(problem, filling)
    changed = positions_changed(problem, filling)
    aside = touching(catalogue, [places.layout], changed, vehicle=vehicle.vehicle)
    beside = _Beside(problem, filling, unproven)
    judged = tuple(beside.group(g, kit, held) for g in groups)
    needed: Counter[str] = Counter()
    for one in (line for g in groups for line in g.lines):
        needed[one.number] += one.quantity
    planner.patience.heard(MAY_STAY, 0, 0)
    possible = planner.numbers_possible(n for n in sorted(held) if beside.is_open(n))
    parts = tuple(beside.part(n, q, needed[n], possible) for n, q in sorted(held.items()))
    if waiting := [p.number for p in parts if p.status == UNDECIDED]:
        undecided.add(POSSIBLE, *waiting)
    return replace(
        answer,
        groups=judged,
        parts=parts,
        message=message_to_seller(catalogue, kit, judged),
        cautions=(*usual, *told(aside), *lacking_told(lacks)),
        figures=told_figures(problem, filling),
        meetings=told_meetings(problem.checks, (e for p in parts for e in p.why)),
        per=kit.per,
        own=_at_odds(catalogue, held),
        notes=failures_told(catalogue, held),
        set_aside=aside,
        not_decided=undecided.all,
    )


def _one_sided(catalogue: Catalogue, places: Places, held: Mapping[str, int]) -> Iterator[OneSided]:
    """The part types of which the kit has pieces for two sides, by their number, and none but of one hand."""
    types: dict[str, dict[str, list[str]]] = {}
    for number in sorted(held):
        part = catalogue.parts.get(number)
        if part is not None:
            types.setdefault(part.part_type, {}).setdefault(part.hand, []).append(number)
    for part_type, by_hand in sorted(types.items()):
        each = [p.quantity for p in places.layout.positions if catalogue.vocabulary.is_a(part_type, p.part_type)]
        if len(by_hand) != 1 or not each:
            continue
        ((hand, numbers),) = by_hand.items()
        quantity = sum(held[n] for n in numbers)
        if hand in SIDES and quantity >= 2 * min(each):
            yield OneSided(part_type, hand, tuple(numbers), quantity)


def _at_odds(catalogue: Catalogue, held: Mapping[str, int]) -> tuple[Evidence, ...]:
    """The joints between lines of the kit that are a no, whatever vehicle they are for."""
    judged = judge_parts(catalogue, sorted(held)).joints if len(held) > 1 else ()
    return tuple(e for e in judged if e.verdict.is_no and e.first != e.second and {e.first, e.second} <= set(held))


class _Beside(msgspec.Struct, frozen=True):
    """The plan beside which a kit is judged, and its unproven checks."""

    problem: Problem
    filling: Filling
    unproven: Sequence[Evidence]

    def group(self, group: OrderGroup, kit: Kit, held: Mapping[str, int]) -> KitGroup:
        """What the kit has of an order group; ``held``: how many of each number it has."""
        lines = tuple(
            (line, min(held.get(line.number, 0), line.quantity) if line.quantity else held.get(line.number, 0))
            for line in group.lines
        )
        lacking = [line for line, has in lines if has < line.quantity or (line.quantity == 0 and not has)]
        new = (c for c in self.filling.chosen.values() if not c.stays)
        members = [c for c in new if group_key(self.problem, c) == (group.group, group.hand)]
        if lacking:
            gone = any(held.get(line.number, 0) == 0 for line in lacking)
            small = all(self._is_small(c) for c in members if c.number in {line.number for line in lacking})
            status = PERHAPS if kit.not_itemised and small else MISSING if gone else SHORT
            return KitGroup(group.group, group.hand, status, lines)
        sizes = tuple(dict.fromkeys(s for c in members for s in self._open_sizes(c)))
        return KitGroup(group.group, group.hand, UNPROVEN if sizes else PRESENT, lines, sizes)

    def part(self, number: str, quantity: int, needed: int, possible: Found[str]) -> KitPart:
        """What one line of the kit is good for; ``possible``: of the numbers that are open, those that stand in some
        consistent filling."""
        part = self.problem.checks.catalogue.parts.get(number)
        line = KitPart(number, part.name if part else "", quantity)
        if used := self._used(number):
            open_sizes = any(self._open_sizes(c) for c in used)
            return replace(line, status="unproven" if open_sizes else "usable", over=max(0, quantity - needed))
        why = self._why_wrong(number)
        if number in possible and not why:
            return replace(line, status="surplus", over=quantity)
        places = self._places(number)
        if not possible.whole and not why and places:
            return replace(line, status=UNDECIDED)
        unasked = bool(places) and all(any(p in w.places for w in self.problem.request.wants) for p in places)
        return replace(line, status="wrong", over=quantity, why=why, unasked=unasked)

    def is_open(self, number: str) -> bool:
        """Whether it hangs on its being possible at all what a line of the kit is good for."""
        return not self._used(number) and not self._why_wrong(number)

    def _used(self, number: str) -> list[Candidate]:
        return [c for c in self.filling.chosen.values() if c.number == number and not c.stays]

    def _places(self, number: str) -> set[Place]:
        return {c.place for c in self.problem.numbered if c.number == number and not c.stays}

    def _open_sizes(self, candidate: Candidate) -> tuple[str, ...]:
        """The open sizes of a thing in checks that are not known or disputed."""
        found: list[str] = []
        for evidence in self.unproven:
            if evidence.verdict in (Verdict.NOT_KNOWN, Verdict.DISPUTED) and candidate.place in evidence.places:
                found += [m for m in evidence.to_measure if m.thing == candidate.thing]
                if evidence.verdict is Verdict.DISPUTED:
                    found += [f"{candidate.thing}: sources disagree at {evidence.check}"]
        return tuple(dict.fromkeys(found))

    def _is_small(self, candidate: Candidate) -> bool:
        part_type = self.problem.places.positions[candidate.place.position].part_type
        known = self.problem.checks.catalogue.vocabulary.part_types.get(part_type)
        return known is not None and known.small_fixing

    def _why_wrong(self, number: str) -> tuple[Evidence, ...]:
        """The checks that are a no when the part is put into the plan as it stands."""
        swapped: dict[Place, Candidate] = {
            c.place: c for c in self.problem.numbered if c.number == number and not c.stays
        }
        standing = {**self.filling.chosen, **swapped}
        return noes_at(self.problem.checks, self.problem.vehicle, standing, swapped)


def _asked_of_seller(catalogue: Catalogue, sizes: Iterable[str]) -> list[str]:
    """Sizes as a seller is asked for them, those of both hands once: ``caliper, pistons: diameter, effective radius``;
    a set's members without its number. What is no size is told as it stands."""
    found: dict[str, dict[str, None]] = {}
    for size in sizes:
        if isinstance(size, SizeOf):
            what = next((m.position for m in catalogue.members.get(size.thing, ())), size.thing)
            found.setdefault(f"{what}, {size.feature}", {})[size.dimension] = None
        else:
            found[size] = {}
    return [f"{what}: {', '.join(dimensions)}" if dimensions else what for what, dimensions in found.items()]


def message_to_seller(catalogue: Catalogue, kit: Kit, groups: Sequence[KitGroup]) -> str:
    """A short letter that asks the seller about what is short, unproven or missing; about groups that the kit has
    nothing of only where it has something of at least half, and so means to be the whole."""
    touched = [g for g in groups if g.status in (PRESENT, UNPROVEN, PERHAPS) or any(has for _, has in g.lines)]
    asked = groups if 2 * len(touched) >= len(groups) else touched
    wanting = [g for g in asked if g.status != PRESENT]
    if not wanting:
        return ""
    lines = [f"About {kit.title or kit.kit}: before I order, please tell me"]
    for group in wanting:
        name = " ".join(x for x in (group.group, group.hand) if x)
        if group.status == UNPROVEN:
            sizes = _asked_of_seller(catalogue, group.to_measure)
            lines.append(
                f"- {name}, {', '.join(line.number for line, _ in group.lines)}: please measure {'; '.join(sizes)}"
            )
            continue
        for line, has in group.lines:
            if has < line.quantity:
                verb = f"is it inside {kit.not_itemised!r}?" if group.status == PERHAPS else "is it included?"
                lines.append(f"- {name}: {line.number} {line.name}, {line.quantity} needed, {has} listed: {verb}")
    return "\n".join(lines)
