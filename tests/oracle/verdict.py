"""The verdict of one check on given things, tried out over every way to believe the sources."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from itertools import product
from typing import NamedTuple

from tests.oracle.known import (
    ON_THE_ITEM,
    Sized,
    Thing,
    beliefs_in_feature,
    believed,
    contested,
    known_to_lack,
    sized,
)
from tests.oracle.told import claimed_together, made_to_fit
from tests.oracle.world import Condition, Joint, Size, Stack, Thread, Value, Window, World


class Verdict(IntEnum):
    """The words of a verdict, worst first."""

    DOES_NOT_FIT = 0
    DO_NOT_USE = 1
    DISPUTED = 2
    NOT_KNOWN = 3
    ON_PAPER = 4
    WITH_WORK = 5
    FITS = 6

    @property
    def is_no(self) -> bool:
        """Whether the verdict rules a filling out."""
        return self <= Verdict.DO_NOT_USE

    @property
    def is_unproven(self) -> bool:
        """Disputed, not known or on paper."""
        return Verdict.DISPUTED <= self <= Verdict.ON_PAPER


GOOD_ENOUGH_WHEN_CRITICAL = 2
"""Rank of 'same number, new', the weakest evidence for a safety-critical check."""
GOOD_ENOUGH = 3
"""Rank of 'worn', the weakest evidence elsewhere."""


class Result(NamedTuple):
    """A check's verdict.

    `only_kept_sizes`: every open condition lacks a size, each of them on a thing that stays.
    """

    verdict: Verdict
    only_kept_sizes: bool = False

    @property
    def unsupported(self) -> bool:
        """Counts in the first level of preference."""
        return self.verdict is Verdict.NOT_KNOWN and not self.only_kept_sizes


# ------------------------------------------------------------------------- one condition at a time


def in_window(low: int, high: int, window: Window) -> bool | None:
    """Yes wholly inside the closed window, no wholly outside it, None in between."""
    if (window.low is None or low >= window.low) and (window.high is None or high <= window.high):
        return True
    if (window.low is not None and high < window.low) or (window.high is not None and low > window.high):
        return False
    return None


def same_hand(one: Thread, other: Thread) -> bool | None:
    """A hand that nobody wrote is usual right: right on it is yes, left on it is open."""
    if "LH" in (one.hand, other.hand) and "" in (one.hand, other.hand):
        return None
    return (one.hand == "LH") == (other.hand == "LH")


@dataclass(frozen=True)
class Summand:
    """`factor` times one dimension of one side of a check."""

    factor: int
    side: int
    feature: str
    dimension: str


@dataclass(frozen=True)
class Test:
    """A condition over particular things' dimensions; a sum takes a nominal as its value."""

    sort: str
    required: bool
    terms: tuple[Summand, ...]
    window: Window
    gross: Window | None = None
    same_code: bool = False
    nominal_counts: bool = False

    __test__ = False  # not a test case, whatever pytest thinks of the name

    def outcome(self, values: list[Value]) -> bool | None:
        """Yes, no or open for one value per term."""
        if isinstance(values[0], Thread) and isinstance(values[1], Thread):
            return same_hand(values[0], values[1])
        if self.same_code:
            return values[0] == values[1]
        sizes = [value for value in values if isinstance(value, Size)]
        low = high = 0
        for term, size in zip(self.terms, sizes, strict=True):
            ends = (term.factor * size.low, term.factor * size.high)
            low, high = low + min(ends), high + max(ends)
        if self.nominal_counts or not any(size.nominal for size in sizes):
            return in_window(low, high, self.window)
        if self.gross is None:
            return None
        return in_window(low, high, self.gross)


@dataclass(frozen=True)
class Check:
    """A joint or a stack on particular things, ready to judge."""

    things: tuple[Thing, ...]
    features: tuple[tuple[int, str], ...]
    tests: tuple[Test, ...]
    critical: bool
    claimed: bool = False
    never_a_tick: bool = False
    stated: bool = False
    limits: bool = True
    absent: Verdict = Verdict.DOES_NOT_FIT


