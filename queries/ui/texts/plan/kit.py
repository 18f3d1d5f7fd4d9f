"""The answer of ``knockon kit`` as text: what is missing first, then what is short, unproven, wrong, and the letter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import OrderLine
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.plan.kit import MISSING, PERHAPS, PRESENT, SHORT, UNPROVEN, KitAnswer, KitGroup, KitPart
from knockon.queries.ui.blocks import BAD, GOOD, WARN, Block, Grid, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, asked_words, count, listed
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.dangers import danger_blocks
from knockon.queries.ui.texts.fits.evidence import measured_words
from knockon.queries.ui.texts.fits.links import no_sentence
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.figures import figure_blocks
from knockon.queries.ui.texts.plan.no_plan import none_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions
from knockon.queries.ui.texts.plan.swap.order_list import money

WORDS = {
    MISSING: "missing",
    SHORT: "short",
    PERHAPS: "short or perhaps inside",
    UNPROVEN: "there but unproven",
    PRESENT: "there",
}


def kit_text(catalogue: Catalogue, answer: KitAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming.on(catalogue, answer.vehicle)
    sold = ", ".join(x for x in (answer.supplier, money(answer.price) if answer.price is not None else "") if x)
    asked = asked_words(answer.asked)
    sold = "; ".join(x for x in ("for one side" if answer.per == "side" else "", sold) if x)
    title = f"{answer.kit} {answer.title}".strip() + (f" ({sold})" if sold else "")
    blocks: list[Block] = [
        Para(f"{title}, for {answer.vehicle}. Asked: {asked}."),
        *danger_blocks(naming, answer.findings.wrong),
    ]
    if answer.none is not None:
        blocks += unchecked_blocks(answer)
        return [
            *blocks,
            *none_blocks(naming, answer.none, (), answer.cautions),
            *cautions(answer.cautions, unchecked_told(answer)),
        ]
    blocks += [
        *_verdict(answer, naming.has_sides(answer.vehicle)),
        *unchecked_blocks(answer),
        Para(answer.cautions[0], tone=WARN),
    ]
    for status, heading in (
        (MISSING, "Missing"),
        (SHORT, "Short"),
        (PERHAPS, f"Short, or perhaps inside {answer.not_itemised!r}: ask"),
        (UNPROVEN, "There but unproven: measure"),
    ):
        blocks += _groups(naming, heading, [g for g in answer.groups if g.status == status])
    blocks += _wrong(naming, [p for p in answer.parts if p.status == "wrong"])
    blocks += _at_odds(naming, answer)
    blocks += _rest(naming, answer)
    blocks += figure_blocks(naming, answer.figures, answer.meetings)
    notes = note_blocks(catalogue, (*(e for p in answer.parts for e in p.why), *answer.own), beside=answer.notes)
    blocks += [Heading("What members found"), *notes] if notes else []
    if answer.message and answer.supplier:  # nobody asks a shelf
        blocks += [Heading("To send to the seller"), *_letter(answer.message)]
    return [*blocks, *cautions(answer.cautions, unchecked_told(answer))]


def _letter(message: str) -> list[Block]:
    lines = (line.partition("- ") for line in message.splitlines())
    return [
        Para(text, mark="-", indent=2) if dash and not before else Para(before + dash + text, indent=2)
        for before, dash, text in lines
    ]


def _verdict(answer: KitAnswer, has_sides: bool) -> list[Block]:
    counted = [(answer.count(s), WORDS[s]) for s in (MISSING, SHORT, PERHAPS, UNPROVEN, PRESENT)]
    said = listed([f"{number} {word}" for number, word in counted if number])
    wrong = sum(p.status == "wrong" for p in answer.parts)
    more = f" {count(wrong, 'line')} of the kit {'is' if wrong == 1 else 'are'} wrong for it." if wrong else ""
    whole = all(g.status == PRESENT for g in answer.groups) and not wrong
    head = "Complete" if whole else "Not complete"
    groups = count(len(answer.groups), "order group") + (" for both sides" if has_sides else "")
    text = f"{head}: of {groups} {said}.{more}"
    short = [g for g in answer.groups if g.status == SHORT]
    if answer.per == "side" and short and all(2 * has >= line.quantity for g in short for line, has in g.lines):
        text += f" It is sold for one side: a second one makes up the {count(len(short), 'short group')}."
    return [Para(text, tone=BAD if not whole else WARN if answer.set_aside else GOOD)]


def _at_odds(naming: Naming, answer: KitAnswer) -> list[Block]:
    """Lines of the kit that do not go together among themselves, beyond what was told already."""
    told = {(e.check, frozenset((e.first, e.second))) for p in answer.parts for e in p.why}
    pairs = [e for e in answer.own if (e.check, frozenset((e.first, e.second))) not in told]
    said = [f"{e.check}: {no_sentence(naming, e)}." for e in pairs]
    return [Heading("Do not go together, though both are in it"), *bullets(said, tone=BAD)] if said else []


def _groups(naming: Naming, heading: str, groups: Sequence[KitGroup]) -> list[Block]:
    if not groups:
        return []
    rows: list[tuple[str, ...]] = []
    for group in groups:
        name = " ".join(x for x in (group.group, group.hand) if x)
        for i, (line, has) in enumerate(group.lines):
            rows.append((name if i == 0 else "", f"{line.number} {line.name}".strip(), _needed(line), str(has)))
    measure = dict.fromkeys(size for g in groups for size in g.to_measure)
    blocks: list[Block] = [
        Heading(f"{heading} ({count(len(groups), 'group')})"),
        Grid(tuple(rows), ("group", "number and name", "needed", "in the kit"), right=(2, 3)),
    ]
    return [*blocks, *bullets(_open_sizes(naming, measure), indent=2)]


def _needed(line: OrderLine) -> str:
    return str(line.quantity) if line.quantity else "in set"


def _open_sizes(naming: Naming, sizes: Iterable[str]) -> list[str]:
    """Open sizes in words; a dispute between sources is told as it stands."""
    sizes = list(sizes)
    told = [s for s in sizes if not isinstance(s, SizeOf)]
    return [*measured_words(naming, [s for s in sizes if isinstance(s, SizeOf)]), *told]


def _wrong(naming: Naming, parts: Sequence[KitPart]) -> list[Block]:
    if not parts:
        return []
    blocks: list[Block] = [Heading(f"Wrong for this ({count(len(parts), 'line')})")]
    for part in parts:
        blocks.append(Para(f"{part.number} {part.name} x{part.quantity}", mark="!", tone=BAD))
        why = [f"{e.check}: {no_sentence(naming, e)}." for e in part.why]
        other = "another one was asked for." if part.unasked else "in no filling that meets what was asked."
        blocks += bullets(why or [other], indent=4)
    return blocks


def _rest(naming: Naming, answer: KitAnswer) -> list[Block]:
    blocks: list[Block] = []
    there = [g for g in answer.groups if g.status == PRESENT]
    if there:
        said = [
            f"{' '.join(x for x in (g.group, g.hand) if x)} ({', '.join(line.number for line, _ in g.lines)})"
            for g in there
        ]
        blocks += [Heading(f"There ({count(len(there), 'group')})"), Para(f"{'; '.join(said)}.")]
    surplus = [(p.number, p.over) for p in answer.parts if p.status == "surplus" or (p.over and p.status != "wrong")]
    if surplus:
        said = [f"{naming.part(number)} x{over}" for number, over in surplus]
        blocks += [Heading("More than is needed"), Para(f"{'; '.join(said)}.")]
    return blocks
