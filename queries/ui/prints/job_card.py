"""The job card as a page to print: A4, black and white, with boxes to tick and lines for readings."""

from __future__ import annotations

from itertools import groupby

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.card import CardLine, JobCard
from knockon.queries.ui.naming import Naming, asked_words
from knockon.queries.ui.prints.typeset import typeset
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.sentences import prints
from knockon.queries.ui.steps_in_words import beside, side_heading


def job_card_page(catalogue: Catalogue, card: JobCard) -> bytes:
    """The card as a PDF."""
    naming = Naming.on(catalogue, card.vehicle)
    title = say.TITLE.format(vehicle=card.title or card.vehicle)
    data: dict[str, object] = {
        "title": title,
        "beside": say.PLAN_NAMED.format(name=card.plan) if card.plan else "",
        "page_of": prints.PAGE,
        "asked": asked_words(card.asked),
        "by": say.BY,
        "on": say.DATE,
        "second": say.SECOND,
        "how_to_use": say.HOW_TO_USE.splitlines(),
        "read_first": prints.CAUTIONS,
        "cautions": card.cautions,
        "parts": [
            {"heading": side_heading(naming, side), "lines": [_line(naming, x) for x in lines]}
            for side, lines in groupby(card.lines, key=lambda x: x.side)
        ],
    }
    return typeset("job_card", data)


def _line(naming: Naming, line: CardLine) -> dict[str, object]:
    read = line.reading
    return {
        "number": str(line.number),
        "name": line.step[:1].upper() + line.step[1:],
        "gate": line.gate,
        "gate_word": say.GATE,
        "done": line.done is not None,
        "text": line.text,
        "beside": list(beside(naming, line)),
        "caution": line.caution,
        "reading": (read.unit or " ") if read is not None else "",
    }
