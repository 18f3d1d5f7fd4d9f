"""The answer of ``knockon tell-apart`` as text: what tells them apart first, then what it does, and what nobody
recorded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.effects import Turn
from knockon.queries.find.tell_apart import (
    BOTH_UNKNOWN,
    DIFFERS,
    MAY_DIFFER,
    NOT_RECORDED,
    ONE_UNKNOWN,
    Difference,
    RuleThere,
    TellApartAnswer,
)
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.ui import units
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import find as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.texts.plan.swap.head import short_cautions

HEADINGS = {
    DIFFERS: say.WHAT_DIFFERS,
    MAY_DIFFER: say.WHAT_MAY_DIFFER,
    ONE_UNKNOWN: say.OF_ONE_ONLY,
    BOTH_UNKNOWN: say.OF_NEITHER,
}
MOST_ROWS = 12
"""So many differences, and so many joints, are shown on the first page."""
At = dict[tuple[str, str], tuple[RuleThere, list[Difference]]]


def tell_apart_pages(catalogue: Catalogue, answer: TellApartAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, some of its parts, or all. ``ask``: the command so far."""
    naming = Naming(catalogue)
    first, second = (naming.part(p) for p in answer.parts)
    head = [Para(say.TWO_PARTS.format(first=first, second=second), tone=STRONG), *_head(answer)]
    if shown.full:
        sizes = [b for word in HEADINGS for b in _differences(answer, word)]
        return [*head, *sizes, *_effects(naming, answer), Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]
    short = short_cautions(naming, answer.cautions)
    if shown.parts:
        blocks = list(_effects(naming, answer)) if shown.why is not None else []
        if shown.evidence:
            blocks += [b for word in (ONE_UNKNOWN, BOTH_UNKNOWN) for b in _differences(answer, word)]
        return [*head, *blocks, *short]
    return [*head, *_page(naming, answer), *short, *next_blocks([f"{ask} {o}" for o in _options(answer)])]


def _options(answer: TellApartAnswer) -> Iterator[str]:
    """What else there is to show."""
    if _turning(answer):
        yield "--why"
    if any(d.word in (ONE_UNKNOWN, BOTH_UNKNOWN) for d in answer.differences):
        yield "--evidence"
    yield "--full"


def _page(naming: Naming, answer: TellApartAnswer) -> Iterator[Block]:
    for word in (DIFFERS, MAY_DIFFER):
        found = _of(answer, word)
        if found:
            yield Heading(HEADINGS[word])
            yield _grid(answer, found[:MOST_ROWS])
            yield from _more(len(found) - MOST_ROWS, "more difference")
    turning = _turning(answer)
    if turning:
        rows = [
            (_joint(rule, member), *_row(naming, turn))
            for (member, _), (rule, _) in turning.items()
            for turn in rule.turns
        ]
        yield Heading(say.WHAT_IT_DOES)
        yield Grid(tuple(rows[:MOST_ROWS]), (say.JOINT, say.WITH, *answer.parts), indent=2)
        yield from _more(len(rows) - MOST_ROWS, "more line")
    unknown = list(_unknown_in_short(answer))
    yield from [Gap(), *unknown] if unknown else []


def _joint(rule: RuleThere, member: str) -> str:
    """A joint, with the member of the set that stands there unless its name says it."""
    return rule.joint if member in rule.joint else say.AS_MEMBER.format(joint=rule.joint, member=member)


def _more(number: int, what: str) -> Iterator[Block]:
    if number > 0:
        yield Para(say.MORE_ROWS.format(rows=count(number, what)), indent=2, tone=QUIET)


def _unknown_in_short(answer: TellApartAnswer) -> Iterator[Block]:
    """What is recorded of one only, or of neither, by the names of the features and sizes."""
    one = [d for d in _of(answer, ONE_UNKNOWN) if d.what != "evidence"]
    for i, part in enumerate(answer.parts):
        own = [d for d in one if (d.second, d.first)[i] == NOT_RECORDED]
        if own:
            yield Para(say.ONLY_OF.format(part=part, what="; ".join(_by_feature(own))), tone=WARN)
    neither = _of(answer, BOTH_UNKNOWN)
    if neither:
        yield Para(say.OF_NONE.format(what="; ".join(_by_feature(neither))), tone=WARN)


def _of(answer: TellApartAnswer, word: str) -> list[Difference]:
    return [d for d in answer.differences if d.word == word and d.what != "evidence"]


