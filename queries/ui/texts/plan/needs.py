"""The answer of ``knockon needs`` as text: what a part must be, who says so, which recorded parts are that."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.needs import KEEPS, NeedsAnswer
from knockon.queries.plan.openings.recorded import MAY_MEET, MEETS, NEARLY, Checked, Miss, Recorded
from knockon.queries.plan.openings.specified import (
    ABSENT_BESIDE,
    BY_FORMULA,
    CONTESTED_BESIDE,
    NO_BESIDE,
    NOT_RECORDED_BESIDE,
    OF_SEVERAL,
    REQUIRED,
    Specification,
    Stated,
)
from knockon.queries.plan.solving.undecided import PLAN, is_undecided
from knockon.queries.ui import units
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, asked_words, count, listed, places_in_words, sentence
from knockon.queries.ui.sentences.plan import needs as say
from knockon.queries.ui.sentences.plan.verdict import NAMED, NOTHING_ASKED
from knockon.queries.ui.terminal.blocks import BAD, GOOD, QUIET, STRONG, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.needed_sizes import feature_lines
from knockon.queries.ui.texts.plan.needs_message import message_blocks
from knockon.queries.ui.texts.plan.specification import limits_of, specification_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions, first_checks, short_cautions
from knockon.queries.ui.texts.plan.undecided import undecided_blocks

MOST_NAMED = 3
"""So many parts are named in the head, so many sizes of one."""
MOST_LISTED = 5
"""So many parts of each outcome are listed on the first page."""


def needs_pages(
    catalogue: Catalogue, answer: NeedsAnswer, shown: Shown, message: bool, ask: str, swap: str = ""
) -> Sequence[Block]:
    """What is asked for of the answer: the message, its first page, some of its parts, or all. ``ask``: the command so
    far; ``swap``: the same request as a swap, blank if it asks for nothing."""
    naming = Naming.on(catalogue, answer.vehicle)
    if message:
        return message_blocks(naming, answer)
    head = [_title(answer), *_verdict(naming, answer), *unchecked_blocks(answer)]
    head += undecided_blocks(answer.not_decided) if answer.specifications else []
    if shown.full:
        whole = [*_must_be(answer), *_whole_plan(answer), *_who_sets(answer), *_recorded(naming, answer, 0)]
        whole += [*_claimed(answer, 0), *_checks_of(naming, answer)]
        return [*head, *whole, *cautions(answer.cautions, unchecked_told(answer))]
    short = short_cautions(naming, answer.cautions)
    if shown.parts:
        parts = list(_who_sets(answer)) if shown.why is not None else []
        parts += [*_recorded(naming, answer, 0), *_claimed(answer, 0)] if shown.others else []
        parts += _checks_of(naming, answer) if shown.evidence else []
        return [*head, *parts, *short]
    page = [*_must_be(answer), *_recorded(naming, answer, MOST_LISTED), *_claimed(answer, MOST_LISTED)]
    why_none = [swap] if swap and not answer.here else []
    return [*head, *page, *short, *next_blocks(why_none or [f"{ask} {option}" for option in _options(answer)])]


def _options(answer: NeedsAnswer) -> tuple[str, ...]:
    """What else there is to show."""
    return ("--message", "--why", "--evidence", "--full") if answer.specifications else ("--full",)


def _title(answer: NeedsAnswer) -> Block:
    vehicle = NAMED.format(title=answer.title, vehicle=answer.vehicle) if answer.title else answer.vehicle
    places = sentence(places_in_words(answer.places)).rstrip(".")
    return Para(say.TITLE.format(places=places, vehicle=vehicle, asked=asked_words(answer.asked) or NOTHING_ASKED))


# ---- the head


def _verdict(naming: Naming, answer: NeedsAnswer) -> Iterator[Block]:
    """What to do next, and what the plan does here."""
    if not answer.here:
        undecided = is_undecided(answer.not_decided, PLAN)
        yield Para(say.NO_PLAN_YET if undecided else say.NO_PLAN, tone=WARN if undecided else BAD)
        return
    places = places_in_words(answer.places)
    if not answer.specifications:
        yield Para(say.NOT_NEEDED.format(places=places), tone=STRONG)
        return
    yield _advice(naming, answer)
    if answer.opens:
        yield Para(say.OPENS, tone=WARN)
    yield Para(" ".join(_what_it_does(naming, answer)))


def _advice(naming: Naming, answer: NeedsAnswer) -> Block:
    if not all(s.is_possible for s in answer.specifications):
        return Para(say.NO_PART_CAN, tone=BAD)
    good = [r for r in answer.meets if not r.not_accepted]
    if good:
        said = say.MEETS if len(good) == 1 else say.MEET
        weak = {c.check for r in good[:MOST_NAMED] for c in r.checks if c.verdict is Verdict.FITS_ON_PAPER}
        more = [say.MEET_UNPROVEN.format(checks=first_checks(sorted(weak)))] if weak else []
        return Para(" ".join((said.format(parts=_first(naming, good)), *more)), tone=GOOD)
    if answer.may_meet:
        useful = [r for r in answer.may_meet if not r.not_accepted]
        sized = [(r, lacks) for r in useful if (lacks := _lacks(c for c in r.checks if not c.by_name))]
        if not sized:
            names = [r for r in useful if any(c.by_name and c.lacks for c in r.checks)]
            said = say.ASK_FIRST.format(part=naming.part(names[0].number)) if names else say.SETTLE_FIRST
            return Para(said, tone=WARN)
        part, lacks = sized[0]
        sizes = listed(
            [*lacks[:MOST_NAMED], *([count(len(lacks) - MOST_NAMED, "more size")] if lacks[MOST_NAMED:] else [])]
        )
        return Para(
            say.MEASURE_FIRST.format(parts=say.SIZES_OF.format(part=naming.part(part.number), sizes=sizes)), tone=WARN
        )
    return Para(say.FIND, tone=STRONG)


def _first(naming: Naming, parts: Sequence[Recorded]) -> str:
    """The first of some parts, and how many more there are."""
    names = [naming.part(r.number) for r in parts[:MOST_NAMED]]
    more = len(parts) - MOST_NAMED
    return say.MORE_PARTS.format(parts=", ".join(names), more=more) if more > 0 else listed(names)


def _what_it_does(naming: Naming, answer: NeedsAnswer) -> Iterator[str]:
    found: dict[tuple[str, str], list[Place]] = {}
    for here in answer.here:
        found.setdefault((here.does, here.number), []).append(here.place)
    for (does, number), places in found.items():
        yield say.THE_PLAN[does].format(part=naming.part(number), places=places_in_words(places))
    if any(h.of_set and h.does != KEEPS for h in answer.here):
        yield say.OF_SET
    if len(answer.places) == 1 and answer.places[0].side:
        yield say.ONE_SIDE


# ---- what it must be


def _must_be(answer: NeedsAnswer) -> Iterator[Block]:
    """The sizes, feature by feature; then what several decide together, and what is not known."""
    for i, spec in enumerate(answer.specifications):
        if not i:
            yield Heading(say.MUST_BE)
        if len(answer.specifications) > 1:
            yield Para(sentence(places_in_words(spec.places)), tone=STRONG)
        sums = [_sum(s) for s in spec.stated if s.because == OF_SEVERAL]
        yield from bullets([*feature_lines(spec), *sums])
        yield from _beside(spec)


def _sum(stated: Stated) -> str:
    check = stated.check if stated.condition == stated.check else f"{stated.check}, {stated.condition}"
    return say.SUMS.format(check=sentence(check).rstrip("."), value=stated.value, limits=limits_of(stated))


def _beside(spec: Specification) -> Iterator[Block]:
    """What stands in the way of saying more: what is not recorded beside it, or rules every part out."""
    lacking: dict[str, dict[str, None]] = {}
    for one in spec.stated:
        if one.because == NOT_RECORDED_BESIDE and one.need == REQUIRED:
            lacking.setdefault(one.check, {}).update(dict.fromkeys(map(str, one.lacking)))
    by_sizes: dict[tuple[str, ...], list[str]] = {}
    for check, sizes in lacking.items():
        by_sizes.setdefault(tuple(sizes), []).append(check)
    said = [say.LACKING.format(sizes="; ".join(sizes), checks=listed(checks)) for sizes, checks in by_sizes.items()]
    for one in spec.stated:
        parts = "; ".join(one.parts)
        if one.because == ABSENT_BESIDE:
            said.append(say.ABSENT_BESIDE.format(parts=parts, feature=one.value, check=one.check))
        elif one.because == CONTESTED_BESIDE:
            said.append(say.CONTESTED_BESIDE.format(parts=parts, feature=one.value, check=one.check))
        elif one.because == NO_BESIDE:
            said.append(say.NO_BESIDE.format(parts=parts, check=one.check, condition=one.condition))
    if said:
        yield Heading(say.NOT_KNOWN_BESIDE)
        yield from bullets(dict.fromkeys(said), tone=WARN)


def _whole_plan(answer: NeedsAnswer) -> Iterator[Block]:
    """What a formula works out of several sizes: it gives no window."""
    found = [s for spec in answer.specifications for s in spec.stated if s.because == BY_FORMULA and s.need == REQUIRED]
    said = dict.fromkeys(say.WHOLE_PLAN.format(check=sentence(s.check).rstrip("."), value=s.value) for s in found)
    if said:
        yield Heading(say.WITH_THE_PLAN)
        yield from bullets(said)


def _who_sets(answer: NeedsAnswer) -> Iterator[Block]:
    """Each limit with the check, the condition and the part that set it."""
    if answer.specifications:
        yield Heading(say.WHO_SETS)
    for spec in answer.specifications:
        yield from specification_blocks(spec)


# ---- recorded parts


def _recorded(naming: Naming, answer: NeedsAnswer, most: int) -> Iterator[Block]:
    """The parts of each outcome; ``most`` of each, 0 for all."""
    if not answer.specifications:
        return
    yield Heading(say.RECORDED)
    for outcome, parts in ((MEETS, answer.meets), (MAY_MEET, answer.may_meet), (NEARLY, answer.nearly)):
        if parts:
            yield Para(sentence(say.GROUPS[outcome]).replace(".", ":"), tone=STRONG)
            yield from bullets([_part(naming, r) for r in (parts[:most] if most else parts)], indent=2)
            if most and len(parts) > most:
                yield Para(say.MORE_OF_THEM.format(number=len(parts) - most), indent=2, tone=QUIET)
    if answer.others:
        do = "does" if answer.others == 1 else "do"
        yield Para(say.OTHERS.format(parts=count(answer.others, "recorded part"), do=do))
    elif not (answer.meets or answer.may_meet or answer.nearly):
        yield Para(say.NO_PARTS)


def _part(naming: Naming, part: Recorded) -> str:
    name = naming.part(part.number) + (say.AS_SET if part.of_set else "")
    name += say.AS_MIRROR.format(mirror=part.mirror) if part.mirror else ""
    if part.not_accepted:
        return say.NOT_ACCEPTED.format(part=name, why=part.not_accepted.rstrip("."))
    if part.misses is not None:
        return f"{_miss(name, part.misses)}."
    more = ""
    if part.fitted:
        more = say.ON_VEHICLES.format(vehicles=", ".join(part.fitted[:MOST_LISTED]))
    lacks = _lacks(part.checks)
    if lacks:
        more += say.LACKS.format(sizes=", ".join(lacks))
    unsure = [c.check for c in part.checks if c.verdict in (Verdict.NOT_KNOWN, Verdict.DISPUTED) and not c.lacks]
    if unsure:
        more += say.OPEN.format(checks=", ".join(dict.fromkeys(unsure)))
    return say.PART.format(part=name, more=more)


def _lacks(checks: Iterable[Checked]) -> list[str]:
    """The part's own sizes that open checks lack."""
    return list(dict.fromkeys(" ".join(x for x in (s.feature, s.dimension) if x) for c in checks for s in c.lacks))


