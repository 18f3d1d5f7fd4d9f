"""What a specification says: the windows of a part's sizes, who sets each end, and what gives no window."""

from __future__ import annotations

import msgspec

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.evidence import Value

REQUIRED, SUPPORTING, ASKED = "required", "supporting", "asked"
BY_FORMULA = "worked out by a formula"
OF_SEVERAL = "several of its own sizes decide together"
NOT_RECORDED_BESIDE = "a size beside it is not recorded"


class Limit(msgspec.Struct, frozen=True):
    """One end of a window (in the window's unit), or a ``code``, and what sets it: the condition of a check, the
    ``parts`` beside (with the places where they stand), the source of the rule's own limit. Not ``sure``: the size
    beside is known so loosely that no size is sure to agree; then the window is where one may."""

    check: str
    condition: str
    parts: tuple[str, ...]
    source: str
    value: float | None = None
    code: str = ""
    sure: bool = True


class Window(msgspec.Struct, frozen=True):
    """What one dimension of a feature may be: from ``low`` to ``high``, both included, or one of the codes that all of
    ``codes`` allow. ``need``: required, supporting, or asked."""

    feature: str
    kind: str
    dimension: str
    datatype: str
    unit: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    codes: tuple[Limit, ...] = ()

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
        by_check: dict[str, set[str]] = {}
        for limit in self.codes:
            by_check.setdefault(f"{limit.check}, {limit.condition}", set()).add(limit.code.casefold())
        return bool(by_check) and not set.intersection(*by_check.values())


class Stated(msgspec.Struct, frozen=True):
    """A condition that gives no window of one dimension, and ``because`` of what.

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


class Specification(msgspec.Struct, frozen=True):
    """What a part in ``places`` would have to be: the features that it must have, a window for each dimension, and the
    conditions that give none. Not ``is_possible``: no part can meet it, since its neighbours contradict each other."""

    position: str
    part_type: str
    places: tuple[Place, ...]
    features: tuple[str, ...]
    windows: tuple[Window, ...]
    stated: tuple[Stated, ...]

    @property
    def is_possible(self) -> bool:
        """Whether no window is empty."""
        return not any(w.is_empty for w in self.windows)


class Ask(msgspec.Struct, frozen=True):
    """One end of one condition, turned round: a dimension of the part with a limit."""

    feature: str
    dimension: str
    need: str
    low: Limit | None = None
    high: Limit | None = None
    code: Limit | None = None
