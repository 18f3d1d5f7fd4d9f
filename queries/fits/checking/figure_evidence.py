"""The evidence of a stack or figure on what stands in its places: its sum, its limits, the sizes behind it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from knockon.graph.judge.figures import judge_figure, limits_of
from knockon.graph.judge.verdicts import MISSING, STRADDLES, Verdict
from knockon.graph.model.layouts.layout import FigureAt, Place
from knockon.graph.model.layouts.mechanism import Figure
from knockon.graph.model.several import Several
from knockon.graph.model.things import Vehicle
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import (
    STATES,
    Evidence,
    Line,
    Value,
    finite,
    margin_of,
    of_known,
    values_of,
    weakest,
)
from knockon.queries.fits.checking.notes_beside import notes_on
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf

IF_TOGETHER = "if they went together, "


def figure_evidence(
    checks: Checks, at: FigureAt, chosen: Mapping[Place, Candidate | None], vehicle: Vehicle | None
) -> Evidence:
    """The verdict of a stack or figure on what stands in its places, with all it rests on."""
    figure = at.figure
    things = [chosen.get(p) for p in at.places]
    terms = [checks.term(at, i, c) for i, c in enumerate(things)]
    as_made = checks.as_made_value(at, vehicle)
    by_set = checks.set_stating(at, chosen)
    stated = bool(by_set)
    result = judge_figure(figure, terms, as_made, stated)
    straddles = result.verdict is Verdict.NOT_KNOWN and result.low is not None
    values: list[Value] = []
    wanted = []
    for i, (candidate, term) in enumerate(zip(things, figure.terms, strict=True)):
        if candidate is None:
            continue
        recorded = checks.catalogue.features_of(candidate.thing).get(term.feature)
        named = FeatureSize(term.feature, term.dimension)
        values += values_of(checks.catalogue.vocabulary, recorded, term.dimension, candidate.thing, named)
        inexact = straddles and any(low < high for low, high in terms[i].sizes)
        if i in result.missing or inexact:
            wanted.append(SizeOf(candidate.thing, term.feature, term.dimension))
    if figure.compared_with == "as made" and as_made is None:
        wanted += checks.missing_as_made(at, vehicle)
    limits = limits_of(figure, as_made)
    window = (-math.inf if limits[0] is None else limits[0], math.inf if limits[1] is None else limits[1])
    low, high = result.low, result.high
    state = "no" if result.verdict.is_no else STATES[MISSING] if low is None else "yes"
    if straddles or result.verdict is Verdict.DISPUTED:
        state = STATES[STRADDLES] if straddles else "disputed"
    line = Line(
        label=figure.figure,
        sort=figure.sort,
        need="required",
        state=state,
        low=None if low is None else round(low, 6),
        high=None if high is None else round(high, 6),
        window_low=finite(window[0]),
        window_high=finite(window[1]),
        margin=margin_of(low, high, window) if low is not None and high is not None else None,
        unit=figure.unit,
        source=figure.source,
        standing=figure.standing,
        says=figure.says if state == "no" else "",
        values=tuple(dict.fromkeys(values)),
    )
    is_remark = state == "no" and _misses_by_little(figure, low, high, window)
    return Evidence(
        check=figure.figure,
        kind=figure.is_,
        verdict=result.verdict,
        safety_critical=figure.safety_critical,
        first=Several(dict.fromkeys(c.number for c in things if c is not None)),
        second="",
        things=tuple(dict.fromkeys(c.thing for c in things if c is not None)),
        places=tuple(dict.fromkeys(at.places)),
        lines=(line,),
        to_measure=of_known(dict.fromkeys(wanted), things),
        weakest=weakest([line]),
        claimed=stated,
        notes=notes_on(checks, figure.figure, *(c for c in things if c)),
        method=figure.method,
        stated_by=by_set if result.verdict is Verdict.FITS else "",
        assumed=checks.assumptions(at, chosen, vehicle),
        remark_within=figure.remark_within if is_remark else None,
        remark_source=figure.remark_source if is_remark else "",
    )


def _misses_by_little(figure: Figure, low: float | None, high: float | None, window: tuple[float, float]) -> bool:
    """Whether no value that a figure may have lies further outside its limits than is only worth a remark."""
    if figure.remark_within is None or low is None or high is None:
        return False
    return max(window[0] - low, high - window[1]) <= figure.remark_within


def said_if_together(figure: Evidence, joints: Iterable[Evidence]) -> Evidence:
    """A figure; what comes of its no is told as if its own parts went together, where a joint between two of them is a
    no of assembly: no nut goes tight on a stub that it does not start on."""
    apart = (j for j in joints if any(x.sort == "assembly" and x.state == "no" for x in j.lines))
    if not any(set(j.things) <= set(figure.things) for j in apart):
        return figure
    lines = tuple(replace(x, says=f"{IF_TOGETHER}{x.says}") if x.says else x for x in figure.lines)
    return replace(figure, lines=lines)
