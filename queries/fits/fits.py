"""Do these parts go together? The joints between them, and with more parts or a vehicle also the stacks and figures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

import msgspec

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue, SeveralReadingsError, UnknownNameError
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import SIDES, Part, SetAside, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_with, short_cautions_on
from knockon.queries.as_typed import RequestError, check_meant
from knockon.queries.fits.as_it_stands import wrong_now
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence, is_bare_claim
from knockon.queries.fits.checking.figure_evidence import said_if_together
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.laid_out import LaidOut, NotJudged, may_hold, worse
from knockon.queries.fits.left_out import Vacancy, empty_places, vacancies
from knockon.queries.fits.number_chains import Step, chain_of
from knockon.queries.fits.skipped import between, is_of_set, told, touching


class FitsAnswer(Answer, frozen=True):
    """The verdict on some parts. ``verdict`` is None where they do not meet anywhere; ``hint`` then says what was
    seen. ``set_aside``: rows of the layout that touch these parts and could not be used; with one that may stand
    between them the verdict is not known at best. ``left_out``: needed positions between these parts of which nothing
    is said; with one of them the verdict is not known at best. ``empty``: needed positions beside these parts that were
    to be judged as empty, which is a no. ``superseded``: what is claimed to have taken these numbers' place.
    ``lacks_checks``: usual checks of these parts that a layout in which they stand lacks. ``wrong``: joints and figures
    that are a no on the vehicle as it stands, whatever the given parts are. ``no_place``: given parts for which no
    layout that was asked has a position, so that the verdict says nothing of them."""

    parts: tuple[str, ...]
    names: tuple[str, ...]
    on: str
    verdict: Verdict | None
    joints: tuple[Evidence, ...]
    figures: tuple[Evidence, ...]
    not_judged: tuple[NotJudged, ...]
    hint: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    superseded: tuple[Step, ...] = ()
    left_out: tuple[Vacancy, ...] = ()
    empty: tuple[Vacancy, ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()
    wrong: tuple[Evidence, ...] = ()
    no_place: tuple[str, ...] = ()

    @property
    def worst_first(self) -> list[Evidence]:
        """All checks, the worst first; of those that are alike in verdict those that rest on a claim alone last."""
        return sorted((*self.joints, *self.figures), key=lambda e: (-SEVERITY[e.verdict], is_bare_claim(e)))

    @property
    def is_good(self) -> bool:
        """Whether all the given parts fit, made to or not."""
        return self.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK) and not self.no_place


def judge_parts(
    catalogue: Catalogue, numbers: Sequence[str], at: str = "", on: str = "", empty: Sequence[str] = ()
) -> FitsAnswer:
    """Judge parts against each other; ``at`` names one joint, ``on`` a vehicle that fills the other positions,
    ``empty`` positions in which nothing stands.

    Raises UnknownNameError for a part, joint, vehicle or position that the records do not hold, RecordsError where they
    name no joints at all, RequestError where a part can only stand in a position that is to be empty.
    """
    parts = [catalogue.find("part", n) for n in numbers]
    vehicle: Vehicle | None = catalogue.find("vehicle", on) if on else None
    layouts = [catalogue.layouts[vehicle.layout]] if vehicle else list(catalogue.layouts.values())
    has_joints(catalogue, layouts)
    if at:
        at = find_joint(catalogue, at)
    places = [Places(layout) for layout in layouts]
    vacant = empty_places(places, empty)
    asked = [(Checks(catalogue, p), vacant[p.layout.layout]) for p in places]
    answer = judged(catalogue, parts, at, vehicle, asked)
    return msgspec.structs.replace(answer, wrong=wrong_now(asked[0][0], vehicle)) if vehicle else answer


def has_joints(catalogue: Catalogue, layouts: Iterable[Layout]) -> None:
    """Raises RecordsError where no layout has a joint, and none was skipped."""
    if not any(layout.joints for layout in layouts) and not any(r.kind == "joint" for r in catalogue.set_aside):
        raise RecordsError("no layout of these records has joints (joints.csv), so nothing can be judged")


def judged(
    catalogue: Catalogue,
    parts: Sequence[Part],
    at: str,
    vehicle: Vehicle | None,
    asked: Sequence[tuple[Checks, frozenset[Place]]],
) -> FitsAnswer:
    """The same of parts that are found already, without what is wrong on the vehicle as it stands; ``asked`` are the
    checks of each layout, with its empty places.

    Raises RequestError where a part can only stand in a position that is to be empty.
    """
    on = vehicle.vehicle if vehicle else ""
    layouts = [checks.places.layout for checks, _ in asked]
    joints: dict[str, Evidence] = {}
    figures: dict[str, Evidence] = {}
    open_figures: dict[str, NotJudged] = {}
    given: set[str] = set()
    standing: set[str] = set()
    tables = _tables([p.part for p in parts], vehicle, asked)
    for table in tables:
        given |= {p.position for p in table.given}
        standing |= {p.position for p in (*table.given, *table.rest)}
        for evidence in table.joints():
            if not at or evidence.check.casefold() == at.casefold():
                joints[evidence.check] = worse(joints.get(evidence.check), evidence)
        if not at:
            for figure in table.checks.places.figures:
                table.figure(figure, figures, open_figures)
    checks = (*joints.values(), *figures.values())
    # what one part says of itself is no answer about several, unless it is a no
    found = [e.verdict for e in checks] if any(_about_several(e) or e.verdict.is_no for e in checks) else []
    aside = touching(catalogue, layouts, given, {p.part_type for p in parts}, on)
    aside = tuple(r for r in aside if not at or r.name.casefold() in ("", at.casefold()))
    aside = tuple(sorted(aside, key=lambda r: not between(r, layouts, standing)))
    meet = bool(checks) or not {"left", "right"} <= {p.hand for p in parts}
    given_sets = {p.part for p in parts}
    if meet and any(between(r, layouts, standing) or is_of_set(r, given_sets) for r in aside):
        found.append(Verdict.NOT_KNOWN)
    left_out, emptied = _vacant(tables, Counter(p.part for p in parts)) if not at else ((), ())
    found += [Verdict.NOT_KNOWN] if left_out else []
    found += [Verdict.DO_NOT_USE] if emptied else []
    verdict = max(found, key=SEVERITY.__getitem__) if found else None
    lacks = _lacking(catalogue, tables)
    return FitsAnswer(
        parts=tuple(p.part for p in parts),
        names=tuple(p.name for p in parts),
        on=on,
        verdict=verdict,
        joints=tuple(joints.values()),
        figures=tuple(said_if_together(f, joints.values()) for f in figures.values()),
        not_judged=tuple(n for f, n in open_figures.items() if f not in figures),
        hint="" if found else _hint(layouts, [p.hand for p in parts], at),
        cautions=(
            *cautions_with(catalogue, (p.part for p in parts), short_cautions_on(catalogue, layouts or None)),
            *_not_a_pair(parts),
            *told(aside),
            *lacking_told(lacks),
        ),
        set_aside=aside,
        left_out=left_out,
        empty=emptied,
        lacks_checks=lacks,
        superseded=tuple(s for p in parts for s in chain_of(catalogue, p.part).newer if s.part == p.part),
        no_place=_no_place(tables, [p.part for p in parts]),
    )


def _not_a_pair(parts: Sequence[Part]) -> Iterator[str]:
    """A word on two given parts of one type that are for the same side: two left calipers are no pair."""
    sided = Counter((p.part_type, p.hand) for p in parts if p.hand in SIDES)
    for (part_type, hand), number in sided.items():
        if number > 1:
            named = " and ".join(p.part for p in parts if (p.part_type, p.hand) == (part_type, hand))
            yield f"{named} are all for the {hand}. A pair ({part_type}) is one left and one right."


def _no_place(tables: Iterable[LaidOut], numbers: Sequence[str]) -> tuple[str, ...]:
    """The given parts for which no layout has a position."""
    placed = {c.number for t in tables for held in t.given.values() for c in held}
    return tuple(n for n in dict.fromkeys(numbers) if n not in placed)


def _lacking(catalogue: Catalogue, tables: Sequence[LaidOut]) -> tuple[Lacking, ...]:
    """The usual checks in which one of the given parts takes part, by layout."""
    return tuple(
        one for t in tables for one in lacking(catalogue, [t.checks.places.layout], {p.position for p in t.given})
    )


def _tables(
    numbers: list[str], vehicle: Vehicle | None, asked: Sequence[tuple[Checks, frozenset[Place]]]
) -> list[LaidOut]:
    """The parts laid into each layout."""
    tables = [LaidOut(checks, numbers, vehicle, vacant) for checks, vacant in asked]
    nowhere = {n for t in tables for n in t.displaced} - {
        c.number for t in tables for held in t.given.values() for c in held
    }
    if nowhere:
        number = min(nowhere)
        raise RequestError(f"{number} stands in a position that is to be empty. Leave out {number}, or --empty")
    return tables


def _vacant(tables: Sequence[LaidOut], given: Counter[str]) -> tuple[tuple[Vacancy, ...], tuple[Vacancy, ...]]:
    """(left out, left empty on purpose): of the layouts in which most of the given parts can stand."""
    most = max(len({c.number for held in t.given.values() for c in held}) for t in tables)
    left_out: dict[Vacancy, None] = {}
    emptied: dict[Vacancy, None] = {}
    for table in tables:
        if most and len({c.number for held in table.given.values() for c in held}) == most:
            places = table.checks.places
            left_out |= dict.fromkeys(vacancies(places, table.left_out(given), table.vacant))
            emptied |= dict.fromkeys(vacancies(places, table.emptied(), table.empty))
    return tuple(left_out), tuple(emptied)


def not_recorded(catalogue: Catalogue, vehicle: Vehicle) -> tuple[Place, ...]:
    """The needed places of a vehicle's own arrangement in which nothing is recorded."""
    table = LaidOut(Checks(catalogue, Places(catalogue.layouts[vehicle.layout])), [], vehicle)
    table.arrangements = may_hold(table.checks.places.layout, vehicle.arrangements, table.arrangements)
    return tuple(p for p in table.vacant if table.called_for(p))


