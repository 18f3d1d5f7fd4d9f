"""One reading a screen: where, how, what is expected, where the plan turns, one big field."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.queries.intake.readings.effects import MeasuredAnswer
from knockon.queries.plan.deciding import MeasureAnswer, ReadingWanted
from knockon.queries.plan.measure import Expected
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.page.pieces import Button, Field, Fold, Form, Go, Piece, Screen, Screens, Text
from knockon.queries.ui.page.rooms.from_blocks import pieces_of
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.sentences.plan import measure as says
from knockon.queries.ui.terminal.blocks import STRONG, Para
from knockon.queries.ui.terminal.outlet import Answered
from knockon.queries.ui.texts.plan.measure import expected, hands_together, subject
from knockon.queries.ui.texts.plan.swap.head import titled
from knockon.queries.ui.texts.plan.turning import turning_lines

MEASURED = "measured"
AS_READ_FIELD = Field("as-read", say.AS_READ, "check")


def measure_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces)."""
    answer: MeasureAnswer = found.answer
    naming = Naming.on(found.catalogue, answer.vehicle)
    head = titled(answer.title, answer.vehicle, answer.asked)
    if not answer.readings:
        return head, pieces_of(found.blocks[1:])
    screens = tuple(Screen(reading.what, tuple(_screen(naming, reading))) for reading in answer.readings)
    said = [block for block in found.blocks[1:] if isinstance(block, Para)][:1]
    return head, [*pieces_of(said), Screens(screens)]


def _screen(naming: Naming, one: ReadingWanted) -> Iterator[Piece]:
    yield Text(places_in_words([one.place]), tone=STRONG)
    yield Text(sentence(subject(one.feature, [one.dimension])), tone=STRONG)
    yield Text(say.REACHED.format(stage=naming.words.get(one.reached, one.reached)))
    if one.expected:
        sizes = expected([Expected(one.dimension, size) for size in one.expected])
        yield Text(says.EXPECT.format(sizes=sizes))
    elif one.usual:
        low, high = (f"{u:.4g}" for u in one.usual)
        yield Text(says.USUAL.format(low=low, high=f"{high} {one.unit}".strip()))
    if one.turns is not None:
        yield from (Text(line) for line in turning_lines([one.turns]))
    if one.how:
        yield Text(one.how)
    if one.tool:
        off = says.OFF.format(tool=one.tool, within=f"{one.within:g}", unit=one.unit)
        yield Text(says.WITH_TOOL.format(tool=off if one.within and one.unit else one.tool))
    yield reading_form(one.what, one.unit)
    yield Text(says.DECIDES.format(groups=listed(hands_together(list(one.decides)))))


def reading_form(what: str, unit: str = "") -> Form:
    """The form that writes down one reading."""
    example = say.IN_UNIT.format(unit=unit) if unit else say.AS_READ_HINT
    fields = (
        Field("what", say.READING, "hidden", what),
        Field("value", say.READING, hint=example, big=True, required=True),
        Field("tool", say.TOOL_USED, hint=say.TOOL_HINT),
        Field("by", say.BY, hint=say.BY_HINT),
    )
    return Form(MEASURED, fields, (Button(say.WRITE_IT),), do=MEASURED)


def measured_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """What became of a reading, and how it is taken back."""
    answer: MeasuredAnswer = found.answer
    pieces: list[Piece] = [p for p in pieces_of(found.blocks) if not isinstance(p, Go)]
    for reading in answer.readings if answer.is_done else ():
        fields = (Field("what", say.READING, "hidden", reading.what), Field("by", say.BY, hint=say.BY_HINT))
        form = Form("withdraw-reading", fields, (Button(say.WITHDRAW_THIS),), do="withdraw-reading")
        pieces.append(Fold(say.WITHDRAW_FOLD.format(what=reading.what), (form,)))
    return "", pieces
