"""What a layout says of the work itself: its steps, how tight fasteners are done up, when a kept part is worn out."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
import msgspec

MAKE_SAFE, REMOVE, INSPECT, FIT, ADJUST, CHECK, GATE = (
    "make safe",
    "remove",
    "inspect",
    "fit",
    "adjust",
    "check",
    "gate",
)


class Step(msgspec.Struct, frozen=True):
    """A step of the work; ``positions``: done if it is due for any of them, none: always, once for the vehicle.
    ``needs`` are steps that come before it, ``tightens`` the positions of fasteners that it does up for good.
    ``tool_size`` and ``reading`` name a size of the part, as ``feature: dimension``, or ``reading`` a figure.
    ``source_of_it``: blank for common practice. ``if_changed``: a figure; the step is left out where a plan leaves that
    as it is, and ``share`` of it is what there is at the step (a half, on each side)."""

    step: str
    kind: str
    order: int
    text: str
    positions: tuple[str, ...] = ()
    joint: str = ""
    needs: tuple[str, ...] = ()
    tightens: tuple[str, ...] = ()
    tool: str = ""
    tool_size: str = ""
    reading: str = ""
    caution: str = ""
    source_of_it: str = ""
    if_changed: str = ""
    share: float = 1.0


class Tightening(msgspec.Struct, frozen=True):
    """How tight the fastener at a position is done up, in N m, from ``low`` to ``high``; of one ``part`` number (blank:
    any). ``then``: what follows, such as on to the next pin hole. A value without a source is not recorded."""

    position: str
    source: str
    low: float
    high: float
    part: str = ""
    condition: str = ""
    then: str = ""


class WearLimit(msgspec.Struct, frozen=True):
    """When a kept part is worn out: a size outside the limits (base unit, None: no such limit), or what is ``look_for``
    (without a feature it is only looked at)."""

    position: str
    source: str
    part: str = ""
    feature: str = ""
    dimension: str = ""
    low: float | None = None
    high: float | None = None
    look_for: str = ""
