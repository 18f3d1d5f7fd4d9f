"""``knockon import``: take a member's own sheet into the records."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

import click
import msgspec

from knockon.graph.exchange.handed_out import write_alone
from knockon.graph.files.atomic import NotWritten
from knockon.graph.mapping import Mapping, MappingError, Proposal, mapping_path, read_mapping, write_mapping
from knockon.graph.mapping.propose import table_meant
from knockon.graph.sheets import Sheet, SheetError, open_sheets
from knockon.queries.intake.measuring.form import is_measuring_sheet
from knockon.queries.intake.measuring.taken_in import CannotBind, import_filled
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings, with_remark
from knockon.queries.intake.sheets.proposed import ProposedAnswer, left_out
from knockon.queries.ui.asking import GOOD, NOT_SO, CouldNotRun, Settings, answering, deliver, mistakes_told, write
from knockon.queries.ui.details import Shown, detailed
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.naming import count, listed
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.terminal.progress import progress_bar
from knockon.queries.ui.texts.intake.import_ import import_text

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence


@click.command(name="import", help=say.IMPORT)
@click.argument("sheet", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--mapping", type=click.Path(path_type=Path, dir_okay=False), help=say.MAPPING)
@click.option("--accept-mapping", is_flag=True, help=say.ACCEPT_MAPPING)
@click.option("--table", default="", help=say.TABLE)
@click.option("--source", default="", help=say.SOURCE)
@click.option("--feature", default="", help=say.FEATURE)
@click.option("--set", "fixed", multiple=True, metavar="COLUMN=VALUE", help=say.SET)
@click.option("--driver", type=click.Choice(["left", "right"]), help=say.DRIVER)
@click.option("--decimal-comma", is_flag=True, help=say.DECIMAL_COMMA)
@click.option("--replace", is_flag=True, help=say.REPLACE)
@click.option("--dry-run", is_flag=True, help=say.DRY_RUN)
@detailed("full", says={"full": say.IMPORT_FULL})
@answering
def import_sheet(
    settings: Settings,
    sheet: Path,
    mapping: Path | None,
    accept_mapping: bool,
    replace: bool,
    dry_run: bool,
    shown: Shown,
    **chosen: object,
) -> int:
    """Import a member's own sheet."""
    if settings.without:
        raise CouldNotRun(says.IMPORT_WITHOUT)
    if settings.records is None:
        raise CouldNotRun(says.NO_DEMO)

    def text(answer: ImportAnswer) -> Sequence[Block]:
        return import_text(answer, dry_run, shown.full)

    where = mapping or mapping_path(sheet)
    left: dict[str, str] = {}
    try:
        with mistakes_told():
            sheets = open_sheets(sheet)
            if is_measuring_sheet(sheets) and not where.exists() and not mapping:
                _refuse_options(chosen)
                answer = import_filled(settings.folder, sheet.name, sheets, dry_run=dry_run)
                return _tell(settings, sheet.name, answer, dry_run, text)
            if where.exists() or mapping:
                mappings = read_mapping(where, "" if mapping else sheet.name)
                _check_options(mappings, chosen, where, settings.folder)
            else:
                proposals = _proposals(settings, sheets, chosen)
                mappings = tuple(_said(p.mapping, chosen) for p in proposals)
                if not accept_mapping:
                    return _propose(settings, sheet.name, proposals, mappings, where)
                left = left_out(open_folder(settings.folder), sheet.name, sheets, proposals, where.name)
                whole = tuple(m for m, p in zip(mappings, proposals, strict=True) if p.can_be_read)
                mappings = whole or mappings  # none is whole: the error says what is lacking
            with progress_bar(says.READING.format(name=sheet.name)) as progress:
                answer = import_sheets(
                    settings.folder,
                    sheet.name,
                    sheets,
                    mappings,
                    dry_run=dry_run,
                    replace=replace,
                    progress=progress,
                    told=left,
                )
    except (SheetError, MappingError, CannotBind) as error:
        raise CouldNotRun(str(error)) from error
    for remark in left.values():
        answer = with_remark(answer, remark)
    keeping = (where, mappings) if not where.exists() and not dry_run else None
    return _tell(settings, sheet.name, answer, dry_run, text, keeping)