def _miss(name: str, miss: Miss) -> str:
    sizes = listed([str(s) for s in miss.sizes])
    check = miss.check if miss.condition == miss.check else f"{miss.check}, {miss.condition}"
    if miss.by is None:
        return say.MISS_CODE.format(part=name, sizes=sizes, check=check)
    size = units.amount(miss.by, miss.by, miss.unit)
    if len(miss.sizes) == 1:
        words = say.MISS_OVER if miss.over else say.MISS_UNDER
    else:
        words = say.MISS_SUM_OVER if miss.over else say.MISS_SUM_UNDER
    return words.format(part=name, sizes=sizes, size=size, check=check)


def _claimed(answer: NeedsAnswer, most: int) -> Iterator[Block]:
    """What is claimed of recorded parts, apart from what their sizes say."""
    if not answer.claimed:
        return
    yield Heading(say.LISTED_FOR)
    for one in answer.claimed[: most or None]:
        claims = [
            (say.CLAIM if c.part == one.number else say.CLAIM_OF).format(
                part=c.part, claim=c.claim, about=c.about, source=c.source, standing=c.standing
            )
            for c in one.claims
        ]
        outcome = say.OUTCOMES[one.outcome]
        said = say.CLAIMED.format(part=one.number, claims=listed(claims), outcome=outcome)
        yield from bullets([said])
    if most and len(answer.claimed) > most:
        yield Para(say.MORE_OF_THEM.format(number=len(answer.claimed) - most), tone=QUIET)


def _checks_of(naming: Naming, answer: NeedsAnswer) -> Iterator[Block]:
    """Each part that meets it, may, or nearly does, with the verdict of each check."""
    for part in (*answer.meets, *answer.may_meet, *answer.nearly):
        outcome = say.OUTCOMES[part.outcome]
        yield Para(f"{say.CHECKS_OF.format(part=naming.part(part.number), outcome=outcome)}:", tone=STRONG)
        places: dict[tuple[str, Verdict, tuple[str, ...]], list[Place]] = {}
        for check in part.checks:
            places.setdefault((check.check, check.verdict, tuple(map(str, check.lacks))), []).append(check.place)
        yield from bullets(
            (
                say.VERDICT.format(
                    check=check,
                    places=places_in_words(list(dict.fromkeys(at))),
                    verdict=verdict,
                    lacks=say.LACKS.format(sizes=", ".join(lacks)) if lacks else "",
                )
                for (check, verdict, lacks), at in places.items()
            ),
            indent=2,
        )
