"""Wheels: rim diameters, bolt circle from what calipers reach, studs, room for the caliper, track."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import msgspec

from knockon.graph.formulas import wheels
from knockon.graph.formulas.interval import Interval, Value, as_interval, high, low, maximum, width
from knockon.queries.workshop.answer import COMMON_PRACTICE, Calculation, Influence, Listing, amount, influences, inside
from knockon.queries.workshop.template import A4, RULER, Template
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

KNOWN_CIRCLES = {
    3: (98.0, 100.0, 101.6, 112.0),
    4: (95.25, 98.0, 100.0, 101.6, 108.0, 110.0, 114.3),
    5: (98.0, 100.0, 107.95, 108.0, 110.0, 112.0, 114.3, 115.0, 120.0, 120.65, 127.0, 139.7),
    6: (114.3, 120.0, 127.0, 139.7),
}
"""Bolt circles in mm that are met with, by number of bolts. From memory, to name candidates only."""

LEAST_ROOM = 3.0
"""Room in mm between wheel and caliper. Common practice, no source."""
WEIGHT_ROOM = 4.0
"""Thickness in mm that stick-on weights take. Common practice, no source."""


class ChordReading(msgspec.Struct, frozen=True):
    """One reading between two bolts or holes: centre distance in mm, and places apart (1: neighbours)."""

    distance: Interval
    steps: int = 1


def rim(code: float) -> Calculation:
    """The two meanings of a rim's diameter, in mm. Raises ValueError."""
    return Calculation(
        subject="rim",
        question=f"How big is a {code:g} inch rim?",
        given=(amount("code", code, ""),),
        results=(
            amount("nominal rim diameter", float(wheels.nominal_rim_diameter(code)), "mm", "what tyres are named by"),
            amount("specified diameter", wheels.specified_rim_diameter(code), "mm", "5 degree drop centre, measured"),
        ),
        says=("The same wheel has both diameters: compare nominal with nominal and specified with specified.",),
        sources=(
            "UN Regulation 30, 2.17 (from memory): 25.4 x code, rounded",
            "tyres.wordpress.com/2006/12/11/with-rims-inches-rules: (code - 0.032) in",
        ),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def bolt_circle(holes: int, readings: Sequence[ChordReading], hub: Value | None = None) -> Calculation:
    """The bolt circle that all readings leave possible, and the known ones within it; sizes in mm.

    ``hub``: a bolt circle that it is to go on; each hole is then off by half the difference. Raises ValueError.
    """
    if not readings:
        raise ValueError("a bolt circle needs at least one reading")
    if any(low(r.distance) <= 0 for r in readings):
        raise ValueError("a distance of two centres must be above 0: over the edges less one hole, or between plus one")
    circles = [as_interval(wheels.chord_circle(r.distance, holes, r.steps)) for r in readings]
    agreed = wheels.agreeing_circle(circles)
    given = [
        amount(
            f"centre distance {i + 1}", r.distance, "mm", "neighbours" if r.steps == 1 else f"{r.steps} places apart"
        )
        for i, r in enumerate(readings)
    ]
    known = [] if agreed is None else wheels.circles_within(agreed, list(KNOWN_CIRCLES.get(holes, ())))
    results = [amount("bolt circle", agreed, "mm")] if agreed else []
    if agreed and hub is not None:
        results.append(
            amount("each hole off by", wheels.wrong_circle_error(agreed, hub), "mm", "on that hub, radially")
        )
    factor = math.sin(math.pi / holes)
    return Calculation(
        subject="bolt circle",
        question=f"Which bolt circle do {holes} holes lie on?",
        given=(amount("holes", holes, ""), *given),
        results=tuple(results),
        says=tuple(_circle_says(agreed, known, holes)),
        influences=influences(
            lambda *d: wheels.chord_circle(d[0], holes, readings[0].steps), {"centre distance": readings[0].distance}
        ),
        listings=(
            Listing(
                "Known bolt circles within that",
                ("bolt circle", "centre distance of neighbours"),
                tuple((f"{c:g} mm", f"{c * factor:.3f} mm") for c in known),
            ),
        )
        if known
        else (),
        sources=("geometry: PCD = c / sin(180 steps/n)",),
        cautions=(
            "A wheel of another bolt circle can start on the studs and never seat: the error is half the difference.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=agreed is not None,
    )


def stud(stand_out: Value, seat_thickness: Value, nut_thread: Value, diameter: float, pitch: float) -> Calculation:
    """How much of a wheel stud is in the nut; sizes in mm."""
    inputs = {
        "stud stands out": stand_out,
        "hub face to the nut's thread": seat_thickness,
        "thread in the nut": nut_thread,
    }
    engaged = wheels.stud_engagement(*inputs.values())
    enough = inside(engaged, Interval(diameter, math.inf))
    sentence = {
        "yes": "At least one stud diameter is engaged.",
        "no": "Less than one stud diameter is engaged: longer studs or a thinner seat."
        if high(engaged) > 0
        else "The nut does not reach the thread of the stud at all.",
        "open": "Not decided: these sizes allow less than one stud diameter. Count the turns.",
    }
    return Calculation(
        subject="wheel stud",
        question="How much of the stud is in the nut?",
        given=(*(amount(n, v, "mm") for n, v in inputs.items()), amount("stud diameter", diameter, "mm")),
        results=(
            amount("engaged length", engaged, "mm"),
            amount("turns of the nut", maximum(engaged, 0.0) * (1 / pitch), "turns"),
            amount("share of the diameter", engaged * (100 / diameter), "%"),
        ),
        says=(sentence[enough],),
        influences=influences(wheels.stud_engagement, inputs),
        sources=(f"geometry. At least one stud diameter: {COMMON_PRACTICE}",),
        cautions=VEHICLE_SHORT_CAUTIONS,
        good=enough == "yes",
    )


def caliper_room(
    barrel_radius: Value,
    caliper_reach: Value,
    dish_depth: Value,
    caliper_face: Value,
    weights: Value = 0.0,
    spacer: Value = 0.0,
) -> Calculation:
    """Room between wheel and caliper, radially and at the face; sizes in mm."""
    radial = wheels.barrel_room(barrel_radius, caliper_reach, weights)
    axial = wheels.face_room(dish_depth, caliper_face, spacer)
    wanted = Interval(LEAST_ROOM, math.inf)
    verdicts = {inside(radial, wanted), inside(axial, wanted)}
    says = []
    if low(radial) < LEAST_ROOM + low(weights) and high(radial + weights) >= LEAST_ROOM and high(weights) > 0:
        says.append("The stuck-on weights take the room: move them to the other edge, or use clip-on ones.")
    touches = high(radial) <= 0 or high(axial) <= 0
    if "no" in verdicts:
        much = "No room: it touches." if touches else f"Less than {LEAST_ROOM:g} mm of room: too close."
        says.insert(0, much)
    elif "open" in verdicts:
        says.insert(
            0, f"Not decided: these sizes allow less than {LEAST_ROOM:g} mm. Turn the wheel by hand on the car."
        )
    else:
        says.insert(0, f"At least {LEAST_ROOM:g} mm of room both ways.")
    return Calculation(
        subject="wheel to caliper",
        question="Does the caliper clear the wheel?",
        given=(
            amount("barrel radius at the caliper", barrel_radius, "mm"),
            amount("caliper reach from the axle", caliper_reach, "mm"),
            amount("dish depth from the mounting face", dish_depth, "mm"),
            amount("caliper face outboard of the mounting face", caliper_face, "mm"),
            amount("stuck-on weights", weights, "mm"),
            amount("spacer", spacer, "mm"),
        ),
        results=(amount("room at the barrel", radial, "mm"), amount("room at the face", axial, "mm")),
        says=tuple(says),
        influences=_tighter(
            (radial, wheels.barrel_room, {"barrel radius": barrel_radius, "reach": caliper_reach, "weights": weights}),
            (axial, wheels.face_room, {"dish depth": dish_depth, "caliper face": caliper_face, "spacer": spacer}),
        ),
        sources=(f"geometry. At least {LEAST_ROOM:g} mm both ways, after the weights: {COMMON_PRACTICE}",),
        cautions=(
            "Turn each wheel by hand, full lock both ways, before the first powered turn.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=verdicts == {"yes"},
    )


def _tighter(*rooms: tuple[Value, Callable[..., Value], dict[str, Value]]) -> tuple[Influence, ...]:
    """What makes the room that is uncertain so; the tighter one where both are."""
    open_ = sorted((low(room), i) for i, (room, _, _) in enumerate(rooms) if width(room) > 0)
    if not open_:
        return ()
    _, function, inputs = rooms[open_[0][1]]
    return influences(function, inputs)


def track(face_change: Value, offset_change: Value, spacer: Value = 0.0) -> Calculation:
    """Change of track over the axle; sizes in mm."""
    change = wheels.track_change(face_change, offset_change, spacer)
    inputs = {"mounting face moves out": face_change, "wheel offset grows": offset_change, "spacer": spacer}
    return Calculation(
        subject="track",
        question="How does the track change?",
        given=tuple(amount(n, v, "mm") for n, v in inputs.items()),
        results=(amount("track changes by", change, "mm", "over both wheels. Above zero: wider"),),
        influences=influences(wheels.track_change, inputs),
        sources=("geometry: 2 x (face change + spacer - offset change)",),
        cautions=("Check the arches at full lock and full bump.", *VEHICLE_SHORT_CAUTIONS),
    )


def drawn(template: Template, file: str, holes: int, circle: Value, hole: Value) -> Calculation:
    """What was drawn into a file, and how to print it; sizes in mm."""
    fits = template.fits(*A4)
    print_it = f"Written to {file}. Print at 100 %, then check that the ruler on it measures {RULER:.1f} mm."
    return Calculation(
        subject="template",
        question=f"A template of {holes} holes to lay on the hub",
        given=(amount("holes", holes, ""), amount("bolt circle", circle, "mm"), amount("hole", hole, "mm")),
        results=(
            amount("centre distance of neighbours", wheels.adjacent_spacing(as_interval(circle).middle, holes), "mm"),
            amount("width of the sheet", template.width, "mm"),
            amount("height of the sheet", template.height, "mm"),
        ),
        says=(print_it,) if fits else (print_it, "Too big for A4: print it on larger paper."),
        sources=("geometry: s = PCD sin(180/n)", "A4 210 x 297 mm: ISO 216"),
        cautions=(
            "A ruler that measures anything else means that the printer scaled the sheet.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def _circle_says(agreed: Interval | None, known: list[float], holes: int) -> list[str]:
    if agreed is None:
        return ["The readings contradict each other: no bolt circle gives all of them. Measure again."]
    if len(known) == 1:
        return [f"Of the bolt circles that are met with only {holes} x {known[0]:g} mm lies within it."]
    if not known:
        return ["None of the bolt circles that are met with lies within it."]
    return ["The readings leave more than one possible: measure closer, or make a template and try it."]