class _Belief(NamedTuple):
    """One choice among what is contested, and one reading of what is not."""

    there: dict[tuple[int, str], bool]
    value: dict[tuple[int, str, str], Value]


def judge(world: World, check: Check) -> Result:
    """The verdict of a check.

    Contested dimensions and features are believed each way in turn; under each belief the worst
    over statements that agree counts.  All equal: that verdict; every one a no: the worst; else
    disputed.
    """
    known = {
        (term.side, term.feature, term.dimension): believed(
            world, check.things[term.side], term.feature, term.dimension
        )
        for test in check.tests
        for term in test.terms
    }
    there = {
        (side, feature): beliefs_in_feature(world, check.things[side], feature) for side, feature in check.features
    }
    fought = {key: size.statements for key, size in known.items() if contested(size.statements)}
    agreed = {key: size.statements for key, size in known.items() if size.statements and key not in fought}
    verdicts, straddles, guessed = set(), False, set[int]()
    for exists in product(*there.values()):
        for chosen in product(*fought.values()):
            worst = Verdict.FITS
            for rest in product(*agreed.values()):
                value = dict(zip([*fought, *agreed], [*chosen, *rest], strict=True))
                belief = _Belief(dict(zip(there, exists, strict=True)), value)
                under = _under(check, known, belief)
                worst, straddles = min(worst, under.verdict), straddles or under.straddles
                guessed |= under.guessed
            verdicts.add(worst)
    only_kept_lack = check.limits and not straddles and _lacks_only_on_kept(check, known, guessed)
    return Result(_combined(verdicts), only_kept_lack)


def _no(sort: str) -> Verdict:
    return Verdict.DOES_NOT_FIT if sort == "assembly" else Verdict.DO_NOT_USE


def _combined(verdicts: set[Verdict]) -> Verdict:
    if len(verdicts) == 1 or all(verdict.is_no for verdict in verdicts):
        return min(verdicts)
    return Verdict.DISPUTED


def _lacking(test: Test, known: dict[tuple[int, str, str], Sized]) -> list[tuple[int, Sized]]:
    """The sides on which a test lacks a size."""
    found = []
    for term in test.terms:
        size = known[(term.side, term.feature, term.dimension)]
        if not size.statements:
            found.append((term.side, size))
    return found


def _lacks_only_on_kept(check: Check, known: dict[tuple[int, str, str], Sized], guessed: set[int]) -> bool:
    lacking = [*guessed, *(side for test in check.tests if test.required for side, _ in _lacking(test, known))]
    return bool(lacking) and all(check.things[side].stays for side in lacking)


class _Under(NamedTuple):
    """The verdict under one belief, whether a required condition straddles its limit, and on which sides one is open
    because nobody wrote the hand of a thread."""

    verdict: Verdict
    straddles: bool = False
    guessed: frozenset[int] = frozenset()


def _under(check: Check, known: dict[tuple[int, str, str], Sized], belief: _Belief) -> _Under:
    if not all(belief.there.values()):
        return _Under(check.absent)
    noes = set()
    guessed: set[int] = set()
    required = {Verdict.ON_PAPER if check.never_a_tick else Verdict.FITS}
    straddles = False
    for test in check.tests:
        keys = [(term.side, term.feature, term.dimension) for term in test.terms]
        lacking = bool(_lacking(test, known))
        blind = lacking or not check.limits
        outcome = None if blind else test.outcome([belief.value[key] for key in keys])
        if outcome is False:
            noes.add(test.sort)
        elif test.required and outcome is None:
            unwritten = set() if blind else {key[0] for key in keys if known[key].usual}
            guessed.update(unwritten)
            straddles = straddles or not (blind or unwritten)
            required.add(_open(check, test, known, lacking or bool(unwritten)))
        elif test.required and not all(_good(check, key, known[key]) for key in keys):
            required.add(Verdict.ON_PAPER)
    if noes:
        return _Under(min(_no(sort) for sort in noes), straddles, frozenset(guessed))
    return _Under(Verdict.FITS if check.stated else min(required), straddles, frozenset(guessed))