def _about_several(evidence: Evidence) -> bool:
    """Whether more than one numbered thing takes part in a check."""
    if evidence.kind == "joint":
        return evidence.first != evidence.second
    return len(evidence.numbers) > 1


def find_joint(catalogue: Catalogue, name: str) -> str:
    """The joint of this name, as itself or as the trade says it. Raises UnknownNameError where no layout has it."""
    aside = {r.name for r in catalogue.set_aside if r.kind == "joint" and r.name}
    names = sorted({j.joint for layout in catalogue.layouts.values() for j in layout.joints} | aside)
    try:
        return check_meant("joint", name, names, catalogue.vocabulary.others("PartType"))
    except SeveralReadingsError:
        raise
    except UnknownNameError as unknown:
        ends = [(j.joint, e) for layout in catalogue.layouts.values() for j in layout.joints for _, e, _ in j.ends]
        by_feature = tuple(dict.fromkeys(joint for joint, e in ends if name.casefold() in e.casefold()))
        raise UnknownNameError("joint", name, by_feature[:3] or unknown.nearest) from unknown


def _hint(layouts: Sequence[Layout], hands: list[str], at: str) -> str:
    if {"left", "right"} <= set(hands):
        return "one is for the left and one for the right"
    if at:
        joint = next((j for layout in layouts for j in layout.joints if j.joint.casefold() == at.casefold()), None)
        if joint is None:
            return f"the records' row of {at} was skipped"
        return f"{joint.joint} is between the {joint.position} and the {joint.other_position}"
    return "no joint of any layout has both of them"
