"""Which of the recorded vehicles do these parts fit? The question of one vehicle, asked of each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import number_of
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.things import Part, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer
from knockon.queries.fits.as_it_stands import Wrong, wrong_by_name
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.fits.fits import FitsAnswer, find_joint, has_joints, judged
from knockon.queries.fits.left_out import Vacancy, empty_places
from knockon.queries.fits.number_chains import Step


class OnVehicle(msgspec.Struct, frozen=True):
    """What is said of one vehicle: the ``verdict`` that the question about this vehicle alone has. It is None where the
    question does not apply: a part has no place there (``no_place``), or the parts meet nothing there (``hint``).

    ``places``: where they could stand; ``there``: those of them in which the very number stands already.
    ``arrangement``: those that these places belong to and the vehicle does not have. ``deciding``: the worst check,
    none where a needed position that is ``left_out`` or ``empty`` decides; ``alike`` counts the checks
    with that verdict.
    ``to_measure``: the sizes that leave the verdict open; ``to_read``: the vehicle's own things of which only their
    numbers' sizes are known. ``wrong``: checks that are a no on the vehicle as it stands, whatever the parts are.
    """

    vehicle: str
    title: str
    as_made: bool
    verdict: Verdict | None
    places: tuple[Place, ...] = ()
    there: tuple[Place, ...] = ()
    arrangement: tuple[str, ...] = ()
    deciding: Evidence | None = None
    alike: int = 0
    left_out: tuple[Vacancy, ...] = ()
    empty: tuple[Vacancy, ...] = ()
    to_measure: tuple[SizeOf, ...] = ()
    to_read: tuple[str, ...] = ()
    wrong: tuple[Wrong, ...] = ()
    no_place: tuple[str, ...] = ()
    hint: str = ""


class FitsOnAllAnswer(Answer, frozen=True):
    """The verdict on some parts for every recorded vehicle, by name. ``fits``: on how many they fit
    (made to or not); ``applies``: on how many they have a place; ``do_not_use``: on how many they go together and must
    not be used."""

    parts: tuple[str, ...]
    names: tuple[str, ...]
    vehicles: tuple[OnVehicle, ...]
    fits: int
    applies: int
    do_not_use: int
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    superseded: tuple[Step, ...] = ()

    @property
    def is_good(self) -> bool:
        """Whether they fit every vehicle on which they have a place, and have one."""
        return 0 < self.fits == self.applies


def judge_on_all(
    catalogue: Catalogue, numbers: Sequence[str], at: str = "", empty: Sequence[str] = ()
) -> FitsOnAllAnswer:
    """Judge parts on every recorded vehicle, as ``judge_parts`` does on one.

    Raises UnknownNameError for a part, joint or position that the records do not hold, RecordsError where they hold no
    vehicle or no joint, RequestError where a part can only stand in a position that is to be empty.
    """
    parts: list[Part] = [catalogue.find("part", n) for n in numbers]
    if not catalogue.vehicles:
        raise RecordsError("these records hold no vehicle (vehicles.csv), so there is none to judge the parts on")
    has_joints(catalogue, catalogue.layouts.values())
    if at:
        at = find_joint(catalogue, at)
    places = {name: Places(layout) for name, layout in catalogue.layouts.items()}
    vacant = empty_places(places.values(), empty)
    checks = {name: Checks(catalogue, p) for name, p in places.items()}
    answers = []
    for vehicle in catalogue.vehicles.values():
        layout = vehicle.layout
        answer = judged(catalogue, parts, at, vehicle, [(checks[layout], vacant[layout])])
        answers.append((answer, _on(catalogue, checks[layout], vehicle, answer, vacant[layout])))
    rows = tuple(row for _, row in answers)
    return FitsOnAllAnswer(
        parts=tuple(p.part for p in parts),
        names=tuple(p.name for p in parts),
        vehicles=rows,
        fits=sum(r.verdict in (Verdict.FITS, Verdict.FITS_WITH_WORK) for r in rows),
        applies=sum(r.verdict is not None for r in rows),
        do_not_use=sum(r.verdict is Verdict.DO_NOT_USE for r in rows),
        cautions=tuple(dict.fromkeys(c for answer, _ in answers for c in answer.cautions)),
        superseded=answers[0][0].superseded,
    )


def _on(
    catalogue: Catalogue, checks: Checks, vehicle: Vehicle, answer: FitsAnswer, vacant: Iterable[Place]
) -> OnVehicle:
    """What is said of one vehicle, out of the whole answer about it."""
    places = _places(catalogue, checks.places, answer.parts, vacant)
    verdict = None if answer.no_place else answer.verdict
    known = OnVehicle(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        as_made=vehicle.as_made,
        verdict=verdict,
        places=places,
        arrangement=_other_arrangements(checks.places, vehicle, places),
        wrong=wrong_by_name(checks, vehicle),
        no_place=answer.no_place,
        hint=answer.hint,
    )
    if verdict is None:
        return known
    worst = answer.worst_first
    alike = [e for e in worst if e.verdict is verdict]
    unproven = [e for e in worst if e.verdict.is_unproven] if not verdict.is_no else []
    return msgspec.structs.replace(
        known,
        there=tuple(p for p in places if _stands(catalogue, vehicle, p, answer.parts)),
        deciding=alike[0] if alike else None,
        alike=len(alike),
        left_out=answer.left_out,
        empty=answer.empty,
        to_measure=tuple(dict.fromkeys(size for e in unproven for size in e.to_measure)),
        to_read=_to_read(catalogue, unproven, answer.parts),
    )


def _places(catalogue: Catalogue, places: Places, numbers: Sequence[str], vacant: Iterable[Place]) -> tuple[Place, ...]:
    """Where the parts could stand in a layout, in its order."""
    free = (p for p in places.all if p not in set(vacant))
    return tuple(p for p in free if next(iter(new_parts(catalogue, places, p, numbers)), None) is not None)


def _other_arrangements(places: Places, vehicle: Vehicle, standing: Iterable[Place]) -> tuple[str, ...]:
    """The arrangements of these places that the vehicle is known not to have, since it has another of the choice."""
    named = dict.fromkeys(places.positions[p.position].arrangement for p in standing)
    return tuple(a for a in named if a and others_than(places.layout, a) & {*vehicle.arrangements})


def _stands(catalogue: Catalogue, vehicle: Vehicle, place: Place, numbers: Sequence[str]) -> bool:
    rows = {(f.position, f.side): f for f in vehicle.fittings}
    fitting = rows.get((place.position, place.side)) or rows.get((place.position, ""))
    if fitting is None:
        return False
    item = catalogue.items.get(fitting.item)
    return (fitting.part or (item.part if item else "")) in numbers


def _to_read(catalogue: Catalogue, checks: Iterable[Evidence], numbers: Sequence[str]) -> tuple[str, ...]:
    """What stands on the vehicle and was not measured there, of checks that fit on paper."""
    found: dict[str, None] = {}
    for evidence in (e for e in checks if e.verdict is Verdict.FITS_ON_PAPER):
        for value in (v for line in evidence.lines if line.need == "required" for v in line.values):
            if (
                value.computes
                and value.standing != "on the item"
                and number_of(value.of, catalogue.items, catalogue.members) not in numbers
            ):
                found[value.of] = None
    return tuple(found)