def _head(answer: TellApartAnswer) -> Iterator[Block]:
    known = _of(answer, DIFFERS)
    open_ = [d for d in answer.differences if d.word != DIFFERS]
    if known:
        are = "is" if len(known) == 1 else "are"
        said = [say.DIFFER.format(differences=count(len(known), "difference"), are=are), *_told_by(answer, known)]
        yield Para(" ".join(said), tone=STRONG)
    else:
        yield Para(say.NOT_TOLD, tone=BAD)
        yield Para(say.NOT_THE_SAME if open_ else say.MAY_STILL_DIFFER, tone=WARN)
    if answer.mirrors:
        yield Para(say.MIRRORS)
    if answer.hand_sign:
        yield Para(say.HAND_SIGN.format(sign=answer.hand_sign))
    if answer.one_drawing:
        yield Para(say.ONE_DRAWING)


def _told_by(answer: TellApartAnswer, known: Sequence[Difference]) -> list[str]:
    """The first size that differs, and else the first thing that does, with both values."""
    by_size = [d for d in known if d.what == "size"]
    best = by_size[0] if by_size else known[0]
    template = say.TELL_BY_SIZE if by_size else say.TELL_BY_LOOK
    return [
        template.format(
            what=_named(best),
            first_size=_sized(best.first, best.first_values),
            first=answer.parts[0],
            second_size=_sized(best.second, best.second_values),
            second=answer.parts[1],
        )
    ]


def _named(difference: Difference) -> str:
    """What a difference is of: ``outer bearing, bore, diameter``."""
    of = difference.feature if difference.what in ("feature", "size") else difference.what
    if difference.what == "member":
        return say.MEMBER.format(member=difference.member)
    size = difference.dimension.replace(".major", "").replace(".", " ")
    return ", ".join(x for x in (difference.member, of, size) if x)


def _sized(said: str, values: Sequence[Value]) -> str:
    sizes = list(dict.fromkeys(units.size(v) for v in values if v.computes))
    return listed(sizes, "or") if sizes else said


def _differences(answer: TellApartAnswer, word: str) -> list[Block]:
    """All differences of one word, under their heading."""
    found = _of(answer, word)
    if not found:
        return []
    if word == BOTH_UNKNOWN:
        return [Heading(HEADINGS[word]), *(Para(f"{x}.", mark="-", tone=WARN) for x in _by_feature(found))]
    return [Heading(HEADINGS[word]), _grid(answer, found)]


def _grid(answer: TellApartAnswer, found: Iterable[Difference]) -> Grid:
    return Grid(tuple(map(difference_row, found)), ("", *answer.parts), indent=2)


def difference_row(difference: Difference) -> tuple[str, str, str]:
    """A difference with what is said of each of the two."""
    first = _sized(difference.first, difference.first_values)
    return _named(difference), first, _sized(difference.second, difference.second_values)


def _by_feature(found: Iterable[Difference]) -> list[str]:
    """What nobody recorded, feature by feature; a designation's parts go with the whole of it."""
    features: dict[str, dict[str, None]] = {}
    for d in found:
        name = ", ".join(x for x in (d.member, d.feature or d.what) if x)
        sizes = features.setdefault(name, {})
        if d.dimension:
            sizes[d.dimension.replace(".major", "").replace(".", " ")] = None
    return [f"{name}: {listed(list(sizes))}" if sizes else name for name, sizes in features.items()]


def _turning(answer: TellApartAnswer) -> At:
    """The joints at which the two have different verdicts, each once, with the differences that stand in its rule."""
    there: At = {}
    for d in answer.differences:
        for rule in (r for r in d.rules if r.turns):
            there.setdefault((d.member, rule.joint), (rule, []))[1].append(d)
    return there


def _effects(naming: Naming, answer: TellApartAnswer) -> Iterator[Block]:
    """What the differences do, joint by joint with the differences that stand in its rule."""
    there = _turning(answer)
    figures = dict.fromkeys(f for d in answer.differences if d.word != BOTH_UNKNOWN for f in d.figures)
    yield Heading(say.WHAT_IT_DOES)
    if not there:
        yield Para(say.NO_JOINT)
    for (member, _), (rule, found) in there.items():
        name = say.RULE_AS.format(rule=rule.rule, member=member) if member else rule.rule
        reasons = listed([_reason(d) for d in found])
        text = say.AT_JOINT.format(joint=rule.joint, rule=name, position=rule.other_position, reasons=reasons)
        yield Para(text, mark="-")
        yield Grid(tuple(_row(naming, t) for t in rule.turns), ("", *answer.parts), indent=4)
    if figures:
        yield Para(say.IN_FIGURES.format(figures="; ".join(figures)), mark="-")


def _reason(difference: Difference) -> str:
    if difference.what == "evidence":
        if difference.first == difference.second:
            return say.CLAIMS
        return say.EVIDENCE.format(first=difference.first, second=difference.second)
    return _named(difference)


def _row(naming: Naming, turn: Turn) -> tuple[str, ...]:
    return naming.hands(turn.parts), str(turn.first), str(turn.second)
