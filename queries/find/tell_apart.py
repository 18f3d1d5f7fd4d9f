"""Tell apart: every difference between two parts, and what it does.

Unknown is never "the same": what is recorded of one only, or of neither, is told in words of its own. A size *differs*
where no value is possible for both, and *may differ* where the intervals overlap and are not equal.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import msgspec

from knockon.graph.judge.beliefs import Known, Size, known_of, presence_of, share_a_value
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import SIDES, STANDINGS, Feature, Part, SetMember
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.find.effects import AtJoint, Pair, Stands, Turn, members_of, pairs_of, stands_of
from knockon.queries.fits.checking.evidence import Value, values_of
from knockon.queries.fits.checking.size_names import FeatureSize

DIFFERS, MAY_DIFFER = "differs", "may differ"
ONE_UNKNOWN, BOTH_UNKNOWN = "not recorded on one side", "not recorded on both sides"
WORDS = (DIFFERS, MAY_DIFFER, ONE_UNKNOWN, BOTH_UNKNOWN)
"""How two parts differ in one thing, what is known first."""
NOT_RECORDED = "not recorded"


class RuleThere(msgspec.Struct, frozen=True):
    """A fit rule in which a difference stands: its joint, the conditions that read it, and the parts on the other side
    with which the two have different verdicts."""

    rule: str
    joint: str
    position: str
    other_position: str
    conditions: tuple[str, ...]
    safety_critical: bool
    turns: tuple[Turn, ...]


class Difference(msgspec.Struct, frozen=True):
    """One difference. ``what``: part type, hand, one use, member, feature, size or evidence (the sizes agree, and what
    stands behind them does not); ``word``: one of WORDS; ``member``: of which member of a set (blank: of the part).

    ``first`` and ``second`` say it of each part in words, ``first_values`` and ``second_values`` are the sizes as
    stated; ``figures`` the stacks and figures in which the size stands.
    """

    what: str
    word: str
    first: str
    second: str
    member: str = ""
    feature: str = ""
    kind: str = ""
    dimension: str = ""
    first_values: tuple[Value, ...] = ()
    second_values: tuple[Value, ...] = ()
    rules: tuple[RuleThere, ...] = ()
    figures: tuple[str, ...] = ()


class TellApartAnswer(Answer, frozen=True):
    """All differences between two parts. ``told_apart``: something of them differs for certain; ``mirrors``: each is
    recorded as the other's other hand; ``one_drawing``: they are recorded as made to one drawing.
    ``hand_sign``: how to see which side each is for, where they are for the two sides (common practice)."""

    parts: tuple[str, ...]
    names: tuple[str, ...]
    told_apart: bool
    differences: tuple[Difference, ...]
    mirrors: bool = False
    one_drawing: bool = False
    hand_sign: str = ""
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def tell_apart(catalogue: Catalogue, number: str, other_number: str) -> TellApartAnswer:
    """Every difference between two parts. Raises UnknownNameError; RecordsError where both are one number."""
    first: Part = catalogue.find("part", number)
    second: Part = catalogue.find("part", other_number)
    if first.part == second.part:
        raise RecordsError(f"{first.part} is one part. Name two part numbers")
    pairs = pairs_of(catalogue, first, second)
    comparison = _Comparison(catalogue, pairs, stands_of(catalogue, pairs, (first.part, second.part)))
    found = [*_heads(first, second), *_members(catalogue, first, second)]
    for pair in (p for p in pairs if p.first and p.second):
        found += comparison.features(pair)
    found += comparison.evidence()
    return TellApartAnswer(
        parts=(first.part, second.part),
        names=(first.name, second.name),
        told_apart=any(d.word == DIFFERS and d.what != "evidence" for d in found),
        differences=tuple(sorted(found, key=lambda d: WORDS.index(d.word))),
        mirrors=second.part == first.mirror_of,
        hand_sign=_hand_sign(catalogue, first, second),
        one_drawing=_drawing(catalogue, first.part) == _drawing(catalogue, second.part),
        cautions=short_cautions_on(catalogue),
    )


def _hand_sign(catalogue: Catalogue, first: Part, second: Part) -> str:
    """How to see the hand of two parts of one type that are for the two sides; blank of others."""
    both = {first.hand, second.hand} == {*SIDES} and first.part_type == second.part_type
    return catalogue.vocabulary.hand_sign(first.part_type) if both else ""


def _drawing(catalogue: Catalogue, number: str) -> str:
    """The number whose drawing a part is made to, itself where it names no other; a ring of them ends."""
    seen: list[str] = []
    while number in catalogue.parts and number not in seen:
        seen.append(number)
        number = catalogue.parts[number].drawn_as or number
    return min(seen[seen.index(number) :]) if number in seen else number


def _heads(first: Part, second: Part) -> Iterator[Difference]:
    """What the rows of the two parts say differently."""
    hands = {"either": "either hand"}
    said = (
        ("part type", first.part_type, second.part_type),
        ("hand", hands.get(first.hand, first.hand), hands.get(second.hand, second.hand)),
        ("one use", *("one use" if p.one_use else "may be used again" for p in (first, second))),
    )
    yield from (Difference(what, DIFFERS, one, two) for what, one, two in said if one != two)


def _members(catalogue: Catalogue, first: Part, second: Part) -> Iterator[Difference]:
    """Members that only one set has, or another number of; what members are made like is told feature by feature."""
    ours, theirs = members_of(catalogue, first.part), members_of(catalogue, second.part)
    for label in dict.fromkeys((*ours, *theirs)):
        one, two = _counted(ours.get(label)), _counted(theirs.get(label))
        if one != two:
            yield Difference("member", DIFFERS, one, two, label)


def _counted(member: SetMember | None) -> str:
    return "none" if member is None else f"{member.quantity} of it"


class _Comparison(msgspec.Struct):
    """Two parts, thing by thing, with what stands where."""

    catalogue: Catalogue
    pairs: tuple[Pair, ...]
    stands: Stands
    _by_feature: dict[tuple[str, str], list[AtJoint]] = msgspec.field(default_factory=dict)
    _told: set[tuple[str, str]] = msgspec.field(default_factory=set)
    """Labels and joints at which some difference has told the verdicts that differ."""

    def __post_init__(self) -> None:
        for at in self.stands.joints.values():
            self._by_feature.setdefault((at.label, at.feature), []).append(at)

    def features(self, pair: Pair) -> Iterator[Difference]:
        """The differences in all features that either has, or that a joint or figure reads where they stand."""
        assert pair.first and pair.second
        ours, theirs = self.catalogue.features_of(pair.first), self.catalogue.features_of(pair.second)
        for name in sorted({*ours, *theirs, *self.stands.read[pair.label]}):
            yield from self._feature(pair, name, ours.get(name), theirs.get(name))

    def _feature(self, pair: Pair, name: str, one: Feature | None, two: Feature | None) -> Iterator[Difference]:
        states = (presence_of(one), presence_of(two))
        kinds = tuple(dict.fromkeys(f.kind for f in (one, two) if f)) or (self.stands.read[pair.label].get(name, ""),)
        labels = [self.catalogue.vocabulary.kinds[k].label for k in kinds if k]
        word = _word_of_presence(*states)
        if len(labels) > 1:
            yield Difference(
                what="feature",
                word=DIFFERS,
                first=labels[0],
                second=labels[1],
                member=pair.label,
                feature=name,
                kind=" or ".join(labels),
                rules=self._rules(pair.label, name, None, DIFFERS),
            )
        elif word:
            words = tuple("known absent" if s == "absent" else s for s in states)
            yield Difference(
                what="feature",
                word=word,
                first=words[0],
                second=words[1],
                member=pair.label,
                feature=name,
                kind="".join(labels),
                rules=self._rules(pair.label, name, None, word),
            )
        if "absent" not in states and states != (NOT_RECORDED, NOT_RECORDED):
            for dimension in self._dimensions(kinds, one, two):
                yield from self._size(pair, name, labels, dimension, (one, two))

    def _dimensions(self, kinds: tuple[str, ...], one: Feature | None, two: Feature | None) -> list[str]:
        """The kind's dimensions in its order; of a designation each size that either has."""
        recorded = sorted({d for f in (one, two) if f for d in f.dimensions})
        found: dict[str, None] = {}
        for kind in kinds:
            for column in self.catalogue.vocabulary.kinds[kind].columns:
                parts = [d for d in recorded if column_of(d) == column.name]
                found |= dict.fromkeys(parts or [column.name])
        return list(found)

    def _size(
        self, pair: Pair, name: str, labels: list[str], dimension: str, features: tuple[Feature | None, Feature | None]
    ) -> Iterator[Difference]:
        known = [known_of(f.dimensions.get(dimension, ()) if f else ()) for f in features]
        word = _word_of_sizes(*known)
        if not word:
            return
        things = (pair.first or "", pair.second or "")
        values = [
            values_of(self.catalogue.vocabulary, f, dimension, thing, FeatureSize("", dimension))
            for f, thing in zip(features, things, strict=True)
        ]
        yield Difference(
            what="size",
            word=word,
            first=_in_words(values[0], known[0]),
            second=_in_words(values[1], known[1]),
            member=pair.label,
            feature=name,
            kind=" or ".join(labels),
            dimension=dimension,
            first_values=values[0],
            second_values=values[1],
            rules=self._rules(pair.label, name, dimension, word),
            figures=tuple(self.stands.figures.get((pair.label, name, dimension), ())),
        )

    def _rules(self, label: str, feature: str, dimension: str | None, word: str) -> tuple[RuleThere, ...]:
        """The rules in which a size (None: any of the feature) stands. What nobody knows of either turns nothing."""
        found = []
        for at in self._by_feature.get((label, feature), ()):
            reading = tuple(c for c, reads in at.dimensions if dimension is None or dimension in reads)
            if reading:
                turns = () if word == BOTH_UNKNOWN else at.turns
                self._told |= {(label, at.joint)} if turns else set()
                found.append(
                    RuleThere(
                        rule=at.rule,
                        joint=at.joint,
                        position=at.position,
                        other_position=at.other_position,
                        conditions=reading,
                        safety_critical=at.safety_critical,
                        turns=turns,
                    )
                )
        return tuple(found)

    def evidence(self) -> Iterator[Difference]:
        """Verdicts that differ where no size does: the sizes of one are known on better evidence, or something else
        is claimed of it."""
        things = {p.label: (p.first or "", p.second or "") for p in self.pairs}
        for at in self.stands.joints.values():
            if at.turns and (at.label, at.joint) not in self._told:
                rule = RuleThere(
                    rule=at.rule,
                    joint=at.joint,
                    position=at.position,
                    other_position=at.other_position,
                    conditions=(),
                    safety_critical=at.safety_critical,
                    turns=at.turns,
                )
                one, two = (self._weakest(thing, at) for thing in things[at.label])
                yield Difference("evidence", DIFFERS, one, two, at.label, at.feature, rules=(rule,))

    def _weakest(self, thing: str, at: AtJoint) -> str:
        """The weakest standing among the sizes of a thing that a rule reads."""
        feature = self.catalogue.features_of(thing).get(at.feature)
        known = (
            [known_of(feature.dimensions.get(d, ())) for _, reads in at.dimensions for d in reads] if feature else []
        )
        ranks = [k.rank for k in known if k.sizes]
        return STANDINGS[max(ranks) - 1] if ranks else "no size: claims only"