def _tell(
    settings: Settings,
    sheet: str,
    answer: ImportAnswer,
    dry_run: bool,
    text: Callable[[ImportAnswer], Sequence[Block]],
    keeping: tuple[Path, tuple[Mapping, ...]] | None = None,
) -> int:
    """Say what came of an import that stands written, and keep its mapping where none is kept."""
    good = not answer.quarantined
    said = says.LOADED_OF.format(
        sheet=sheet, loaded=answer.loaded, rows=count(answer.rows, "row"), quarantined=answer.quarantined
    )
    with having_written(says.NOTHING_WRITTEN if dry_run else said, GOOD if good else NOT_SO):
        if keeping:
            where, mappings = keeping
            answer = with_remark(answer, _keep(where, write_mapping(mappings, sheet)))
        blocks = text(answer)
        return deliver(settings, "import", answer, good, lambda _: blocks)


def _refuse_options(chosen: dict[str, object]) -> None:
    """Refuse options that say how to read a sheet whose columns are known: they would be passed over in silence."""
    said = [f"--{'set' if name == 'fixed' else name.replace('_', '-')}" for name, value in chosen.items() if value]
    if said:
        raise CouldNotRun(says.COLUMNS_ARE_KNOWN.format(options=listed(said)))


def _propose(
    settings: Settings, sheet: str, proposals: Sequence[Proposal], mappings: Sequence[Mapping], where: Path
) -> int:
    """Show a mapping to confirm; nothing is read by it yet."""
    found = tuple(msgspec.structs.replace(p, mapping=m) for p, m in zip(proposals, mappings, strict=True))
    if settings.json:
        answer = ProposedAnswer(sheet, str(where), found)
        return deliver(settings, "import-proposal", answer, False, lambda _: ())
    write(_proposed(found, where))
    return NOT_SO


def _keep(path: Path, content: bytes) -> str:
    """Keep the mapping beside the sheet; gives why it could not be kept. The import stands without it."""
    try:
        write_alone(path, content)
    except NotWritten as error:
        return says.MAPPING_NOT_KEPT.format(error=error)
    return ""


def _fixed(chosen: dict[str, object]) -> tuple[tuple[str, str], ...]:
    found = {name: str(chosen[name]) for name in ("source", "feature") if chosen[name]}
    pairs = chosen["fixed"]
    for pair in pairs if isinstance(pairs, tuple) else ():
        name, sign, value = str(pair).partition("=")
        if not sign or not name.strip():
            raise CouldNotRun(says.BAD_SET.format(pair=pair))
        found[name.strip()] = value.strip()
    return tuple(sorted(found.items()))


def _check_options(mappings: tuple[Mapping, ...], chosen: dict[str, object], where: Path, records: Path) -> None:
    """Refuse options that the kept mapping says otherwise: they would be passed over in silence."""
    table, driver, comma = str(chosen["table"]), chosen["driver"], chosen["decimal_comma"]
    holds = {f"{n}={v}": any((n, v) in m.fixed for m in mappings) for n, v in _fixed(chosen)}
    own = {m.table for m in mappings}
    holds[f"--table {table}"] = not table or table in own or table_meant(table, open_folder(records).targets) in own
    holds[f"--driver {driver}"] = not driver or any(m.driver == driver for m in mappings)
    holds["--decimal-comma"] = not comma or any(c.decimal_comma for m in mappings for c in m.columns)
    for said in (s for s, so in holds.items() if not so):
        raise CouldNotRun(says.MAPPING_DIFFERS.format(said=said, where=where))


def _proposals(settings: Settings, sheets: tuple[Sheet, ...], chosen: dict[str, object]) -> tuple[Proposal, ...]:
    return propose_mappings(open_folder(settings.folder), sheets, str(chosen["table"]), _fixed(chosen))


