"""Brake hydraulics and balance: pressure, pedal, fluid, torque, front share. Compared, never called safe."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.formulas import brakes
from knockon.graph.formulas import hydraulics as formulas
from knockon.graph.formulas.hydraulics import Demand
from knockon.graph.formulas.interval import Interval, Value, as_interval, high, low
from knockon.queries.workshop.answer import COMMON_PRACTICE, FROM_MEMORY, Calculation, amount, influences
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

ASSUMPTIONS = (
    f"pads: friction {brakes.PAD_FRICTION:g} ({FROM_MEMORY})",
    f"drums: C* {brakes.TWIN_LEADING:g} twin leading in front, {brakes.LEADING_TRAILING:g} leading and trailing "
    f"at the rear ({FROM_MEMORY})",
    "equal line pressure front and rear. Limiter and booster are left out",
)

NEVER_SAFE = "A comparison by geometry with the same assumptions for both. It never says that a vehicle brakes safely."
_SHARE_SOURCE = "2 mu A r for a disc (engineeringtoolbox.com, disk brakes), C* A D/2 for a drum"


class Axles(msgspec.Struct, frozen=True):
    """The brakes of a vehicle in mm: a disc (piston on one side, effective radius) or drum front, and a drum rear.

    What is not there is 0. ``master`` is the master's bore, 0 where it is not to be compared.
    """

    piston: Value = 0.0
    effective_radius: Value = 0.0
    front_cylinder: Value = 0.0
    front_drum: Value = 0.0
    rear_cylinder: Value = 0.0
    rear_drum: Value = 0.0
    master: Value = 0.0

    @property
    def front(self) -> Value:
        """Front torque of one wheel per pressure in N mm/MPa."""
        return brakes.disc_torque_per_pressure(self.piston, self.effective_radius) + brakes.drum_torque_per_pressure(
            self.front_cylinder, self.front_drum, brakes.TWIN_LEADING
        )

    @property
    def rear(self) -> Value:
        """Rear torque of one wheel per pressure in N mm/MPa."""
        return brakes.drum_torque_per_pressure(self.rear_cylinder, self.rear_drum, brakes.LEADING_TRAILING)

    @property
    def sizes(self) -> dict[str, Value]:
        """The sizes that make the share, by name."""
        return {
            "front piston": self.piston,
            "effective radius": self.effective_radius,
            "front cylinder": self.front_cylinder,
            "front drum": self.front_drum,
            "rear cylinder": self.rear_cylinder,
            "rear drum": self.rear_drum,
        }


def balance(as_made: Axles, planned: Axles) -> Calculation:
    """Front share, front torque and pedal force of the planned brakes against those of the vehicle as made.

    All in per cent, from sizes in mm.
    Raises ValueError where either has no brakes at all.
    """
    before, after = brakes.front_share(as_made.front, as_made.rear), brakes.front_share(planned.front, planned.rear)
    results = [
        amount("front share as made", before, "%"),
        amount("front share planned", after, "%"),
        amount("shift", after - before, "%", "points. Below zero: towards the rear"),
    ]
    if low(as_made.front) > 0 and low(planned.front) > 0:
        ratio = planned.front / as_made.front
        results.append(amount("front torque per pressure", 100 * (ratio - 1), "%", "change"))
        if low(as_made.master) > 0 and low(planned.master) > 0:
            bores = planned.master / as_made.master
            force = formulas.pedal_force_ratio(planned.master, as_made.master)
            results += [
                amount("pressure per pedal force", 100 * (1 / force - 1), "%", "change"),
                amount("pedal force for the same pressure", 100 * (force - 1), "%", "change"),
                amount(
                    "pedal force for the same front torque",
                    100 * (formulas.stop_force_ratio(ratio, bores) - 1),
                    "%",
                    "change, without a booster",
                ),
            ]
    good = low(after) >= high(before) - 1e-6
    return Calculation(
        subject="balance",
        question="How do the planned brakes share the work, against the vehicle as made?",
        given=(
            *(amount(f"{n}, as made", v, "mm") for n, v in as_made.sizes.items() if high(v) > 0),
            *(amount(f"{n}, planned", v, "mm") for n, v in planned.sizes.items() if high(v) > 0),
        ),
        results=tuple(results),
        says=tuple(_balance_says(before, after)),
        influences=influences(brakes.front_share_of_braking, planned.sizes),
        assumptions=ASSUMPTIONS,
        sources=(_SHARE_SOURCE, f"front share not below that as made: {COMMON_PRACTICE}"),
        cautions=(
            NEVER_SAFE,
            "One axle: fit the same parts in the same condition on both sides.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=good,
    )


def pedal(pedal_force: Value, pedal_ratio: Value, master: Value, cylinders: dict[str, Value]) -> Calculation:
    """Line pressure and piston forces from a pedal force in N; bores in mm by name."""
    pressure = formulas.line_pressure(pedal_force, pedal_ratio, master)
    inputs = {"pedal force": pedal_force, "pedal ratio": pedal_ratio, "master bore": master}
    return Calculation(
        subject="pedal",
        question="What pressure and force does the pedal make?",
        given=(
            amount("pedal force", pedal_force, "N"),
            amount("pedal ratio", pedal_ratio, ""),
            amount("master bore", master, "mm"),
            *(amount(f"bore, {n}", b, "mm") for n, b in cylinders.items()),
        ),
        results=(
            amount("line pressure", pressure, "MPa"),
            *(
                amount(f"force of one piston, {n}", formulas.piston_force(pressure, b), "N")
                for n, b in cylinders.items()
            ),
        ),
        influences=influences(formulas.line_pressure, inputs),
        assumptions=("no booster, no friction, no limiter",),
        sources=("Pascal: pressure = force / area",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )


def pedal_for(pressure: Value, pedal_ratio: Value, master: Value, cylinders: dict[str, Value]) -> Calculation:
    """Pedal force for a line pressure in MPa, and the piston forces at it; bores in mm by name."""
    inputs = {"line pressure": pressure, "pedal ratio": pedal_ratio, "master bore": master}
    return Calculation(
        subject="pedal",
        question="What force on the pedal makes this pressure?",
        given=(
            amount("line pressure", pressure, "MPa"),
            amount("pedal ratio", pedal_ratio, ""),
            amount("master bore", master, "mm"),
            *(amount(f"bore, {n}", b, "mm") for n, b in cylinders.items()),
        ),
        results=(
            amount("pedal force", formulas.pedal_force_for(pressure, pedal_ratio, master), "N"),
            *(
                amount(f"force of one piston, {n}", formulas.piston_force(pressure, b), "N")
                for n, b in cylinders.items()
            ),
        ),
        influences=influences(formulas.pedal_force_for, inputs),
        assumptions=("no booster, no friction, no limiter",),
        sources=("Pascal: pressure = force / area",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )


def volume(master: Value, stroke: Value, pedal_ratio: Value, demands: Sequence[tuple[str, Demand]]) -> Calculation:
    """Fluid that the brakes take, against the stroke of the master; lengths in mm.

    Raises ValueError where two kinds of piston have one name.
    """
    if len({n for n, _ in demands}) < len(demands):
        raise ValueError("name each kind of piston once, such as front and rear")
    total = formulas.fluid_volume([d for _, d in demands])
    travel = formulas.master_travel(total, master)
    share = formulas.stroke_share(travel, stroke)

    def shared(bore: Value, way: Value, *own: Value) -> Value:
        half = len(own) // 2
        sizes = zip(own[:half], own[half:], (d.pistons for _, d in demands), strict=True)
        taken = formulas.fluid_volume([Demand(b, t, n) for b, t, n in sizes])
        return formulas.stroke_share(formulas.master_travel(taken, bore), way)

    inputs: dict[str, Value] = {"master bore": master, "stroke": stroke}
    inputs |= {f"bore, {n}": d.bore for n, d in demands} | {f"travel, {n}": d.travel for n, d in demands}
    good = high(share) <= formulas.STROKE_SHARE
    open_ = not good and low(share) <= formulas.STROKE_SHARE
    return Calculation(
        subject="volume",
        question="Is the master's stroke enough for the brakes?",
        given=(
            amount("master bore", master, "mm"),
            amount("stroke", stroke, "mm"),
            amount("pedal ratio", pedal_ratio, ""),
            *(
                amount(f"bore, {n}", d.bore, "mm", f"{d.pistons} pistons, each moves {as_interval(d.travel)} mm")
                for n, d in demands
            ),
        ),
        results=(
            amount("fluid", total * 1e-3, "ml"),
            amount("travel of the master's piston", travel, "mm"),
            amount("share of its stroke", share, "%"),
            amount("travel of the pedal", formulas.pedal_travel(travel, pedal_ratio), "mm"),
        ),
        says=(
            f"At most {formulas.STROKE_SHARE:g} % of the stroke is used."
            if good
            else f"Not decided: between {low(share):.0f} and {high(share):.0f} % of the stroke is used."
            if open_
            else f"More than {formulas.STROKE_SHARE:g} % of the stroke is used: the pedal will be long.",
        ),
        influences=influences(shared, inputs),
        assumptions=("rigid hoses and calipers, no air. The travels are the gaps taken up",),
        sources=("volume balance: sum of area x travel", f"60 % of the stroke: {COMMON_PRACTICE}"),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
        good=good,
    )


def residual(pressure: Value, discs: bool) -> Calculation:
    """Whether a residual valve of this pressure (MPa) belongs in a circuit of discs or drums."""
    window = Interval(*(formulas.RESIDUAL_DISC if discs else formulas.RESIDUAL_DRUM))
    span = as_interval(pressure)
    good = span in window
    kind = "discs" if discs else "drums"
    if good:
        sentence = f"Within what {kind} use."
    elif discs and span.low > window.high:
        sentence = "Too much for discs: the pads stay on, drag and overheat. The valve must come out of this circuit."
    else:
        sentence = f"Outside what {kind} use."
    return Calculation(
        subject="residual valve",
        question=f"Does this residual pressure suit {kind}?",
        given=(amount("residual pressure", pressure, "MPa"),),
        results=(amount(f"usual for {kind}", window, "MPa"),),
        says=(sentence,),
        sources=(f"0 to 2 psi for discs, 8 to 10 psi for drums: {COMMON_PRACTICE}",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
        good=good,
    )


def radius(inner: Value, outer: Value) -> Calculation:
    """Effective radius of a ring-shaped pad, worn in and new; radii in mm. Raises ValueError."""
    inputs = {"inner radius": inner, "outer radius": outer}
    return Calculation(
        subject="effective radius",
        question="At which radius does the pad act?",
        given=tuple(amount(n, v, "mm") for n, v in inputs.items()),
        results=(
            amount("worn in", brakes.effective_radius(inner, outer), "mm", "uniform wear"),
            amount("new", brakes.effective_radius(inner, outer, worn_in=False), "mm", "uniform pressure"),
        ),
        influences=influences(brakes.effective_radius, inputs),
        sources=("uniform wear (ri + ro)/2, uniform pressure 2/3 (ro3 - ri3)/(ro2 - ri2): machine design texts",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def _balance_says(before: Value, after: Value) -> list[str]:
    shift = as_interval(after - before)
    points = f"{abs(shift.middle):.0f} points"
    if low(after) >= high(before) - 1e-6:
        return ["The front share is not below that of the vehicle as made."]
    if high(after) < low(before):
        return [
            f"The front share falls by {points}, below that of the vehicle as made. Advised against: "
            "the rear wheels lock first. Change the rear cylinders too."
        ]
    return ["Not decided: these sizes allow a front share below that of the vehicle as made. Measure closer."]