def _word_of_presence(one: str, two: str) -> str:
    """How two parts differ in having a feature; blank: they do not."""
    if NOT_RECORDED in (one, two):
        return BOTH_UNKNOWN if one == two else ONE_UNKNOWN
    if "contested" in (one, two):
        return MAY_DIFFER
    return "" if one == two else DIFFERS


def _word_of_sizes(one: Known, two: Known) -> str:
    """How two sizes differ; blank: they are equal as far as they are known."""
    if not one.sizes or not two.sizes:
        return BOTH_UNKNOWN if not one.sizes and not two.sizes else ONE_UNKNOWN
    if not any(share_a_value(a, b) for a, b in product(one.sizes, two.sizes)):
        return DIFFERS
    equal = {_bounds(s) for s in one.sizes} == {_bounds(s) for s in two.sizes}
    return "" if equal and not one.contested else MAY_DIFFER


def _bounds(size: Size) -> tuple[float | None, float | None, str | None]:
    """A size without the way in which it was stated, to the sixth decimal: as finely as sizes are compared."""
    low, high = (None if x is None else round(x, 6) for x in (size.low, size.high))
    return low, high, size.code


def _in_words(values: tuple[Value, ...], known: Known) -> str:
    if not known.sizes:
        return NOT_RECORDED
    return " or ".join(dict.fromkeys(v.written for v in values if v.computes))