def _said(mapping: Mapping, chosen: dict[str, object]) -> Mapping:
    """The mapping with what was said of the whole sheet."""
    comma = bool(chosen["decimal_comma"])
    columns = tuple(msgspec.structs.replace(c, decimal_comma=comma and bool(c.name)) for c in mapping.columns)
    return msgspec.structs.replace(mapping, driver=str(chosen["driver"] or ""), columns=columns)


def _flat(proposals: Sequence[Proposal]) -> list[str]:
    """The tables that a flat sheet fills, each with its own columns, and what is left."""
    sheet = proposals[0].mapping.sheet
    named = says.SHEET.format(name=sheet) if sheet else says.THE_TABLE
    lines = [says.FLAT.format(named=named, tables=len(proposals)), ""]
    for proposal in proposals:
        mapping, fixed = proposal.mapping, dict(proposal.mapping.fixed)
        feature = says.OF_FEATURE.format(feature=fixed["feature"]) if "feature" in fixed else ""
        lines.append(says.FILLS.format(table=mapping.table, feature=feature))
        for column, likeness in zip(mapping.columns, proposal.likeness, strict=True):
            if column.name:
                unit = says.IN_UNIT.format(unit=column.unit) if column.unit else ""
                goes = says.LIKENESS.format(name=listed(column.names), likeness=f"{likeness:.0f}", unit=unit)
                lines.append(says.COLUMN_TO.format(title=column.title, goes=goes))
        lines += [says.EVERY_ROW.format(name=n, value=v) for n, v in mapping.fixed if n != "feature"]
        lines += [says.NEEDS_COLUMN.format(name=name) for name in proposal.lacking]
        lines += [says.NOT_FILLED] if proposal.lacking else []
    mapped = {title.title for p in proposals for title in p.mapping.columns if title.name}
    open_ones = dict(c for p in proposals for c in p.could_be)
    left = [c.title for c in proposals[0].mapping.columns if c.title and c.title not in {*mapped, *open_ones}]
    lines += ["", *(says.COULD_BE.format(title=t, options=says.OR.join(options)) for t, options in open_ones.items())]
    lines += [says.LEFT.format(titles="; ".join(left))] if left else []
    return [*lines, *([says.NO_SOURCE] if any(p.sourceless for p in proposals) else []), ""]


def _proposed(proposals: Sequence[Proposal], where: Path) -> str:
    lines = [says.PROPOSAL, ""]
    sheets = Counter(p.mapping.sheet for p in proposals)
    for proposal in proposals:
        mapping = proposal.mapping
        if sheets[mapping.sheet] > 1:
            lines += _flat([p for p in proposals if p.mapping.sheet == mapping.sheet])
            sheets[mapping.sheet] = 0
            continue
        if not sheets[mapping.sheet]:
            continue
        named = says.SHEET.format(name=mapping.sheet) if mapping.sheet else says.THE_TABLE
        if not any(proposal.likeness):
            lines += [says.LIKE_NO_TABLE.format(named=named), ""]
            continue
        lines.append(says.MAPS_TO.format(named=named, table=mapping.table))
        open_ones = dict(proposal.could_be)
        for column, likeness in zip(mapping.columns, proposal.likeness, strict=True):
            unit = says.IN_UNIT.format(unit=column.unit) if column.unit else ""
            goes = says.LIKENESS.format(name=column.name, likeness=f"{likeness:.0f}", unit=unit)
            if column.title in open_ones:
                lines.append(says.COULD_BE.format(title=column.title, options=says.OR.join(open_ones[column.title])))
                continue
            goes = goes if column.name else says.COLUMN_SKIPPED
            lines.append(says.COLUMN_TO.format(title=column.title or says.NO_HEADER, goes=goes))
        lines += [says.EVERY_ROW.format(name=name, value=value) for name, value in mapping.fixed]
        lines += [says.NO_SOURCE] if proposal.sourceless else []
        lines += [says.NEEDS_COLUMN.format(name=name) for name in proposal.lacking]
        lines.append("")
    return "\n".join((*lines, says.LOOK_OVER.format(where=where))) + "\n"
