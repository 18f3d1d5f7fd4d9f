"""The answer of ``knockon vehicle`` as text: the best match, where to look next, then the table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import column_of
from knockon.queries.find.compared_things import (
    NOT_COMPARED,
    NUMBER_ONLY,
    OTHER,
    OTHER_NUMBER,
    SAME_NUMBER,
    SAME_SIZES,
    SizePair,
)
from knockon.queries.find.place_rows import (
    EMPTY_THERE,
    NOT_RECORDED_HERE,
    NOT_RECORDED_THERE,
    NOT_THERE,
    OTHER_ARRANGEMENT,
    SAME_ARRANGEMENT,
    Cell,
    PlaceRow,
)
from knockon.queries.find.places_to_look import Look, There
from knockon.queries.find.which_vehicle import Match, Strand, WhichVehicleAnswer
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.ui import units
from knockon.queries.ui.blocks import GOOD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para
from knockon.queries.ui.naming import Naming, count, listed, sentence

MOST_LOOKS, MOST_ROWS, MOST_NAMES, MOST_SIZES = 4, 8, 10, 1
"""So much is shown unless all is asked for."""
PARTS = (".pitch", ".flank angle")
"""Parts of a designation that are told with the whole of it."""
WORDS = {
    SAME_NUMBER: "same number",
    SAME_SIZES: "same sizes",
    NUMBER_ONLY: "same number, sizes differ",
    OTHER: "other",
    OTHER_NUMBER: "not compared",
    NOT_COMPARED: "not compared",
    NOT_RECORDED_HERE: "not recorded here",
    NOT_RECORDED_THERE: "not recorded there",
    EMPTY_THERE: "not recorded there",
    NOT_THERE: "not there",
    SAME_ARRANGEMENT: "same",
    OTHER_ARRANGEMENT: "other",
}


def vehicle_text(catalogue: Catalogue, answer: WhichVehicleAnswer, whole: bool = False) -> Sequence[Block]:
    """The whole answer; ``whole``: every place, not only those that tell."""
    naming = Naming(catalogue, answer.layout)
    title = f"{answer.title} ({answer.vehicle})" if answer.title else answer.vehicle
    against = count(len(answer.matches), "vehicle")
    blocks: list[Block] = [Para(f"{title}. Compared with {against} as made of the layout {answer.layout}.")]
    blocks += [_head(answer), *_taken_over(answer)]
    blocks += _looks(naming, answer, whole)
    blocks += _strands(answer, whole)
    blocks += [*_counts(answer), *_table(naming, answer, whole)]
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]


def _named(match: Match) -> str:
    return f"{match.title} ({match.vehicle})" if match.title else match.vehicle


def _head(answer: WhichVehicleAnswer) -> Block:
    best = answer.matches[0]
    speaks = (
        f"{count(len(best.speaks_for), 'place')} of those that tell {_verb(len(best.speaks_for), 'agrees', 'agree')}"
    )
    if answer.is_settled:
        return Para(f"It agrees with {_named(best)}, as far as it was looked at, and with no other.", tone=GOOD)
    if answer.is_mixture:
        others = [
            f"{listed(s.places[:MOST_NAMES])} {_verb(len(s.places), 'agrees', 'agree')} with {listed(s.vehicles, 'or')}"
            for s in answer.strands
            if s.vehicles and best.is_told_by(s)
        ]
        return Para(f"A mixture. Closest is {_named(best)}, but {'; '.join(others)}.", tone=STRONG)
    if best.speaks_against:
        differ = f"{count(len(best.speaks_against), 'place')} {_verb(len(best.speaks_against), 'differs', 'differ')}"
        return Para(f"Closest is {_named(best)}: {speaks}, {differ}.", tone=STRONG)
    left = [m for m in answer.matches if not m.speaks_against]
    if len(left) > 1:
        names = listed([m.vehicle for m in left])
        return Para(f"NOT KNOWN YET: what is recorded agrees with {names}. Look at the places below.", tone=WARN)
    return Para(f"NOT KNOWN YET: nothing recorded speaks for {_named(best)}. Look at the places below.", tone=WARN)


def _verb(how_many: int, one: str, more: str) -> str:
    return one if how_many == 1 else more


def _taken_over(answer: WhichVehicleAnswer) -> Iterator[Block]:
    if answer.taken_over:
        places = f"{count(answer.taken_over, 'place')} of {len(answer.rows)}"
        yield Para(f"{places} only repeat {answer.like}: nobody looked at them here, so they do not count.", tone=WARN)
    if answer.made_as and answer.made_as != answer.matches[0].vehicle:
        yield Para(f"It is recorded as made as {answer.made_as}.", tone=WARN)


def _looks(naming: Naming, answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    if not answer.look:
        return
    yield Heading("Look here next")
    shown = answer.look if whole else answer.look[:MOST_LOOKS]
    yield Para(f"These places tell {listed(list(answer.close), 'from')}:")
    for look in shown:
        yield Para(_look(naming, look), mark="-")
    if len(shown) < len(answer.look):
        yield Para(f"{count(len(answer.look) - len(shown), 'more place')}: --all", indent=3, tone=QUIET)


def _look(naming: Naming, look: Look) -> str:
    what = ", ".join(x for x in (look.said, look.feature, look.dimension.replace(".major", "").replace(".", " ")) if x)
    there = "; ".join(_there(naming, t) for t in look.there)
    reached = naming.words.get(look.reached, look.reached)
    when = f" {sentence(reached)}" if look.reached and look.reached != "on the vehicle" else ""
    how = look.how or ("" if not look.places else "Read the number, if it is marked.")
    return " ".join(f"{sentence(f'{what}: {there}')}{when} {how}".split())


def _there(naming: Naming, there: There) -> str:
    size = _stated(there.size, there.values)
    number = naming.hands(there.numbers) or "nothing recorded"
    said = f"{size} ({number})" if size else number
    return f"{there.vehicle} {said}"


def _strands(answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    """What speaks for the same vehicles in one paragraph, its pieces apart from each other."""
    if not answer.strands:
        return
    yield Heading("What speaks for which")
    by_vehicles: dict[tuple[str, ...], list[Strand]] = {}
    for strand in answer.strands:
        by_vehicles.setdefault(strand.vehicles, []).append(strand)
    for vehicles, strands in by_vehicles.items():
        left = MOST_NAMES if not whole else sum(len(s.places) for s in strands)
        said: list[str] = []
        for strand in strands:
            said += [listed(strand.places[:left])] if left > 0 else []
            left -= len(strand.places)
        more = f"; {-left} more: --all" if left < 0 else ""
        yield Para(f"{listed(vehicles, 'or') or 'None of them'}: {'; '.join(said)}{more}.", mark="-")


def _counts(answer: WhichVehicleAnswer) -> Iterator[Block]:
    lines = (
        ("same number", [m.same_number for m in answer.matches]),
        ("same sizes, other number", [m.same_sizes for m in answer.matches]),
        ("same number, sizes differ", [len(m.doubtful) for m in answer.matches]),
        ("other", [m.other for m in answer.matches]),
        ("not known", [m.open for m in answer.matches]),
    )
    rows = tuple((name, *map(str, numbers)) for name, numbers in lines if any(numbers))
    yield Heading("How many places")
    yield Grid(rows, ("", *(m.vehicle for m in answer.matches)), tuple(range(1, len(answer.matches) + 1)), indent=2)


def _table(naming: Naming, answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    rows = list(answer.rows) if whole else [row for row in answer.rows if _is_telling(answer, row)]
    shown = rows if whole else rows[:MOST_ROWS]
    order = [m.vehicle for m in answer.matches]
    yield Heading("Place by place")
    if shown:
        yield Grid(tuple(_row(naming, row, order) for row in shown), ("place", "here", *order))
    for text in _sizes(answer, shown, whole):
        yield Para(text, mark="-", indent=2)
    if not whole:
        left = len(answer.rows) - len(shown)
        yield Para(f"{count(left, 'more place')}: --all", indent=2, tone=QUIET)


def _is_telling(answer: WhichVehicleAnswer, row: PlaceRow) -> bool:
    """Whether a row differs between the close ones, or from the best."""
    close = [cell.word for cell in row.cells if cell.vehicle in answer.close]
    best = answer.matches[0]
    return len({_is_same(w) for w in close}) > 1 or row.said in (*best.speaks_against, *best.doubtful)


def _is_same(word: str) -> bool:
    return word in (SAME_NUMBER, SAME_SIZES, SAME_ARRANGEMENT)


def _row(naming: Naming, row: PlaceRow, order: Sequence[str]) -> tuple[str, ...]:
    here = "not looked at" if row.taken_from else naming.hands(row.here) or "not recorded"
    cells = {cell.vehicle: cell for cell in row.cells}
    return (row.said, here, *(_cell(naming, cells[v]) for v in order))


def _cell(naming: Naming, cell: Cell) -> str:
    number = naming.hands(cell.number.each)
    word = WORDS[cell.word]
    if cell.word == SAME_SIZES:
        word = f"{count(cell.agree, 'size')} the same"
    if cell.word in (SAME_NUMBER, SAME_ARRANGEMENT, NUMBER_ONLY, NOT_THERE):
        return word
    if cell.word == NOT_RECORDED_HERE:
        return number or "not recorded"
    return f"{word}: {number}" if number else word


def _sizes(answer: WhichVehicleAnswer, rows: Sequence[PlaceRow], whole: bool) -> Iterator[str]:
    """The sizes that differ, of the rows shown: from the best match one each, or all."""
    vehicles = [m.vehicle for m in answer.matches]
    for row in rows:
        for cell in (c for c in row.cells if c.differ and c.vehicle in (vehicles if whole else vehicles[:1])):
            sizes = list(dict.fromkeys(_pair(cell, pair) for pair in cell.differ if not pair.dimension.endswith(PARTS)))
            more = len(sizes) - MOST_SIZES
            sizes = sizes if whole or more <= 0 else [*sizes[:MOST_SIZES], f"and {count(more, 'more size')}"]
            yield f"{row.said}: {'; '.join(sizes)}."


def _pair(cell: Cell, pair: SizePair) -> str:
    what = ", ".join(x for x in (pair.feature, column_of(pair.dimension)) if x)
    here, there = _stated(pair.here, pair.here_values), _stated(pair.there, pair.there_values)
    return f"{what} {here} here, {there} on {cell.vehicle}"


def _stated(written: str, values: Sequence[Value]) -> str:
    """A size in both units; a thread as it is written."""
    sizes = [units.size_or_designation(v) for v in values if v.computes]
    return listed(list(dict.fromkeys(sizes)), "or") or written