def _open(check: Check, test: Test, known: dict[tuple[int, str, str], Sized], lacks: bool) -> Verdict:
    """What an open required condition leaves: a claim stands in for sizes that are lacking, also a hand of a thread."""
    stands_in = check.claimed and lacks and not any(size.unsure for _, size in _lacking(test, known))
    return Verdict.ON_PAPER if stands_in else Verdict.NOT_KNOWN


def _good(check: Check, key: tuple[int, str, str], size: Sized) -> bool:
    if check.things[key[0]].stays:
        return size.standing == ON_THE_ITEM
    limit = GOOD_ENOUGH_WHEN_CRITICAL if check.critical else GOOD_ENOUGH
    return size.standing <= limit


# ------------------------------------------------------------------------------ joints and stacks


def _test(condition: Condition, features: tuple[str, str]) -> Test:
    return Test(
        sort=condition.sort,
        required=condition.need == "required",
        terms=tuple(Summand(term.factor, term.role, features[term.role], term.dimension) for term in condition.terms),
        window=condition.window,
        gross=condition.gross,
        same_code=condition.same_code,
    )


def judge_joint(world: World, joint: Joint, one: Thing, other: Thing, stated: bool = False) -> Result:
    """The verdict of a joint between the things in its position and in its other position.

    `stated`: both are members of one new set, which states the joint as made; that holds where sizes do not say no.
    """
    rule = world.rule[joint.rule]
    features = (joint.feature, joint.other_feature)
    critical = rule.safety_critical if joint.safety_critical is None else joint.safety_critical
    result = judge(
        world,
        Check(
            things=(one, other),
            features=((0, joint.feature), (1, joint.other_feature)),
            tests=tuple(_test(c, features) for c in rule.conditions if c.need != "told"),
            critical=critical,
            claimed=claimed_together(world, one, other),
            stated=stated,
        ),
    )
    lifts = result.verdict in (Verdict.NOT_KNOWN, Verdict.ON_PAPER) and not critical
    return Result(Verdict.WITH_WORK) if lifts and made_to_fit(world, joint, one, other) else result


def judge_stack(world: World, stack: Stack, filled: dict[str, Thing], stated: bool = False) -> Result:
    """The verdict of a stack on the things in its positions; a position not in `filled` is empty.

    `stated`: a new set in it states the stack as made; that holds where sizes do not say no.
    """
    places = list(filled)
    terms = tuple(
        Summand(term.factor, places.index(term.position), term.feature, term.dimension)
        for term in stack.terms
        if term.position in filled
    )
    return judge(
        world,
        Check(
            things=tuple(filled.values()),
            features=tuple(dict.fromkeys((term.side, term.feature) for term in terms)),
            tests=(Test(stack.sort, True, terms, stack.window, nominal_counts=True),),
            critical=stack.safety_critical,
            never_a_tick=stack.method,
            stated=stated,
            limits=not stack.unlimited,
            absent=_no(stack.sort),
        ),
    )


def lowest_sum(world: World, stack: Stack, filled: dict[str, Thing]) -> int | None:
    """The least that a stack may come to on these things; None where a size is not known or known absent."""
    least = 0
    for term in stack.terms:
        if term.position not in filled:
            continue
        thing = filled[term.position]
        sizes = [s for s in sized(world, thing, term.feature, term.dimension).statements if isinstance(s, Size)]
        if not sizes or known_to_lack(world, thing, term.feature):
            return None
        least += min(term.factor * end for size in sizes for end in (size.low, size.high))
    return least
