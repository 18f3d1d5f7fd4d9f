"""The answer of ``knockon combinations`` as text: the best combination and the next ones, what else is possible."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.combinations import Combination, CombinationsAnswer, PossibleAt
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.undecided import NUMBER, is_undecided
from knockon.queries.plan.swap import Filled
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import combinations as say
from knockon.queries.ui.sentences.plan.verdict import NOT_KNOWN as NOT_KNOWN_CHECKS
from knockon.queries.ui.terminal.blocks import STRONG, WARN, Block, Grid, Heading, Para
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.levels import cost_words
from knockon.queries.ui.texts.plan.swap.head import (
    cautions,
    first_checks,
    not_known_checks,
    rules_line,
    short_cautions,
)
from knockon.queries.ui.texts.plan.swap.others import exchanged
from knockon.queries.ui.texts.plan.undecided import undecided_blocks, without_plan_blocks
from knockon.queries.ui.texts.plan.unproven import unproven_blocks

LONG_NUMBER = 15
"""Digits of a number that is still said whole on the first page."""


def combinations_pages(catalogue: Catalogue, answer: CombinationsAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far."""
    naming = Naming(catalogue, answer.layout)
    end = cautions(answer.cautions, unchecked_told(answer))
    short = short_cautions(naming, answer.cautions)
    if not answer.combinations:
        why = without_plan_blocks(naming, answer.none, (), answer.cautions, answer.not_decided)
        none = [_title(answer), *unchecked_blocks(answer), *why]
        if shown.full:
            return [*none, *end]
        return [*none, rules_line(naming, answer.cautions), *next_blocks([f"{ask} --full"])]
    head = [_title(answer), *_verdict(answer), *undecided_blocks(answer.not_decided)]
    if shown.full:
        best = [*_whole(naming, answer.combinations[0]), *_unproven(answer.combinations[0])]
        caution = Para(answer.cautions[0], tone=WARN)
        return [*head, caution, *_possible(naming, answer), *best, *_next_best(naming, answer), *end]
    if shown.parts:
        parts = _possible(naming, answer) + _next_best(naming, answer) if shown.others else []
        parts += unproven_blocks(naming, answer.combinations[0].unproven) if shown.evidence else []
        return [*head, *parts, *short]
    options = ["--others", *(["--evidence"] if answer.combinations[0].unproven else []), "--full"]
    page = [*_in_short(naming, answer), *_next_best(naming, answer)]
    return [*head, *page, *short, *next_blocks([f"{ask} {option}" for option in options])]


def _title(answer: CombinationsAnswer) -> Block:
    given = listed([f'"{g}"' for g in answer.given]) or say.NOTHING_GIVEN
    return Para(say.TITLE.format(layout=answer.layout, given=given))


def _verdict(answer: CombinationsAnswer) -> list[Block]:
    """Whether they go together; what rests on unknowns is never told as if it were settled."""
    best = answer.combinations[0]
    unknown = best.costs[NOT_KNOWN]
    text = say.AS_FAR_AS_READ if answer.set_aside else say.GO_TOGETHER
    if unknown:
        text = say.NOT_KNOWN_YET.format(checks=count(unknown, "check"), are="is" if unknown == 1 else "are")
    blocks: list[Block] = [Para(text, tone=STRONG), *unchecked_blocks(answer)]
    checks = not_known_checks(best.unproven)
    if checks:
        blocks.append(Para(NOT_KNOWN_CHECKS.format(checks=first_checks(checks)), tone=WARN))
    return blocks


def _in_short(naming: Naming, answer: CombinationsAnswer) -> list[Block]:
    """The best combination in two columns, a number at several positions once; at how many more is possible."""
    positions: dict[str, list[str]] = {}
    for position, numbers in _by_position(answer.combinations[0].filled).items():
        positions.setdefault(naming.hands(numbers), []).append(position)
    cells = [(_several(p), number) for number, p in positions.items()]
    half = (len(cells) + 1) // 2
    rows = tuple((*cells[i], *(cells[half + i] if half + i < len(cells) else ("", ""))) for i in range(half))
    head = (say.POSITION, say.NUMBER, say.POSITION, say.NUMBER)
    blocks: list[Block] = [Heading(say.BEST), Grid(rows, head)]
    choices = sum(len({naming.either_hand(p.number) for p in at.parts}) > 1 for at in answer.possible)
    others = [say.OTHERS_TOO.format(positions=count(choices, "position"))] if choices else []
    return [*blocks, Para(" ".join([*others, *_number(answer)]))]


