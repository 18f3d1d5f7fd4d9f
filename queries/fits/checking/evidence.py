"""Evidence: everything that a verdict rests on, for people: both values as written and in mm and inch, margin,
source, standing. How it is found: ``joint_evidence`` and ``figure_evidence``."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import msgspec

from knockon.graph.judge.assumed import AssumedRange
from knockon.graph.judge.beliefs import computing
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.several import Several
from knockon.graph.model.things import STANDINGS, Feature
from knockon.graph.quantity import DATATYPES
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf

STATES = {YES: "yes", NO: "no", STRADDLES: "open: straddles the limit", MISSING: "open: not recorded"}


class Value(msgspec.Struct, frozen=True):
    """One stated size: what was written, its bounds in ``unit``, source and standing; whether it computes.

    ``datatype`` is the column's: length, angle, count, ratio, pressure, number, code, thread or spline pitch.
    ``of_number``: said of the number of a particular thing, not of the thing itself, which stands before it.
    """

    of: str
    dimension: FeatureSize
    written: str
    low: float | None
    high: float | None
    source: str
    standing: str
    computes: bool
    datatype: str = ""
    unit: str = ""
    of_number: bool = False

    @property
    def is_part(self) -> bool:
        """Whether it is one of several sizes that its cell says by a designation, as of a thread."""
        return self.datatype in DATATYPES and len(DATATYPES[self.datatype].parts) > 1


class Assumed(msgspec.Struct, frozen=True):
    """A code that nobody wrote of a thing, and that counts because it is the usual one."""

    of: str
    dimension: FeatureSize
    code: str


class Line(msgspec.Struct, frozen=True):
    """One condition, or one told number: its state, value, window, margin (distance to the nearest limit) and sizes;
    ``assumed`` are codes that count though nobody wrote them.

    ``by_name``: it compares names of patterns, which nobody can measure.

    It ``holds`` unless it is a told number over both things, which do not go together: it would be so if they did.
    """

    label: str
    sort: str
    need: str
    state: str
    low: float | None = None
    high: float | None = None
    window_low: float | None = None
    window_high: float | None = None
    margin: float | None = None
    unit: str = ""
    source: str = ""
    standing: str = ""
    says: str = ""
    values: tuple[Value, ...] = ()
    holds: bool = True
    by_name: bool = False
    assumed: tuple[Assumed, ...] = ()


class Claimed(msgspec.Struct, frozen=True):
    """A claim that stands in for sizes: about what (a part or a vehicle as made), by whom."""

    part: str
    claim: str
    about: str
    source: str
    standing: str


class Evidence(msgspec.Struct, frozen=True):
    """A verdict on a joint or a figure with all it rests on. ``things`` are the keys of the records, as the sizes
    name them; ``claims`` what stands in for sizes where ``claimed`` (none: a set says it of its own members);
    ``stated_by`` the set, new and whole, that states this check as made, and so makes it "fits". ``assumed``: the
    numbers that a figure's formula assumes, each with the range in which the verdict is the same."""

    check: str
    kind: str
    verdict: Verdict
    safety_critical: bool
    first: Several
    second: str
    things: tuple[str, ...]
    places: tuple[Place, ...]
    lines: tuple[Line, ...]
    to_measure: tuple[SizeOf, ...]
    weakest: str
    claimed: bool
    notes: tuple[str, ...] = ()
    method: str = ""
    claims: tuple[Claimed, ...] = ()
    stated_by: str = ""
    assumed: tuple[AssumedRange, ...] = ()
    remark_within: float | None = None
    """Of a figure that is a no and misses its limits by so little that it is a remark where a vehicle has it as it
    stands: how far it may miss them, in the unit of its line. None: there is no such room, or it misses by more."""
    remark_source: str = ""

    @property
    def is_remark(self) -> bool:
        """Whether it is said as a remark, and not as a danger, of a vehicle as it stands."""
        return self.remark_within is not None

    @property
    def numbers(self) -> tuple[str, ...]:
        """The numbers of all that is judged: of a joint two, of a figure those of its parts."""
        return (*self.first.each, *([self.second] if self.second else []))


def by_name(evidence: Evidence) -> bool:
    """Whether all that is a no in it compares names of patterns, which nobody can measure."""
    failing = [line for line in evidence.lines if line.state == "no"]
    return bool(failing) and all(line.by_name for line in failing)


def is_bare_claim(evidence: Evidence) -> bool:
    """Whether nothing but a claim speaks for a check: no size of either side is recorded."""
    sized = any(v.computes for line in evidence.lines for v in line.values)
    return evidence.claimed and not sized and evidence.verdict is Verdict.FITS_ON_PAPER


def finite(value: float) -> float | None:
    """A bound as it is told: rounded; None where there is none."""
    return round(float(value), 6) if math.isfinite(value) else None


def margin_of(low: float, high: float, window: tuple[float, float]) -> float | None:
    """Room left to the nearest limit (negative: by how much it fails); None where there is no limit."""
    room = [low - window[0]] if math.isfinite(window[0]) else []
    room += [window[1] - high] if math.isfinite(window[1]) else []
    if not room:
        return None
    if high < window[0]:
        return finite(high - window[0])
    return finite(window[1] - low) if low > window[1] else finite(min(room))


def type_and_unit(vocabulary: Vocabulary, feature: Feature, dimension: str) -> tuple[str, str]:
    """The datatype of a dimension, and the unit in which its bounds are given (blank: a bare number or a code)."""
    kind = vocabulary.kinds[feature.kind]
    return kind.datatype_of(dimension), vocabulary.shown_unit(kind, dimension)


def values_of(
    vocabulary: Vocabulary, feature: Feature | None, dimension: str, thing: str, named: FeatureSize
) -> tuple[Value, ...]:
    """All statements of a dimension of a feature, those that compute first; ``named``: what the dimension is called."""
    if feature is None:
        return ()
    statements = feature.dimensions.get(dimension, ())
    datatype, unit = type_and_unit(vocabulary, feature, dimension)
    best = computing(statements)
    ordered = sorted(statements, key=lambda s: (s.order, s.source, s.written))
    return tuple(
        Value(
            of=thing,
            dimension=named,
            written=s.written,
            low=s.low,
            high=s.high,
            source=s.source,
            standing=STANDINGS[s.rank - 1],
            computes=s in best,
            datatype=datatype,
            unit=unit,
            of_number=s.of_number,
        )
        for s in ordered
    )


def of_known(sizes: Iterable[SizeOf], candidates: Iterable[Candidate | None]) -> tuple[SizeOf, ...]:
    """Sizes that can be measured: not those of a part that nobody has found yet."""
    nowhere = {c.thing for c in candidates if c is not None and c.to_be_found}
    return tuple(s for s in sizes if s.thing not in nowhere)


def weakest(lines: Sequence[Line]) -> str:
    """The worst standing of what computes in the required lines; blank where nothing does."""
    ranks = [
        STANDINGS.index(v.standing) for line in lines if line.need == "required" for v in line.values if v.computes
    ]
    return STANDINGS[max(ranks)] if ranks else ""
