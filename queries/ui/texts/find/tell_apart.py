"""The answer of ``knockon tell-apart`` as text: what differs first, then what it does, then what nobody recorded."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.find.effects import Turn
from knockon.queries.find.tell_apart import (
    BOTH_UNKNOWN,
    DIFFERS,
    MAY_DIFFER,
    ONE_UNKNOWN,
    Difference,
    RuleThere,
    TellApartAnswer,
)
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.ui import units
from knockon.queries.ui.blocks import BAD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.naming import Naming, count, listed

HEADINGS = {
    DIFFERS: "What differs",
    MAY_DIFFER: "What may differ",
    ONE_UNKNOWN: "Recorded of one only",
    BOTH_UNKNOWN: "Recorded of neither",
}


def tell_apart_text(catalogue: Catalogue, answer: TellApartAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    names = [naming.part(p) for p in answer.parts]
    blocks: list[Block] = [Para(f"{names[0]} and {names[1]}", tone=STRONG), *_head(answer)]
    for word, heading in HEADINGS.items():
        found = [d for d in answer.differences if d.word == word and d.what != "evidence"]
        if found:
            blocks.append(Heading(heading))
            blocks += _unknown(found) if word == BOTH_UNKNOWN else [_grid(answer, found)]
    blocks += _effects(naming, answer)
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]


def _head(answer: TellApartAnswer) -> Iterator[Block]:
    known = [d for d in answer.differences if d.word == DIFFERS and d.what != "evidence"]
    open_ = [d for d in answer.differences if d.word != DIFFERS]
    if known:
        yield Para(f"They differ: {count(len(known), 'difference')} recorded.", tone=STRONG)
    else:
        yield Para("Nothing that is recorded tells them apart.", tone=BAD)
    if open_ and not known:
        yield Para("That does not make them the same: the sizes below decide. Measure both.", tone=WARN)
    if answer.mirrors:
        yield Para("Each is recorded as the other's other hand.")
    if answer.one_drawing:
        yield Para("They are recorded as made to one drawing.")


def _named(difference: Difference) -> str:
    """What a difference is of: ``outer bearing, bore: diameter``."""
    of = difference.feature if difference.what in ("feature", "size") else difference.what
    if difference.what == "member":
        return f"member: {difference.member}"
    size = f": {difference.dimension.replace('.major', '').replace('.', ' ')}" if difference.dimension else ""
    return ", ".join(x for x in (difference.member, f"{of}{size}") if x)


def _sized(said: str, values: Sequence[Value]) -> str:
    sizes = list(dict.fromkeys(units.size(v) for v in values if v.computes))
    return listed(sizes, "or") if sizes else said


def _grid(answer: TellApartAnswer, found: Iterable[Difference]) -> Grid:
    rows = tuple((_named(d), _sized(d.first, d.first_values), _sized(d.second, d.second_values)) for d in found)
    return Grid(rows, ("", *answer.parts), indent=2)


def _unknown(found: Iterable[Difference]) -> Iterator[Block]:
    """What nobody recorded of either, feature by feature."""
    features: dict[str, list[str]] = {}
    for d in found:
        name = ", ".join(x for x in (d.member, d.feature) if x)
        sizes = features.setdefault(name, [])
        sizes += [d.dimension.replace(".", " ")] if d.dimension else []
    for name, sizes in features.items():
        yield Para(f"{name}: {listed(sizes)}." if sizes else f"{name}.", mark="-", tone=WARN)


def _effects(naming: Naming, answer: TellApartAnswer) -> Iterator[Block]:
    """The joints at which the two have different verdicts, each once, with the differences that stand in its rule."""
    there: dict[tuple[str, str], tuple[RuleThere, list[Difference]]] = {}
    for d in answer.differences:
        for rule in (r for r in d.rules if r.turns):
            there.setdefault((d.member, rule.joint), (rule, []))[1].append(d)
    figures = dict.fromkeys(f for d in answer.differences if d.word != BOTH_UNKNOWN for f in d.figures)
    if there or figures:
        yield Heading("What it does")
    for (member, _), (rule, found) in there.items():
        place = f"{rule.joint} ({rule.rule}{f', as {member}' if member else ''}): with the {rule.other_position}"
        yield Para(f"{place}, by {listed([_reason(d) for d in found])}", mark="-")
        yield Grid(tuple((_parts(naming, t), t.first, t.second) for t in rule.turns), ("", *answer.parts), indent=4)
    if figures:
        yield Para(f"Stacks and figures in which a size stands: {'; '.join(figures)}.", mark="-")


def _reason(difference: Difference) -> str:
    if difference.what == "evidence":
        same = difference.first == difference.second
        return "what is claimed of them" if same else f"the evidence ({difference.first} against {difference.second})"
    return _named(difference)


def _parts(naming: Naming, turn: Turn) -> str:
    return naming.hands(turn.parts)
