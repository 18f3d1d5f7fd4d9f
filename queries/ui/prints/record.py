"""The record, and the sheet for an inspector or insurer, as pages to print: A4, black and white."""

from __future__ import annotations

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.record import RecordAnswer
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.prints.typeset import typeset
from knockon.queries.ui.record_in_words import changed, facts, inspector_sections, named, new_in_words, whole_sections
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.sentences import prints


def record_page(catalogue: Catalogue, answer: RecordAnswer, inspector: bool) -> bytes:
    """The record, or the sheet, as a PDF."""
    naming = Naming.on(catalogue, answer.vehicle)
    sections = inspector_sections(answer) if inspector else whole_sections(answer)
    title = (say.INSPECTOR_TITLE if inspector else say.RECORD_TITLE).format(vehicle=answer.title or answer.vehicle)

    data: dict[str, object] = {
        "title": title,
        "beside": say.PLAN_NAMED.format(name=answer.plan),
        "page_of": prints.PAGE,
        "lead": say.INSPECTOR_IS.splitlines() if inspector else [],
        "facts": [say.RECORD_OF.format(plan=answer.plan, vehicle=named(answer)), *facts(answer)],
        "changes": say.AS_FOUND_AS_BUILT,
        "columns": [say.PLACE_COLUMN, say.OLD_COLUMN, say.NEW_COLUMN],
        "rows": [[place, old, new_in_words(naming, old, new)] for place, old, new in changed(answer)],
        "sections": [{"heading": heading, "lines": lines} for heading, lines in sections],
        "read_first": prints.CAUTIONS,
        "cautions": answer.cautions,
        "by": say.SIGNED,
        "second": say.SEEN if inspector else say.SECOND,
        "on": say.DATE,
    }
    return typeset("record", data)
