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
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences import find as say
from knockon.queries.ui.terminal.blocks import GOOD, QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para

MOST_LOOKS, MOST_ROWS, MOST_NAMES, MOST_SIZES = 4, 8, 10, 1
"""So much is shown unless all is asked for."""
PARTS = (".pitch", ".flank angle")
"""Parts of a designation that are told with the whole of it."""
WORDS = {
    SAME_NUMBER: say.SAME_NUMBER,
    SAME_SIZES: say.SAME_SIZES,
    NUMBER_ONLY: say.NUMBER_ONLY,
    OTHER: say.OTHER,
    OTHER_NUMBER: say.NOT_COMPARED,
    NOT_COMPARED: say.NOT_COMPARED,
    NOT_RECORDED_HERE: say.NOT_RECORDED_HERE,
    NOT_RECORDED_THERE: say.NOT_RECORDED_THERE,
    EMPTY_THERE: say.NOT_RECORDED_THERE,
    NOT_THERE: say.NOT_THERE,
    SAME_ARRANGEMENT: say.SAME,
    OTHER_ARRANGEMENT: say.OTHER,
}


def vehicle_text(
    catalogue: Catalogue, answer: WhichVehicleAnswer, whole: bool = False, ask: str = ""
) -> Sequence[Block]:
    """The answer; ``whole``: every place, not only those that tell. ``ask``: the command, where more can be asked."""
    naming = Naming(catalogue, answer.layout)
    title = say.NAMED.format(title=answer.title, vehicle=answer.vehicle) if answer.title else answer.vehicle
    against = count(len(answer.matches), "vehicle")
    blocks: list[Block] = [Para(say.COMPARED.format(vehicle=title, vehicles=against, layout=answer.layout))]
    blocks += [_head(answer), *_taken_over(answer)]
    blocks += _looks(naming, answer, whole)
    blocks += _strands(answer, whole)
    blocks += [*_counts(answer), *_table(naming, answer, whole)]
    more = next_blocks([f"{ask} --full"]) if ask and not whole else ()
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions), *more]


def _named(match: Match) -> str:
    return say.NAMED.format(title=match.title, vehicle=match.vehicle) if match.title else match.vehicle


def _head(answer: WhichVehicleAnswer) -> Block:
    best = answer.matches[0]
    if answer.is_settled:
        return Para(say.AGREES.format(best=_named(best)), tone=GOOD)
    if answer.is_mixture:
        others = [
            say.ALSO_AGREES.format(
                places=listed(s.places[:MOST_NAMES]),
                agree="agrees" if len(s.places) == 1 else "agree",
                vehicles=listed(s.vehicles, "or"),
            )
            for s in answer.strands
            if s.vehicles and best.is_told_by(s)
        ]
        return Para(say.MIXTURE.format(best=_named(best), others=" and ".join(others)), tone=STRONG)
    if best.speaks_against:
        agree, differ = len(best.speaks_for), len(best.speaks_against)
        text = say.CLOSEST.format(
            best=_named(best),
            agreeing=say.AGREEING[agree != 1].format(number=agree),
            differing=say.DIFFERING[differ != 1].format(number=differ),
        )
        return Para(text, tone=STRONG)
    left = [m for m in answer.matches if not m.speaks_against]
    if len(left) > 1:
        return Para(say.SEVERAL.format(vehicles=listed([m.vehicle for m in left])), tone=WARN)
    return Para(say.NO_SIGN.format(best=_named(best)), tone=WARN)


def _taken_over(answer: WhichVehicleAnswer) -> Iterator[Block]:
    if answer.taken_over:
        places = count(len(answer.rows), "place")
        yield Para(say.NOT_LOOKED_AT.format(number=answer.taken_over, places=places, like=answer.like), tone=WARN)
    if answer.made_as and answer.made_as != answer.matches[0].vehicle:
        yield Para(say.MADE_AS.format(vehicle=answer.made_as), tone=WARN)