def _number(answer: CombinationsAnswer, in_full: bool = False) -> list[str]:
    """How many combinations there are; nothing where that is said to be not decided."""
    if is_undecided(answer.not_decided, NUMBER):
        return []
    if answer.counted is None:
        return [say.NOT_COUNTED]
    digits = answer.counted.number
    if not answer.counted.exact:
        return [say.AT_LEAST.format(number=_in_words(digits, in_full))]
    return [say.ONLY_ONE if digits == "1" else say.COUNTED.format(number=_in_words(digits, in_full))]


def _in_words(digits: str, in_full: bool) -> str:
    """A number with commas; a long one, unless asked for in full, rounded down to three digits."""
    if in_full or len(digits) <= LONG_NUMBER:
        return f"{int(digits):,}"
    return say.ABOUT.format(factor=f"{digits[0]}.{digits[1:3]}", power=len(digits) - 1)


def _several(positions: Sequence[str]) -> str:
    if len(positions) < 3:
        return listed(positions)
    return say.AND_MORE.format(position=positions[0], number=len(positions) - 1)


def _possible(naming: Naming, answer: CombinationsAnswer) -> list[Block]:
    """All parts that may stand at each position."""
    rows = tuple(_possible_row(naming, p) for p in answer.possible)
    blocks: list[Block] = [Heading(say.ALL_PARTS), Grid(rows, (say.POSITION, say.KNOWN_PARTS))]
    if any(p.only_unknown for at in answer.possible for p in at.parts):
        blocks.append(Para(say.MEANS_LESS_SURE, indent=2))
    return [*blocks, *map(Para, _number(answer, in_full=True))]


def _possible_row(naming: Naming, at: PossibleAt) -> tuple[str, str]:
    known = naming.hands(p.number for p in at.parts if not p.only_unknown)
    unknown = naming.in_hands(p.number for p in at.parts if p.only_unknown)
    unsure = [say.LESS_SURE.format(number=n) for n in unknown]
    name = (
        say.IN_ARRANGEMENT.format(position=at.position, arrangement=at.arrangement) if at.arrangement else at.position
    )
    return name, ", ".join(x for x in (known, *unsure) if x)


def _by_position(filled: Sequence[Filled]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in filled:
        found.setdefault(one.place.position, []).append(one.number)
    return found


def _whole(naming: Naming, best: Combination) -> Iterator[Block]:
    """The best combination, every position with its number and name."""
    rows = tuple(
        (p, naming.hands(numbers), naming.name_of(numbers[0])) for p, numbers in _by_position(best.filled).items()
    )
    yield Heading(say.BEST)
    yield Grid(rows, (say.POSITION, say.NUMBER, say.NAME))


def _unproven(best: Combination) -> Iterator[Block]:
    checks = list(dict.fromkeys(e.check for e in best.unproven))
    if checks:
        yield Para(say.UNPROVEN.format(checks="; ".join(checks)), indent=2)


def _next_best(naming: Naming, answer: CombinationsAnswer) -> list[Block]:
    """How the next combinations differ from the best one."""
    best, *others = answer.combinations
    lines = [Para(_difference(naming, best, other), mark=f"{i}.") for i, other in enumerate(others, 2)]
    return [Heading(say.NEXT_BEST), *lines] if lines else []


def _difference(naming: Naming, first: Combination, other: Combination) -> str:
    """How another combination differs from the first: parts, then what it costs."""
    before, after = _by_place(first), _by_place(other)
    pairs: dict[tuple[str, str], list[Place]] = {}
    for place in dict.fromkeys((*before, *after)):
        pair = before.get(place, ""), after.get(place, "")
        if pair[0] != pair[1]:
            key = naming.either_hand(pair[0]), naming.either_hand(pair[1])
            pairs.setdefault(key, []).append(place)
    said = []
    for places in pairs.values():
        old, new = (naming.hands(found.get(p, "") for p in places) for found in (before, after))
        said.append(exchanged(places_in_words(places), old, new))
    return say.DIFFERS.format(
        changes=sentence("; ".join(said)).removesuffix("."), costs=cost_words(other.costs, first.costs)
    )


def _by_place(filling: Combination) -> dict[Place, str]:
    return {f.place: f.number for f in filling.filled}
