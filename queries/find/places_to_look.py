"""Where to look next: the places that would tell variants apart which are close to each other.

First what can be reached on the vehicle as it stands, then what separates most of them. A part's number tells where it
is marked; the size beside it tells where it is not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from itertools import combinations, product

import msgspec

from knockon.graph.judge.beliefs import known_of, presence_of, share_a_value
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places, others_than
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature
from knockon.queries.find.compared_things import known_as, names_of, written
from knockon.queries.find.place_rows import Found
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize

NONE, THERE = "has none", "has it"


class There(msgspec.Struct, frozen=True):
    """What one variant has at a place: its numbers or arrangement (none: not recorded), and the size that tells."""

    vehicle: str
    numbers: tuple[str, ...]
    size: str = ""
    values: tuple[Value, ...] = ()


class Look(msgspec.Struct, frozen=True):
    """One place to look at: what each close variant has there, the feature and dimension that tell them apart (blank:
    only the number does; no dimension: whether the feature is there), how to measure it, when it can be ``reached``
    (blank: the layout does not say), and how many pairs of variants that separates."""

    said: str
    places: tuple[Place, ...]
    there: tuple[There, ...]
    feature: str = ""
    dimension: str = ""
    how: str = ""
    reached: str = ""
    separates: int = 0


def places_to_look(
    catalogue: Catalogue, places: Places, here: Found, close: Mapping[str, Found], undecided: Collection[str]
) -> Iterator[Look]:
    """The places to look at, best first. ``undecided``: the rows that tell nothing between these variants as they
    are."""
    looks = [*_choices(places, here, close)] if len(close) > 1 else []
    for position in places.positions if len(close) > 1 else ():
        sides = [
            p for s in places.sides_of(position) if (p := Place(position, s)) in undecided or position in undecided
        ]
        look = _look(catalogue, places, here, sides, close)
        looks += [look] if look is not None else []
    ranks = _reaches(catalogue)
    yield from sorted(looks, key=lambda k: (ranks.get(k.reached, len(ranks)), -k.separates))


def _choices(places: Places, here: Found, close: Mapping[str, Found]) -> Iterator[Look]:
    for choice in places.layout.choices:
        held = {v: next((a for a in choice.arrangements if a in f.arrangements), "") for v, f in close.items()}
        if len(choice.arrangements) < 2 or set(choice.arrangements) & here.arrangements:
            continue
        pairs = sum(bool(a and b and a != b) for a, b in combinations(held.values(), 2))
        if pairs:
            there = tuple(There(v, (a,) if a else ()) for v, a in held.items())
            yield Look(f"{choice.choice} arrangement".strip(), (), there, reached="on the vehicle", separates=pairs)


def _look(
    catalogue: Catalogue, places: Places, here: Found, sides: Sequence[Place], close: Mapping[str, Found]
) -> Look | None:
    """The look at one position; None where the variants do not differ there, or the vehicle's arrangement has none."""
    if not sides or _is_ruled_out(places, sides[0].position, here):
        return None
    things = {v: f.things.get(sides[0]) for v, f in close.items()}
    pairs = [(a, b) for a, b in combinations(things, 2) if _differ(catalogue, things[a], things[b])]
    if not pairs:
        return None
    said = sides[0].position if len(sides) == len(places.sides_of(sides[0].position)) else sides[0]
    best = min(_sizes(catalogue, places, sides[0].position, things), key=lambda s: s.rank, default=None)
    numbers = {v: _numbers(catalogue, [f.things.get(s) for s in sides]) for v, f in close.items()}
    if best is None:
        reached = _reached(catalogue, places, sides[0].position, "")
        return Look(
            said=said,
            places=tuple(sides),
            there=tuple(There(v, n) for v, n in numbers.items()),
            reached=reached,
            separates=len(pairs),
        )
    there = tuple(There(v, numbers[v], best.said[v], best.values.get(v, ())) for v in things)
    how = best.how if best.dimension else "Look whether it is there."
    return Look(
        said=said,
        places=tuple(sides),
        there=there,
        feature=best.feature,
        dimension=best.dimension,
        how=how,
        reached=best.reached,
        separates=best.separates,
    )


def _is_ruled_out(places: Places, position: str, here: Found) -> bool:
    arrangement = places.positions[position].arrangement
    return bool(arrangement) and bool(others_than(places.layout, arrangement) & here.arrangements)


def _differ(catalogue: Catalogue, one: Candidate | None, two: Candidate | None) -> bool:
    """Whether two variants are recorded to have different things at a place; what is not recorded tells nothing."""
    if one is None or two is None:
        return False
    return bool(names_of(catalogue, one) and names_of(catalogue, two)) and not (
        names_of(catalogue, one) & names_of(catalogue, two)
    )