def _looks(naming: Naming, answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    if not answer.look:
        return
    yield Heading(say.LOOK_NEXT)
    shown = answer.look if whole else answer.look[:MOST_LOOKS]
    yield Para(say.TELL_FROM.format(vehicles=listed(list(answer.close))))
    for look in shown:
        yield Para(_look(naming, look), mark="-")
    if len(shown) < len(answer.look):
        more = count(len(answer.look) - len(shown), "more place")
        yield Para(say.SHOWN.format(more=more), indent=3, tone=QUIET)


def _look(naming: Naming, look: Look) -> str:
    what = ", ".join(x for x in (look.said, look.feature, look.dimension.replace(".major", "").replace(".", " ")) if x)
    there = "; ".join(_there(naming, t) for t in look.there)
    reached = naming.words.get(look.reached, look.reached)
    when = f" {sentence(reached)}" if look.reached and look.reached != "on the vehicle" else ""
    how = look.how or ("" if not look.places else say.READ_NUMBER)
    return " ".join(f"{sentence(f'{what}: {there}')}{when} {how}".split())


def _there(naming: Naming, there: There) -> str:
    size = _stated(there.size, there.values)
    number = naming.hands(there.numbers) or say.NOTHING_RECORDED
    said = f"{size} ({number})" if size else number
    return f"{there.vehicle} {said}"


def _strands(answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    """What speaks for the same vehicles in one paragraph, its pieces apart from each other."""
    if not answer.strands:
        return
    yield Heading(say.SIGNS)
    by_vehicles: dict[tuple[str, ...], list[Strand]] = {}
    for strand in answer.strands:
        by_vehicles.setdefault(strand.vehicles, []).append(strand)
    for vehicles, strands in by_vehicles.items():
        left = MOST_NAMES if not whole else sum(len(s.places) for s in strands)
        said: list[str] = []
        for strand in strands:
            said += [listed(strand.places[:left])] if left > 0 else []
            left -= len(strand.places)
        places = "; ".join(said)
        places = say.AND_MORE.format(places=places, number=-left) if left < 0 else places
        yield Para(say.SIGN.format(vehicles=listed(vehicles, "or") or say.NONE_OF_THEM, places=places), mark="-")


def _counts(answer: WhichVehicleAnswer) -> Iterator[Block]:
    lines = (
        (say.SAME_NUMBER, [m.same_number for m in answer.matches]),
        (say.OTHER_SAME_SIZES, [m.same_sizes for m in answer.matches]),
        (say.NUMBER_ONLY, [len(m.doubtful) for m in answer.matches]),
        (say.OTHER, [m.other for m in answer.matches]),
        (say.NOT_KNOWN, [m.open for m in answer.matches]),
    )
    rows = tuple((name, *map(str, numbers)) for name, numbers in lines if any(numbers))
    yield Heading(say.COUNTS)
    yield Grid(rows, ("", *(m.vehicle for m in answer.matches)), tuple(range(1, len(answer.matches) + 1)), indent=2)


def _table(naming: Naming, answer: WhichVehicleAnswer, whole: bool) -> Iterator[Block]:
    rows = list(answer.rows) if whole else [row for row in answer.rows if _is_telling(answer, row)]
    shown = rows if whole else rows[:MOST_ROWS]
    order = [m.vehicle for m in answer.matches]
    yield Heading(say.PLACES)
    if shown:
        yield Grid(tuple(_row(naming, row, order) for row in shown), (say.PLACE, say.HERE, *order))
    for text in _sizes(answer, shown, whole):
        yield Para(text, mark="-", indent=2)
    if not whole:
        left = len(answer.rows) - len(shown)
        yield Para(say.SHOWN.format(more=count(left, "more place")), indent=2, tone=QUIET)


def _is_telling(answer: WhichVehicleAnswer, row: PlaceRow) -> bool:
    """Whether a row differs between the close ones, or from the best."""
    close = [cell.word for cell in row.cells if cell.vehicle in answer.close]
    best = answer.matches[0]
    return len({_is_same(w) for w in close}) > 1 or row.said in (*best.speaks_against, *best.doubtful)


def _is_same(word: str) -> bool:
    return word in (SAME_NUMBER, SAME_SIZES, SAME_ARRANGEMENT)


def _row(naming: Naming, row: PlaceRow, order: Sequence[str]) -> tuple[str, ...]:
    here = say.NOT_LOOKED_AT_HERE if row.taken_from else naming.hands(row.here) or say.NOT_RECORDED
    cells = {cell.vehicle: cell for cell in row.cells}
    return (row.said, here, *(_cell(naming, cells[v]) for v in order))


def _cell(naming: Naming, cell: Cell) -> str:
    number = naming.hands(cell.number.each)
    word = WORDS[cell.word]
    if cell.word == SAME_SIZES:
        word = say.SIZES_THE_SAME.format(sizes=count(cell.agree, "size"))
    if cell.word in (SAME_NUMBER, SAME_ARRANGEMENT, NUMBER_ONLY, NOT_THERE):
        return word
    if cell.word == NOT_RECORDED_HERE:
        return number or say.NOT_RECORDED
    return say.CELL.format(word=word, number=number) if number else word


def _sizes(answer: WhichVehicleAnswer, rows: Sequence[PlaceRow], whole: bool) -> Iterator[str]:
    """The sizes that differ, of the rows shown: from the best match one each, or all."""
    vehicles = [m.vehicle for m in answer.matches]
    for row in rows:
        for cell in (c for c in row.cells if c.differ and c.vehicle in (vehicles if whole else vehicles[:1])):
            sizes = list(dict.fromkeys(_pair(cell, pair) for pair in cell.differ if not pair.dimension.endswith(PARTS)))
            more = len(sizes) - MOST_SIZES
            sizes = (
                sizes
                if whole or more <= 0
                else [*sizes[:MOST_SIZES], say.MORE_SIZES.format(sizes=count(more, "more size"))]
            )
            yield say.SIZES_DIFFER.format(place=row.said, sizes="; ".join(sizes))


def _pair(cell: Cell, pair: SizePair) -> str:
    what = ", ".join(x for x in (pair.feature, column_of(pair.dimension)) if x)
    here, there = _stated(pair.here, pair.here_values), _stated(pair.there, pair.there_values)
    return say.SIZE_PAIR.format(what=what, here=here, there=there, vehicle=cell.vehicle)


def _stated(written: str, values: Sequence[Value]) -> str:
    """A size in both units; a thread as it is written."""
    sizes = [units.size_or_designation(v) for v in values if v.computes]
    return listed(list(dict.fromkeys(sizes)), "or") or written
