"""The registry of named formulas: what a fit rule or a figure refers to by IRI.

``https://knockon.example/formula#NAME`` is the function NAME of one module of this package. The
registry itself imports none of them: a module is loaded when the first of its formulas is asked
for.
"""

from __future__ import annotations

import inspect
from collections.abc import Callable, Mapping
from functools import cache
from importlib import import_module
from typing import TypeVar

import msgspec

from knockon.graph.formulas.interval import Value

IRI_PREFIX = "https://knockon.example/formula#"

_MODULES = {
    "pitch_diameter": "threads.profile",
    "minor_diameter": "threads.profile",
    "pitch_diameter_clearance": "threads.profile",
    "flank_overlap": "threads.profile",
    "flank_overlap_share": "threads.profile",
    "turns_before_binding": "threads.profile",
    "tooth_overlap": "splines.involute",
    "tooth_depth": "splines.involute",
    "flat_jaw_reading": "splines.involute",
    "major_from_flat_jaws": "splines.involute",
    "bolt_circle": "wheels",
    "adjacent_spacing": "wheels",
    "track_change": "wheels",
    "stud_engagement": "wheels",
    "spacer_for_no_float": "bearings",
    "fit_clearance": "limits_and_fits",
    "front_share_of_braking": "brakes",
    "front_torque_per_pressure": "brakes",
    "rear_torque_per_pressure": "brakes",
    "pedal_force_ratio": "hydraulics",
    "pedal_force_for_the_same_front_torque": "hydraulics",
    "share_of_stroke_used": "hydraulics",
}
_WORDS = {
    "turns_before_binding": ("threads.pairs", "meeting_in_words"),
    "fit_clearance": ("limits_and_fits", "fit_in_words"),
    "tooth_overlap": ("splines.involute", "overlap_in_words"),
}
"""What a number means in words, from the same arguments: module and function."""

_Function = TypeVar("_Function", bound=Callable[..., object])


class UnknownFormulaError(KeyError):
    """No formula has this name; the message lists those there are."""

    def __str__(self) -> str:
        return str(self.args[0])


class Assumption(msgspec.Struct, frozen=True):
    """A number that a formula takes because nobody records it: its argument's name, in words, and its value."""

    name: str
    words: str
    value: float


class Formula(msgspec.Struct, frozen=True):
    """A named formula.

    ``arguments`` are the names of the arguments in order, the first ``required`` of which have no
    default; ``argument_units`` their units in the same order; ``unit`` is the unit of the result;
    ``source`` where the formula is published ("from memory" and "assumption" are said there);
    ``assumed`` are its arguments by name only, which no record fills.
    """

    name: str
    function: Callable[..., Value]
    arguments: tuple[str, ...]
    required: int
    argument_units: tuple[str, ...]
    unit: str
    source: str
    assumed: tuple[Assumption, ...] = ()

    def __call__(self, *arguments: Value, **named: Value) -> Value:
        """A float for floats; an interval as soon as one argument is an interval."""
        return self.function(*arguments, **named)

    def in_words(self, *arguments: Value, **named: Value) -> str:
        """What the result means, in words; blank where the number says all."""
        if self.name not in _WORDS:
            return ""
        module, function = _WORDS[self.name]
        said: str = getattr(import_module(f"knockon.graph.formulas.{module}"), function)(*arguments, **named)
        return said


def states(
    *, units: str, unit: str, source: str, assumed: Mapping[str, str] | None = None
) -> Callable[[_Function], _Function]:
    """Mark a function as a formula.

    ``units`` are those of its arguments, one for all or one for each, separated by blanks;
    ``assumed`` says in words what each argument is that is given by name only.
    """

    def mark(function: _Function) -> _Function:
        function.stated_units = tuple(units.split())  # type: ignore[attr-defined]
        function.stated_unit = unit  # type: ignore[attr-defined]
        function.stated_source = source  # type: ignore[attr-defined]
        function.stated_assumed = dict(assumed or {})  # type: ignore[attr-defined]
        return function

    return mark


def formula_names() -> tuple[str, ...]:
    """The names of all registered formulas, sorted."""
    return tuple(sorted(_MODULES))


@cache
def formula(name: str) -> Formula:
    """The formula of this name, or of the IRI that ends in it. Raises UnknownFormulaError."""
    name = name.removeprefix(IRI_PREFIX)
    if name not in _MODULES:
        raise UnknownFormulaError(f"there is no formula {name!r}. The formulas are {', '.join(formula_names())}")
    function = getattr(import_module(f"knockon.graph.formulas.{_MODULES[name]}"), name)
    every = inspect.signature(function).parameters
    parameters = {n: p for n, p in every.items() if p.kind is not p.KEYWORD_ONLY}
    units = function.stated_units
    return Formula(
        name=name,
        function=function,
        arguments=tuple(parameters),
        required=sum(p.default is p.empty for p in parameters.values()),
        argument_units=units * len(parameters) if len(units) == 1 else units,
        unit=function.stated_unit,
        source=function.stated_source,
        assumed=tuple(Assumption(n, words, every[n].default) for n, words in function.stated_assumed.items()),
    )
