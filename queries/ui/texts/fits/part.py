"""The answer of ``knockon part`` as text: one page with its sizes and what it meets; sources on demand."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.notes.outcomes import outcome_rank
from knockon.queries.fits.part import FeatureShown, PartAnswer, Touch
from knockon.queries.ui import units
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences import parts as say
from knockon.queries.ui.terminal.blocks import QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para, bullets
from knockon.queries.ui.texts.cautions import in_short
from knockon.queries.ui.texts.club.notes import note_text
from knockon.queries.ui.texts.fits.number_chain import chain_blocks

NOTES = 2
MOST_ALIKE = 6
"""So many of the numbers with the same sizes stand on the first page."""


def part_pages(catalogue: Catalogue, answer: PartAnswer, shown: Shown, ask: str, partners: str) -> Sequence[Block]:
    """What is asked for of the answer: its first page, its sources, its notes, or all. ``ask``: the command so far;
    ``partners``: the command that shows what goes together with it."""
    if shown.full:
        return part_text(catalogue, answer)
    naming = Naming(catalogue)
    blocks: list[Block] = [*_title(answer), *_about(naming, answer)]
    if shown.parts:
        blocks += _features(naming, answer) if shown.evidence else []
        blocks += _notes(naming, answer, most=None) if shown.notes else []
        return [*blocks, Gap(), in_short(naming.catalogue, answer.cautions)]
    return [*blocks, *_page(naming, answer), *next_blocks([partners, f"{ask} --evidence", f"{ask} --full"])]


def part_text(catalogue: Catalogue, answer: PartAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [*_title(answer), *_about(naming, answer), *_features(naming, answer), *_touches(answer)]
    if answer.figures:
        blocks.append(Para(say.FIGURES.format(figures="; ".join(answer.figures)), indent=2))
    blocks += _claims(answer)
    blocks += [*chain_blocks(naming, answer.part, answer.chain), *_same_sizes(answer)]
    if answer.offers:
        offers = tuple((o.supplier, f"{o.price:.2f}", _surcharge(o.surcharge)) for o in answer.offers)
        blocks += [Heading(say.OFFERS), Grid(offers, right=(1,), indent=2)]
    blocks += _notes(naming, answer, most=None)
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]


def _page(naming: Naming, answer: PartAnswer) -> Iterator[Block]:
    """What one screen holds below what it is."""
    yield Heading(say.FEATURES)
    if not answer.features:
        yield Para(say.NO_FEATURES, tone=WARN)
    for feature in answer.features:
        yield Para(_in_a_line(naming, feature, answer.part), mark="-")
    sources = dict.fromkeys(naming.source(v.source, v.standing) for f in answer.features for v in f.sizes if v.computes)
    if sources:
        yield Para(say.SIZES_FROM.format(sources=listed(list(sources))), indent=3, tone=QUIET)
    yield from _touches(answer)
    yield from _claims(answer)
    yield from chain_blocks(naming, answer.part, answer.chain)
    yield from _same_sizes(answer, MOST_ALIKE)
    if answer.offers:
        offers = [say.OFFER.format(supplier=o.supplier, price=f"{o.price:.2f}") for o in answer.offers]
        yield Gap()
        yield Para(say.OFFERS_LINE.format(offers=", ".join(offers)))
    yield from _notes(naming, answer, most=NOTES)
    yield Gap()
    yield Para(answer.cautions[0], tone=WARN)
    yield in_short(naming.catalogue, answer.cautions)


def _in_a_line(naming: Naming, feature: FeatureShown, part: str) -> str:
    """A feature with the sizes that are used, and what is not recorded of it."""
    name = feature.name
    if feature.of != part:
        name = say.FEATURE_OF_THING.format(name=name, thing=naming.thing(feature.of))
    if feature.absent_by:
        return say.FEATURE_ABSENT.format(name=name)
    sizes: dict[str, list[str]] = {}
    for value in (v for v in feature.sizes if v.computes):
        said = sizes.setdefault(value.dimension, [])
        said += [size] if (size := units.size(value)) not in said else []
    words = ", ".join(f"{dimension} {listed(said, 'or')}" for dimension, said in sizes.items())
    text = say.FEATURE_SIZES.format(name=name, sizes=words or say.NOTHING_SIZED)
    missing = say.NOT_RECORDED.format(sizes=", ".join(feature.not_recorded)) if feature.not_recorded else ""
    return f"{text} {missing}".strip()


def _title(answer: PartAnswer) -> Iterator[Block]:
    yield Para(f"{answer.part} {answer.name}".strip(), tone=STRONG)


def _same_sizes(answer: PartAnswer, most: int | None = None) -> Iterator[Block]:
    """Other numbers with the same sizes: apart from what is claimed of numbers."""
    if answer.same_sizes:
        shown = answer.same_sizes[:most]
        more = say.AND_MORE_ALIKE.format(number=len(answer.same_sizes) - len(shown))
        numbers = listed(list(shown)) if len(shown) == len(answer.same_sizes) else ", ".join(shown) + more
        yield Heading(say.SAME_SIZES)
        yield Para(say.THESE_BY_SIZE.format(part=answer.part, numbers=numbers), mark="-")
        yield Para(say.NOT_THE_SAME.format(part=answer.part, other=shown[0]), indent=2)


def _surcharge(surcharge: float) -> str:
    return say.SURCHARGE.format(surcharge=f"{surcharge:.2f}") if surcharge else ""


def _about(naming: Naming, answer: PartAnswer) -> Iterator[Block]:
    hand = "" if answer.hand == "either" else say.HAND.format(hand=answer.hand)
    once = say.ONE_USE if answer.one_use else ""
    said = [sentence(", ".join(x for x in (answer.part_type, hand, once) if x))]
    if answer.positions:
        said.append(say.STANDS_IN.format(positions=", ".join(answer.positions)))
    if answer.mirror_of:
        said.append(say.OTHER_HAND.format(part=naming.part(answer.mirror_of)))
    if answer.hand != "either":
        said.append(say.HAND_SIGN.format(sign=answer.hand_sign) if answer.hand_sign else say.NO_HAND_SIGN)
    if answer.drawn_as:
        said.append(say.DRAWN_AS.format(part=naming.part(answer.drawn_as)))
    if answer.members:
        said.append(say.SET_OF.format(members=listed(answer.members)))
    if answer.maker:
        said.append(say.MADE_BY.format(maker=answer.maker))
    yield Para(" ".join(said))
    if answer.as_written:
        yield Para(say.AS_WRITTEN.format(text=answer.as_written), tone=QUIET)
    if answer.source:
        yield Para(say.RECORDED_BY.format(source=answer.source), tone=QUIET)


def _features(naming: Naming, answer: PartAnswer) -> Iterator[Block]:
    """Each feature with its sizes, sources and standings."""
    yield Heading(say.FEATURES)
    if not answer.features:
        yield Para(say.NO_FEATURES, tone=WARN)
    for feature in answer.features:
        yield from _feature(naming, feature, answer.part)


def _feature(naming: Naming, feature: FeatureShown, part: str) -> Iterator[Block]:
    own, absent = feature.of == part, bool(feature.absent_by)
    if absent:
        template, sources = say.ABSENT if own else say.ABSENT_OF, listed(list(feature.absent_by))
        named = {"name": feature.name, "kind": feature.kind, "sources": sources}
    else:
        template, named = say.FEATURE if own else say.FEATURE_OF, {"name": feature.name, "kind": feature.kind}
    named |= {} if own else {"thing": naming.thing(feature.of)}
    yield Para(template.format(**named), mark="-")
    rows = tuple(
        (v.dimension, units.size(v), naming.source(v.source, v.standing), "" if v.computes else say.NOT_USED)
        for v in feature.sizes
    )
    if rows:
        yield Grid(rows, indent=4)
    if feature.not_recorded:
        yield Para(say.NOT_RECORDED.format(sizes=", ".join(feature.not_recorded)), indent=4, tone=WARN)


def _touches(answer: PartAnswer) -> Iterator[Block]:
    if answer.touches:
        rows = tuple((t.joint, _own(t, answer), t.other_position) for t in answer.touches)
        yield Heading(say.MEETS)
        yield Grid(rows, say.MEETS_HEADS, indent=2)


def _own(touch: Touch, answer: PartAnswer) -> str:
    if len(answer.positions) < 2:
        return touch.feature
    return say.AS_POSITION.format(feature=touch.feature, position=touch.position)


def _claims(answer: PartAnswer) -> Iterator[Block]:
    if answer.claims:
        yield Heading(say.CLAIMS)
        yield from bullets([sentence(c) for c in answer.claims])


def _notes(naming: Naming, answer: PartAnswer, most: int | None) -> Iterator[Block]:
    """What members found, failures first; ``most``: so many in full, the others counted."""
    known = naming.catalogue.notes
    notes = sorted((known[n] for n in answer.notes), key=lambda n: (outcome_rank(n.outcome), n.note))
    if notes:
        yield Heading(say.MEMBERS_FOUND)
        yield from bullets([note_text(n) for n in notes[:most]])
        more = len(notes) - (len(notes) if most is None else most)
        if more > 0:
            yield Para(say.NOTES_MORE.format(notes=sentence(count(more, "more note"))[:-1]))
