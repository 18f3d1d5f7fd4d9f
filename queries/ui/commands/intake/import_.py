"""``knockon import``: take a member's own sheet into the records."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from knockon.graph.exchange.handed_out import write_alone
from knockon.graph.files.atomic import NotWritten
from knockon.graph.mapping import Mapping, MappingError, Proposal, mapping_path, read_mapping, write_mapping
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.sheets import Sheet, SheetError, open_sheets
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import import_sheets, propose_mappings, with_remark
from knockon.queries.ui.asking import GOOD, NOT_SO, CouldNotRun, Settings, answering, deliver, mistakes_told, write
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.naming import count
from knockon.queries.ui.progress import progress_bar
from knockon.queries.ui.texts.intake.import_ import import_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(name="import")
@click.argument("sheet", type=click.Path(path_type=Path, dir_okay=False))
@click.option(
    "--mapping", type=click.Path(path_type=Path, dir_okay=False), help="The mapping; else SHEET-metadata.json."
)
@click.option("--accept-mapping", is_flag=True, help="Keep the proposed mapping beside the sheet, and import with it.")
@click.option("--table", default="", help="The record table to fill, such as parts or features/rolling_bearing.")
@click.option("--source", default="", help="The source, of sources.csv, of every row.")
@click.option("--feature", default="", help="The feature's name in every row of a feature table.")
@click.option(
    "--set", "fixed", multiple=True, metavar="COLUMN=VALUE", help="The same value in every row; may be repeated."
)
@click.option(
    "--driver", type=click.Choice(["left", "right"]), help="Where the driver sits: decides nearside, offside."
)
@click.option("--decimal-comma", is_flag=True, help="The sheet writes 27,52 for 27.52.")
@click.option("--replace", is_flag=True, help="It is the sheet imported before under this name, from another source.")
@click.option("--dry-run", is_flag=True, help="Say what would come of it, and write nothing.")
@answering
def import_sheet(
    settings: Settings,
    sheet: Path,
    mapping: Path | None,
    accept_mapping: bool,
    replace: bool,
    dry_run: bool,
    **chosen: object,
) -> int:
    """Take SHEET in: CSV of any delimiter, xlsx, xls or ods, with column names of its own.

    A mapping says which column is which. Without one it is proposed and nothing is written. A row that cannot be read
    is kept in the quarantine and the rest is loaded. May be run again and again: only what changed is written.

    Exit status 0 if every row was loaded, 1 if some are in quarantine or a mapping waits for confirmation, 2 if it
    could not be done.
    """
    if settings.without:
        raise CouldNotRun("--without leaves sources out of an answer; an import looks at all that there is")
    if settings.records is None:
        raise CouldNotRun("the demo world is not written to: name your own records with --records DIR")

    def text(_: Catalogue) -> Sequence[Block]:
        return import_text(answer, dry_run)

    where = mapping or mapping_path(sheet)
    try:
        with mistakes_told():
            sheets = open_sheets(sheet)
            if where.exists() or mapping:
                mappings = read_mapping(where, "" if mapping else sheet.name)
                _check_options(mappings, chosen, where)
            else:
                proposals = _proposals(settings, sheets, chosen)
                mappings = tuple(_said(p.mapping, chosen) for p in proposals)
                if not accept_mapping:
                    write(_proposed(proposals, mappings, where))
                    return NOT_SO
                whole = tuple(m for m, p in zip(mappings, proposals, strict=True) if p.can_be_read)
                mappings = whole or mappings  # none is whole: the error says what is lacking
            with progress_bar(f"reading {sheet.name}") as progress:
                answer = import_sheets(
                    settings.folder, sheet.name, sheets, mappings, dry_run=dry_run, replace=replace, progress=progress
                )
    except (SheetError, MappingError) as error:
        raise CouldNotRun(str(error)) from error
    good = not answer.quarantined
    said = f"{sheet.name}: {answer.loaded} of {count(answer.rows, 'row')} loaded, {answer.quarantined} in quarantine."
    with having_written("Nothing was written." if dry_run else said, GOOD if good else NOT_SO):
        if not where.exists() and not dry_run:
            answer = with_remark(answer, _keep(where, write_mapping(mappings, sheet.name)))
        return deliver(settings, "import", answer, good, text)


def _keep(path: Path, content: bytes) -> str:
    """Keep the mapping beside the sheet; gives why it could not be kept. The import stands without it."""
    try:
        write_alone(path, content)
    except NotWritten as error:
        return f"the mapping could not be kept beside the sheet, so it is proposed again next time: {error}"
    return ""


def _fixed(chosen: dict[str, object]) -> tuple[tuple[str, str], ...]:
    found = {name: str(chosen[name]) for name in ("source", "feature") if chosen[name]}
    pairs = chosen["fixed"]
    for pair in pairs if isinstance(pairs, tuple) else ():
        name, sign, value = str(pair).partition("=")
        if not sign or not name.strip():
            raise CouldNotRun(f"--set {pair}: write COLUMN=VALUE")
        found[name.strip()] = value.strip()
    return tuple(sorted(found.items()))


def _check_options(mappings: tuple[Mapping, ...], chosen: dict[str, object], where: Path) -> None:
    """Refuse options that the kept mapping says otherwise: they would be passed over in silence."""
    table, driver, comma = str(chosen["table"]), chosen["driver"], chosen["decimal_comma"]
    holds = {f"{n}={v}": any((n, v) in m.fixed for m in mappings) for n, v in _fixed(chosen)}
    holds[f"--table {table}"] = not table or any(m.table == table for m in mappings)
    holds[f"--driver {driver}"] = not driver or any(m.driver == driver for m in mappings)
    holds["--decimal-comma"] = not comma or any(c.decimal_comma for m in mappings for c in m.columns)
    for said in (s for s, so in holds.items() if not so):
        raise CouldNotRun(f"{said}: the mapping {where} says otherwise; edit it, or remove it to be asked again")


def _proposals(settings: Settings, sheets: tuple[Sheet, ...], chosen: dict[str, object]) -> tuple[Proposal, ...]:
    return propose_mappings(open_folder(settings.folder), sheets, str(chosen["table"]), _fixed(chosen))


def _said(mapping: Mapping, chosen: dict[str, object]) -> Mapping:
    """The mapping with what was said of the whole sheet."""
    comma = bool(chosen["decimal_comma"])
    columns = tuple(msgspec.structs.replace(c, decimal_comma=comma and bool(c.name)) for c in mapping.columns)
    return msgspec.structs.replace(mapping, driver=str(chosen["driver"] or ""), columns=columns)


def _proposed(proposals: tuple[Proposal, ...], mappings: tuple[Mapping, ...], where: Path) -> str:
    lines = ["Nothing is written yet: this is a proposal, made by likeness of names.", ""]
    for proposal, mapping in zip(proposals, mappings, strict=True):
        named = f"Sheet {mapping.sheet}" if mapping.sheet else "The table"
        if not any(proposal.likeness):
            lines += [f"{named} resembles no record table: give --table, or its mapping with --mapping", ""]
            continue
        lines.append(f"{named} -> {mapping.table}")
        for column, likeness in zip(mapping.columns, proposal.likeness, strict=True):
            unit = f", in {column.unit}" if column.unit else ""
            goes = f"{column.name} (likeness {likeness:.0f} of 100{unit})" if column.name else "passed over"
            lines.append(f"  {column.title or '(no header)'} -> {goes}")
        lines += [f"  every row: {name} = {value}" for name, value in mapping.fixed]
        if proposal.sourceless:
            lines.append("  no source: with --source NAME the answers can say who says it, and how well it is known")
        lines += [f"  NOTHING for {name!r}, which the table needs: --set {name!r}=VALUE" for name in proposal.lacking]
        lines.append("")
    lines.append(f"Look it over. With --accept-mapping it is kept in {where} and used; edit it there, or give --table.")
    return "\n".join(lines) + "\n"
