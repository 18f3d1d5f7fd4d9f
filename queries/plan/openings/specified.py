"""What a specification says: the windows of a part's sizes, who sets each end, and what gives no window."""

from __future__ import annotations

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.fits.checking.size_names import SizeOf

REQUIRED, SUPPORTING, ASKED = "required", "supporting", "asked"
AGREED = (Verdict.FITS, Verdict.FITS_ON_PAPER)
"""Of sizes alone, no claim: all that is required agrees, on whatever evidence."""
BY_FORMULA = "worked out by a formula"
OF_SEVERAL = "several of its own sizes decide together"
NOT_RECORDED_BESIDE = "a size beside it is not recorded"
ABSENT_BESIDE = "what stands beside it lacks the feature"
CONTESTED_BESIDE = "sources contradict each other on whether what stands beside it has the feature"
NO_BESIDE = "the size beside it rules every part out"
NO_WAY = (ABSENT_BESIDE, NO_BESIDE)
"""What no part can help."""
OPEN_BESIDE = (NOT_RECORDED_BESIDE, CONTESTED_BESIDE)
"""What nobody can say until something beside it is recorded or settled."""


class Limit(msgspec.Struct, frozen=True):
    """One end of a window (in the window's unit), or a ``code``, and what sets it: the condition of a check, the
    ``parts`` beside (with the places where they stand), the source of the rule's own limit. Not ``sure``: the size
    beside is known so loosely that no size is sure to agree; then the window is where one may. ``sizes`` are those
    beside that count, ``assumed``: a code that nobody wrote of what stands beside, and that counts because it is
    usual. ``beyond``: a size that lies wholly beyond this is a no, and between the two it is not known."""

    check: str
    condition: str
    parts: tuple[str, ...]
    source: str
    value: float | None = None
    code: str = ""
    sure: bool = True
    sizes: tuple[Value, ...] = ()
    assumed: bool = False
    beyond: float | None = None


class Window(msgspec.Struct, frozen=True):
    """What one dimension of a feature may be: from ``low`` to ``high``, both included, or one of the codes that all of
    ``codes`` allow. ``need``: required, supporting, or asked. ``nominal_low`` and ``nominal_high``: the same for a size
    that is stated without limits, where that is judged by a window of its own; ``nominal_open``: such a size leaves it
    open. Not ``sure``: of some limit no size is sure to meet it, or of several codes at one check beside one part
    nobody knows which is true. A measured size that lies wholly below ``no_below`` or above ``no_above`` is a
    no, whatever the need."""

    feature: str
    kind: str
    dimension: str
    datatype: str
    unit: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    codes: tuple[Limit, ...] = ()
    nominal_same: bool = True
    nominal_low: Limit | None = None
    nominal_high: Limit | None = None
    nominal_open: bool = False
    sure: bool = True
    no_below: float | None = None
    no_above: float | None = None

    @property
    def is_empty(self) -> bool:
        """Whether nothing lies in it: two neighbours contradict each other."""
        if (
            self.low is not None
            and self.high is not None
            and self.low.value is not None
            and self.high.value is not None
        ):
            return self.low.value > self.high.value + 1e-6
        by_check: dict[tuple[object, ...], set[str]] = {}
        for limit in self.codes:
            by_check.setdefault((limit.check, limit.condition, limit.parts), set()).add(limit.code.casefold())
        return bool(by_check) and not set.intersection(*by_check.values())


class Stated(msgspec.Struct, frozen=True):
    """A condition that gives no window of one dimension, and ``because`` of what. ``lacking``: the sizes beside that
    nobody recorded.

    Of several own sizes ``value`` is their sum, which must lie within [low, high]. Of a formula, and where a size
    beside is not recorded, it names the own sizes that count, and the window is that of the whole. ``sizes`` are those
    beside.
    """

    check: str
    condition: str
    need: str
    because: str
    value: str
    low: float | None
    high: float | None
    unit: str
    parts: tuple[str, ...]
    source: str
    sizes: tuple[Value, ...] = ()
    lacking: tuple[SizeOf, ...] = ()


class Demand(msgspec.Struct, frozen=True):
    """A feature that the part must have, or must be known to lack, because the plan leaves ``position`` empty, or fills
    it: that is needed only with a part that lacks the feature."""

    feature: str
    there: bool
    position: str


class Specification(msgspec.Struct, frozen=True):
    """What a part in ``places`` would have to be: the features that it must have, a window for each dimension, and the
    conditions that give none. ``hands``: those that may stand there. Not ``is_possible``: no part can meet it, since
    its neighbours contradict each other, or rule every part out."""

    position: str
    part_type: str
    places: tuple[Place, ...]
    features: tuple[str, ...]
    windows: tuple[Window, ...]
    stated: tuple[Stated, ...]
    demands: tuple[Demand, ...] = ()
    hands: tuple[str, ...] = ()

    @property
    def is_possible(self) -> bool:
        """Whether no window is empty, and nothing beside rules every part out."""
        return not any(w.is_empty for w in self.windows) and not any(s.because in NO_WAY for s in self.stated)

    @property
    def is_whole(self) -> bool:
        """Whether all that must agree could be said: nothing that it takes is lacking beside."""
        return not any(s.because in OPEN_BESIDE and s.need == REQUIRED for s in self.stated)


class Ask(msgspec.Struct, frozen=True):
    """One end of one condition, turned round: a dimension of the part with a limit; ``nominal``: of a size that is
    stated without limits only; ``nominal_open``: such a size leaves the condition open."""

    feature: str
    dimension: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    code: Limit | None = None
    nominal: bool = False
    nominal_open: bool = False
