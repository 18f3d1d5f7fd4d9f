"""What was written for a vehicle of one's own, as text."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

from knockon.queries.intake.new_vehicle import NewVehicleAnswer
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import count, listed
from knockon.queries.ui.prints.measuring import PAGE, WORKBOOK
from knockon.queries.ui.sentences import newcomer as say
from knockon.queries.ui.terminal.blocks import GOOD, Block, Gap, Para


def new_text(answer: NewVehicleAnswer) -> Sequence[Block]:
    """What to do next, after what was written."""
    tables = [say.TABLE_ROWS.format(table=t.table, rows=count(t.rows, "row")) for t in answer.tables]
    page, workbook = (next(s for s in answer.sheets if s.endswith(e)) for e in (PAGE, WORKBOOK))
    uses = listed(answer.uses)
    layout = say.ITS_LAYOUT_PLAIN.format(layout=answer.layout, uses=uses)
    if answer.arrangements:
        layout = say.ITS_LAYOUT.format(layout=answer.layout, uses=uses, arrangements=listed(answer.arrangements))
    may_change = []
    if answer.left_out:
        said = say.MAY_CHANGE.format(choices=listed(answer.may_change), left_out=listed(answer.left_out))
        may_change.append(Para(" ".join(said.split()), mark="-"))
    commands = [
        shlex.join(["knockon", "--records", answer.records, "import", workbook]),
        shlex.join(["knockon", "--records", answer.records, "swap", answer.vehicle, "--want", say.WISH]),
    ]
    return [
        Para(say.WRITTEN.format(vehicle=answer.vehicle, folder=answer.records), tone=GOOD),
        Para(layout, mark="-"),
        *may_change,
        Para(say.TABLES.format(tables=listed(tables)), mark="-"),
        Para(say.SHEETS.format(lines=count(answer.lines, "line"), page=page, workbook=workbook), mark="-"),
        Para(say.HALF_IS_ENOUGH, mark="-"),
        Para(say.MEASURE.format(workbook=workbook), mark="1."),
        Para(say.PARTS, mark="2."),
        Gap(),
        *next_blocks(commands),
    ]
