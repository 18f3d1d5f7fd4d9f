"""A kit (or the shelf, or a list of part numbers) held against the best plan that uses most of it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout import Place, Places
from knockon.graph.model.things import Kit, KitLine, SetAside, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, OrderGroup, OrderLine, cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.as_it_stands import noes_at
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.notes_beside import failures_told
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.changes import KEPT, Findings, changes_of, findings_of
from knockon.queries.plan.figures import ToldFigure, told_figures, told_meetings
from knockon.queries.plan.orders import group_key, order_groups
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import check_kept, read_request
from knockon.queries.plan.solving.unproven import unproven_checks
from knockon.queries.plan.swap import asked_in_words

NOTHING_FOUND = Findings((), (), ())
PRESENT, MISSING, SHORT, PERHAPS, UNPROVEN = "present", "missing", "short", "short, perhaps inside", "present, unproven"


@dataclass(frozen=True, slots=True)
class KitGroup:
    """One order group of the plan and what the kit has of it."""

    group: str
    hand: str
    status: str
    lines: tuple[tuple[OrderLine, int], ...]
    to_measure: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KitPart:
    """One line of the kit: ``usable``, ``unproven``, ``wrong`` (a no beside the rest of the plan, or in no consistent
    filling) or ``surplus``; ``over``: more than needed. ``unasked``: it is wrong because another one was asked for."""

    number: str
    name: str
    quantity: int
    status: str
    over: int
    why: tuple[Evidence, ...]
    unasked: bool = False


@dataclass(frozen=True, slots=True)
class KitAnswer:
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
    asked: tuple[str, ...]
    groups: tuple[KitGroup, ...]
    parts: tuple[KitPart, ...]
    none: Reason | None
    message: str
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    figures: tuple[ToldFigure, ...] = ()
    meetings: tuple[ToldFigure, ...] = ()
    per: str = ""
    own: tuple[Evidence, ...] = ()
    notes: tuple[str, ...] = ()
    set_aside: tuple[SetAside, ...] = ()
    findings: Findings = NOTHING_FOUND
    lacks_checks: tuple[Lacking, ...] = ()

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
    want: Sequence[str] = (),
    keep: Sequence[str] = (),
    avoid: Sequence[str] = (),
    renew: Sequence[str] = (),
) -> KitAnswer:
    """Hold a kit against the best plan given the kit. Raises RequestError or UnknownNameError."""
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    kit = read_kit(catalogue, kit_name)
    places = Places(catalogue.find("layout", vehicle.layout))
    request = read_request(catalogue, places, want=want, keep=keep, avoid=avoid, renew=renew)
    check_kept(catalogue, request, places, vehicle)
    held: Counter[str] = Counter()
    for line in kit.lines:
        held[line.part] += line.quantity
    problem = Problem(Checks(catalogue, places), vehicle, request, dict(held))
    planner = Planner(problem)
    filling = planner.best()
    asked, findings = asked_in_words(request), findings_of(problem)
    base = (kit.kit, kit.title, kit.supplier, kit.price, kit.not_itemised, vehicle.vehicle, asked)
    lacks, usual = lacking(catalogue, [places.layout]), cautions_on(catalogue, [places.layout])
    if filling is None:
        none = Reasoner(planner, None, places_asked(w.places for w in request.wants)).reason_for_none()
        aside = touching(catalogue, [places.layout], places.positions, vehicle=vehicle.vehicle)
        return KitAnswer(
            *base, (), (), none, "", cautions=(*usual, *told(aside), *lacking_told(lacks)), set_aside=aside,
            findings=findings, lacks_checks=lacks,
        )  # fmt: skip
    unproven = unproven_checks(problem, filling)
    possible = planner.possible()
    changes = changes_of(planner, filling, (), with_reasons=False)
    groups = order_groups(problem, filling, changes)
    aside = touching(
        catalogue, [places.layout], {c.position for c in changes if c.status != KEPT}, vehicle=vehicle.vehicle
    )
    judged = tuple(_group(problem, filling, g, held, kit, unproven) for g in groups)
    parts = tuple(_part(problem, filling, n, q, possible, unproven, groups) for n, q in sorted(held.items()))
    return KitAnswer(
        *base,
        judged,
        parts,
        None,
        message_to_seller(kit, judged),
        cautions=(*usual, *told(aside), *lacking_told(lacks)),
        figures=told_figures(problem, filling),
        meetings=told_meetings(problem.checks, (e for p in parts for e in p.why)),
        per=kit.per,
        own=_at_odds(catalogue, held),
        notes=failures_told(catalogue, held),
        set_aside=aside,
        findings=findings,
        lacks_checks=lacks,
    )


def _at_odds(catalogue: Catalogue, held: Mapping[str, int]) -> tuple[Evidence, ...]:
    """The joints between lines of the kit that are a no, whatever vehicle they are for."""
    judged = judge_parts(catalogue, sorted(held)).joints if len(held) > 1 else ()
    return tuple(e for e in judged if e.verdict.is_no and e.first != e.second and {e.first, e.second} <= set(held))


def _open_sizes(candidate: Candidate, unproven: Sequence[Evidence]) -> tuple[str, ...]:
    """The open sizes of a thing in checks that are not known or disputed."""
    found = []
    for evidence in unproven:
        if evidence.verdict in (Verdict.NOT_KNOWN, Verdict.DISPUTED) and str(candidate.place) in evidence.places:
            found += [m for m in evidence.to_measure if m.startswith(candidate.thing + ",")]
            if evidence.verdict is Verdict.DISPUTED:
                found += [f"{candidate.thing}: sources disagree at {evidence.check}"]
    return tuple(dict.fromkeys(found))


def _group(
    problem: Problem,
    filling: Filling,
    group: OrderGroup,
    held: Mapping[str, int],
    kit: Kit,
    unproven: Sequence[Evidence],
) -> KitGroup:
    lines = tuple(
        (line, min(held.get(line.number, 0), line.quantity) if line.quantity else held.get(line.number, 0))
        for line in group.lines
    )
    lacking = [line for line, has in lines if has < line.quantity or (line.quantity == 0 and not has)]
    members = [c for c in filling.chosen.values() if not c.stays and group_key(problem, c) == (group.group, group.hand)]
    if lacking:
        gone = any(held.get(line.number, 0) == 0 for line in lacking)
        small = all(_is_small(problem, c) for c in members if c.number in {line.number for line in lacking})
        status = PERHAPS if kit.not_itemised and small else MISSING if gone else SHORT
        return KitGroup(group.group, group.hand, status, lines, ())
    sizes = tuple(dict.fromkeys(s for c in members for s in _open_sizes(c, unproven)))
    return KitGroup(group.group, group.hand, UNPROVEN if sizes else PRESENT, lines, sizes)


def _is_small(problem: Problem, candidate: Candidate) -> bool:
    part_type = problem.places.positions[candidate.place.position].part_type
    known = problem.checks.catalogue.vocabulary.part_types.get(part_type)
    return known is not None and known.small_fixing


def _part(
    problem: Problem,
    filling: Filling,
    number: str,
    quantity: int,
    possible: set[Candidate],
    unproven: Sequence[Evidence],
    groups: Sequence[OrderGroup],
) -> KitPart:
    part = problem.checks.catalogue.parts.get(number)
    name = part.name if part else ""
    used = [c for c in filling.chosen.values() if c.number == number and not c.stays]
    needed = sum(line.quantity for g in groups for line in g.lines if line.number == number)
    if used:
        open_sizes = any(_open_sizes(c, unproven) for c in used)
        return KitPart(number, name, quantity, "unproven" if open_sizes else "usable", max(0, quantity - needed), ())
    places = {c.place for c in problem.numbered if c.number == number and not c.stays}
    unasked = bool(places) and all(any(p in w.places for w in problem.request.wants) for p in places)
    why = _why_wrong(problem, filling, number)
    surplus = not why and any(c.number == number for c in possible)
    return KitPart(number, name, quantity, "surplus" if surplus else "wrong", quantity, why, unasked and not surplus)


def _why_wrong(problem: Problem, filling: Filling, number: str) -> tuple[Evidence, ...]:
    """The checks that are a no when the part is put into the plan as it stands."""
    swapped: dict[Place, Candidate] = {c.place: c for c in problem.numbered if c.number == number and not c.stays}
    return noes_at(problem.checks, problem.vehicle, {**filling.chosen, **swapped}, swapped)


def _asked_of_seller(sizes: Iterable[str]) -> list[str]:
    """Sizes as a seller is asked for them, those of both hands once: ``caliper, pistons: diameter, effective radius``;
    a set's members without its number."""
    found: dict[str, dict[str, None]] = {}
    for size in sizes:
        thing, _, rest = size.partition(", ")
        member = thing.partition("/")[2].partition("/")[0]
        feature, _, dimension = rest.partition(": ")
        found.setdefault(f"{member or thing}, {feature}" if rest else thing, {})[dimension] = None
    return [f"{what}: {', '.join(d)}" if any(d := list(dimensions)) else what for what, dimensions in found.items()]


def message_to_seller(kit: Kit, groups: Sequence[KitGroup]) -> str:
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
            sizes = _asked_of_seller(group.to_measure)
            lines.append(
                f"- {name}, {', '.join(line.number for line, _ in group.lines)}: please measure {'; '.join(sizes)}"
            )
            continue
        for line, has in group.lines:
            if has < line.quantity:
                verb = f"is it inside {kit.not_itemised!r}?" if group.status == PERHAPS else "is it included?"
                lines.append(f"- {name}: {line.number} {line.name}, {line.quantity} needed, {has} listed: {verb}")
    return "\n".join(lines)
