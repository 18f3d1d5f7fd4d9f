"""Does a reason rule the old part out, and is each of its units needed for that?

A unit is the name of a sort of check (both hands together), the arrangement, the axle rule, or
"unknown not allowed".  With only the cited units in force no filling that meets the request may
keep the part; with any one of them left out some filling does.
"""

from __future__ import annotations

from collections.abc import Iterable

from tests.oracle.fillings import UNKNOWN, Consistent
from tests.oracle.motion import Request
from tests.oracle.world import Place, Vehicle, World


def can_keep(
    world: World,
    vehicle: Vehicle,
    request: Request,
    places: Iterable[Place],
    units: frozenset[str],
    allowed_unsupported: int = 0,
) -> bool:
    """Whether some filling keeps the things in all `places` while `units` are in force."""
    limited = UNKNOWN in units
    swap = Consistent(world, vehicle, request, units, places, allowed_unsupported if limited else None)
    for filling in swap.fillings():
        if not limited:
            return True
        unsupported = sum(result.unsupported for result in swap.results(filling))
        if unsupported <= allowed_unsupported:
            return True
    return False


def needless_units(
    world: World,
    vehicle: Vehicle,
    request: Request,
    places: Iterable[Place],
    units: frozenset[str],
    allowed_unsupported: int = 0,
) -> frozenset[str]:
    """The units without which the rest still rules the part out: none in a minimal reason."""
    places = list(places)
    return frozenset(
        unit for unit in units if not can_keep(world, vehicle, request, places, units - {unit}, allowed_unsupported)
    )
