"""The answer of ``knockon combinations`` as text: what may stand where, then the first fillings."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout import Place
from knockon.queries.plan.combinations import Combination, CombinationsAnswer, PossibleAt
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.swap import Filled
from knockon.queries.ui.blocks import STRONG, WARN, Block, Grid, Heading, Para
from knockon.queries.ui.naming import Naming, count, listed, places_in_words
from knockon.queries.ui.texts.fits.skipped import unchecked_blocks, unchecked_told
from knockon.queries.ui.texts.plan.levels import cost_words
from knockon.queries.ui.texts.plan.no_plan import none_blocks
from knockon.queries.ui.texts.plan.swap.head import cautions


def combinations_text(catalogue: Catalogue, answer: CombinationsAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    given = listed([f'"{g}"' for g in answer.given]) or "nothing"
    blocks: list[Block] = [Para(f"{answer.layout}. Given: {given}.")]
    aside, end = unchecked_blocks(answer), cautions(answer.cautions, unchecked_told(answer))
    if not answer.combinations:
        return [*blocks, *aside, *none_blocks(naming, answer.none, (), answer.cautions), *end]
    first = answer.combinations[0]
    unknown = first.costs[NOT_KNOWN]  # what rests on unknowns is never told as if it were settled
    text = f"NOT KNOWN YET: the best filling has {count(unknown, 'check')} not known without even a claim."
    good = "It goes together, as far as the checks can be read." if answer.set_aside else "It goes together."
    blocks += [Para(text if unknown else good, tone=STRONG), *aside, Para(answer.cautions[0], tone=WARN)]
    rows = tuple(_possible_row(naming, p) for p in answer.possible)
    blocks += [Heading("What may stand where"), Grid(rows, ("position", "parts of some consistent filling"))]
    if any(p.only_unknown for at in answer.possible for p in at.parts):
        blocks.append(Para("? only in fillings that rest on more unknown sizes than the best one.", indent=2))
    blocks += [Heading("The best filling"), *_filling(naming, first)]
    for i, other in enumerate(answer.combinations[1:], 2):
        blocks += [Heading(f"Filling {i}"), Para(_difference(naming, first, other))]
    return [*blocks, *end]


def _possible_row(naming: Naming, at: PossibleAt) -> tuple[str, str]:
    known = naming.hands(p.number for p in at.parts if not p.only_unknown)
    unknown = [f"{n} ?" for n in naming.in_hands(p.number for p in at.parts if p.only_unknown)]
    name = f"{at.position} ({at.arrangement})" if at.arrangement else at.position
    return name, ", ".join(x for x in (known, *unknown) if x)


def _by_position(filled: Sequence[Filled]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for one in filled:
        found.setdefault(one.place.position, []).append(one.number)
    return found


def _filling(naming: Naming, filling: Combination) -> list[Block]:
    rows = tuple(
        (p, naming.hands(numbers), naming.name_of(numbers[0])) for p, numbers in _by_position(filling.filled).items()
    )
    unproven = list(dict.fromkeys(e.check for e in filling.unproven))
    blocks: list[Block] = [Grid(rows, ("position", "number", "name"))]
    if unproven:
        blocks.append(Para(f"Unproven in it: {'; '.join(unproven)}.", indent=2))
    return blocks


def _difference(naming: Naming, first: Combination, other: Combination) -> str:
    """How another filling differs from the first: parts, then what it costs."""
    before, after = _by_place(first), _by_place(other)
    pairs: dict[tuple[str, str], list[Place]] = {}
    for place in dict.fromkeys((*before, *after)):
        pair = before.get(place, "nothing"), after.get(place, "nothing")
        if pair[0] != pair[1]:
            key = naming.either_hand(pair[0]), naming.either_hand(pair[1])
            pairs.setdefault(key, []).append(place)
    said = []
    for places in pairs.values():
        old, new = (naming.hands(found.get(p, "nothing") for p in places) for found in (before, after))
        said.append(f"{places_in_words(places)}: {new} instead of {old}")
    return f"As the best one, but {'; '.join(said)}: {cost_words(other.costs, first.costs)}."


def _by_place(filling: Combination) -> dict[Place, str]:
    return {f.place: f.number for f in filling.filled}