def _numbers(catalogue: Catalogue, things: Sequence[Candidate | None]) -> tuple[str, ...]:
    """What things are known as, each once."""
    return tuple(dict.fromkeys(known_as(catalogue, thing) for thing in things if thing is not None))


class _Size(msgspec.Struct, frozen=True):
    """A size, or the presence of a feature, by which variants can be told apart; the least ``rank`` tells best."""

    feature: str
    dimension: str
    said: Mapping[str, str]
    values: Mapping[str, tuple[Value, ...]]
    how: str
    reached: str
    rank: tuple[int, int, bool, float, str, str]

    @property
    def separates(self) -> int:
        """How many pairs of variants it tells apart."""
        return -self.rank[1]


def _sizes(
    catalogue: Catalogue, places: Places, position: str, things: Mapping[str, Candidate | None]
) -> Iterator[_Size]:
    features = {v: catalogue.features_of(c.thing) if c is not None else {} for v, c in things.items()}
    for name in sorted(set().union(*features.values())):
        reached = _reached(catalogue, places, position, name)
        rank = _reaches(catalogue).get(reached, len(_reaches(catalogue)))
        own = {v: f.get(name) for v, f in features.items()}
        present = {v: presence_of(f) for v, f in own.items()}
        parted = sum({a, b} == {"recorded", "absent"} for a, b in combinations(present.values(), 2))
        if parted:
            said = {v: {"recorded": THERE, "absent": NONE}.get(p, "") for v, p in present.items()}
            yield _Size(
                feature=name,
                dimension="",
                said=said,
                values={},
                how="",
                reached=reached,
                rank=(rank, -parted, False, 0.0, name, ""),
            )
        yield from _dimensions(
            catalogue, {v: f for v, f in own.items() if f and present[v] == "recorded"}, things, name, reached, rank
        )


def _dimensions(
    catalogue: Catalogue, own: Mapping[str, Feature], things: Mapping[str, Candidate | None], name: str, reached: str,
    reach: int,
) -> Iterator[_Size]:  # fmt: skip
    for dimension in sorted(set().union(*(f.dimensions for f in own.values()))) if own else ():
        known = {v: known_of(f.dimensions.get(dimension, ())) for v, f in own.items()}
        sized = {v: k.sizes for v, k in known.items() if k.sizes}
        parted = [
            (a, b) for a, b in combinations(sized.values(), 2) if not any(share_a_value(x, y) for x, y in product(a, b))
        ]
        how = _how(catalogue, next(iter(own.values())), dimension)
        if parted and how:
            values = {
                v: values_of(
                    catalogue.vocabulary, f, dimension, getattr(things[v], "thing", ""), FeatureSize("", dimension)
                )
                for v, f in own.items()
            }
            said = {v: written(values.get(v, ())) for v in things}
            gap = min(_gap(a[0].low, a[0].high, b[0].low, b[0].high) for a, b in parted)
            rank = (reach, -len(parted), True, -gap, name, dimension)
            yield _Size(
                feature=name, dimension=dimension, said=said, values=values, how=how, reached=reached, rank=rank
            )


def _gap(low: float | None, high: float | None, other_low: float | None, other_high: float | None) -> float:
    """How far two sizes lie apart, as a share of the greater; 1 for codes."""
    if low is None or high is None or other_low is None or other_high is None:
        return 1.0
    apart = max(other_low - high, low - other_high)
    return apart / max(abs(high), abs(other_high), 1e-9)


def _how(catalogue: Catalogue, feature: Feature, dimension: str) -> str:
    """The vocabulary's method; blank where nothing can be measured (a pattern's name)."""
    columns = catalogue.vocabulary.kinds[feature.kind].columns
    return next((c.method for c in columns if c.name == column_of(dimension)), "")


def _reaches(catalogue: Catalogue) -> dict[str, int]:
    """The words of a layout for when something can be reached, in the order of the vocabulary."""
    columns = catalogue.vocabulary.tables["joints"].columns
    return {word: i for i, word in enumerate(next(c.values for c in columns if c.name == "reached"))}


def _reached(catalogue: Catalogue, places: Places, position: str, feature: str) -> str:
    """When a feature at a position (blank: anything of it) can be reached first, as joints and figures say."""
    ends = (end for j in places.layout.joints for end in j.ends)
    said = [end.reached for end in ends if end.position == position and feature in ("", end.feature)]
    said += [
        t.reached
        for f in places.layout.figures
        for t in f.terms
        if t.position == position and feature in ("", t.feature)
    ]
    ranks = _reaches(catalogue)
    return min((s for s in said if s in ranks), key=lambda s: ranks[s], default="")
