"""The tables of the catalogue in columns: what each holds, and its rows in a fixed order.

They say what answers compute from (``sizes``, ``features``, ``parts`` ...), the rules as data (``joints``,
``conditions``), and, in ``rows``, what people wrote, from which a records folder can be put together again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import msgspec

from knockon.graph.judge.beliefs import computing, known_of, presence_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import both_sides_of, member_thing
from knockon.graph.model.findings import Finding
from knockon.graph.model.rules import Condition, FitRule
from knockon.graph.model.things import STANDINGS, Feature
from knockon.graph.tables.files import read_table, table_files

TEXT, NUMBER, WHOLE, FLAG, TEXTS = "text", "number", "whole number", "yes or no", "list of texts"
"""What a column may hold."""

Row = tuple[Any, ...]


class ColumnOf(msgspec.Struct, frozen=True):
    """A column: its name, what it holds (TEXT ...), and what that means, with its unit."""

    name: str
    holds: str
    means: str


class Catalogued(msgspec.Struct, frozen=True):
    """What tables are made of: the catalogue, the folder that it was read from, and the sources left out."""

    catalogue: Catalogue
    folder: Path
    without: tuple[str, ...] = ()


class ColumnTable(msgspec.Struct, frozen=True):
    """A table in columns: its name, what a row is, its columns, and what makes its rows."""

    name: str
    means: str
    columns: tuple[ColumnOf, ...]
    rows: Callable[[Catalogued], Iterator[Row]]


def _text(*columns: tuple[str, str]) -> tuple[ColumnOf, ...]:
    return tuple(ColumnOf(name, TEXT, means) for name, means in columns)


def _parts(of: Catalogued) -> Iterator[Row]:
    for number, p in sorted(of.catalogue.parts.items()):
        yield (
            number, p.name, p.part_type, p.hand, p.one_use, p.maker, p.mirror_of, p.drawn_as, p.not_accepted, p.source,
        )  # fmt: skip


def _things(of: Catalogued) -> Iterator[Row]:
    for number in sorted(of.catalogue.parts):
        yield number, "part", number, "", "", of.catalogue.parts[number].drawn_as
    for number, members in sorted(of.catalogue.set_members.items()):
        for member in members:
            yield member_thing(member), "member", number, member.position, member.side, member.as_part
        for both in sorted({both_sides_of(m) for m in members} - {member_thing(m) for m in members}):
            yield both, "members", number, "", "", ""
    for name, item in sorted(of.catalogue.items.items()):
        yield name, "item", item.part, item.position, item.side, ""


def _features(of: Catalogued) -> Iterator[Row]:
    kinds = of.catalogue.vocabulary.kinds
    for thing, features in sorted(of.catalogue.features.items()):
        for name, feature in sorted(features.items()):
            yield thing, name, kinds[feature.kind].label, presence_of(feature), bool(feature.absent)


def _sizes(of: Catalogued) -> Iterator[Row]:
    made: dict[int, tuple[Feature, list[Row]]] = {}  # many things share a feature: its rows are worked out once
    for thing, features in sorted(of.catalogue.features.items()):
        for _, feature in sorted(features.items()):
            if id(feature) not in made:
                if len(made) > MOST_REMEMBERED:
                    made.clear()
                made[id(feature)] = feature, list(_sizes_of(of.catalogue, feature))
            for row in made[id(feature)][1]:
                yield (thing, *row)


MOST_REMEMBERED = 100_000
"""Features whose rows are remembered."""


def _sizes_of(catalogue: Catalogue, feature: Feature) -> Iterator[Row]:
    kind = catalogue.vocabulary.kinds[feature.kind]
    for dimension, statements in sorted(feature.dimensions.items()):
        used = set(map(id, computing(statements)))
        contested = known_of(statements).contested
        unit = catalogue.vocabulary.unit_of(kind, dimension) or ""
        for s in sorted(statements, key=lambda s: (s.order, s.source, s.written)):
            yield (
                feature.name, dimension, s.low, s.high, unit, s.nominal, s.code, s.unknown, id(s) in used, contested,
                s.rank, STANDINGS[s.rank - 1], s.of_number, s.source, s.written,
            )  # fmt: skip


def _offers(of: Catalogued) -> Iterator[Row]:
    for number, offers in sorted(of.catalogue.offers.items()):
        for o in offers:
            yield number, o.supplier, o.price / o.pack_size, o.exchange_surcharge


def _claims(of: Catalogued) -> Iterator[Row]:
    for c in of.catalogue.claims:
        yield c.part, c.claim, c.other_part, c.vehicle, c.text, c.source


def _sources(of: Catalogued) -> Iterator[Row]:
    for name, s in sorted(of.catalogue.sources.items()):
        yield name, s.standing, s.rank, s.title, s.date, s.licence


def _part_types(of: Catalogued) -> Iterator[Row]:
    for label, part_type in sorted(of.catalogue.vocabulary.part_types.items()):
        for broader in sorted({label, *part_type.broader}):
            yield label, broader


def _joints(of: Catalogued) -> Iterator[Row]:
    for name, layout in sorted(of.catalogue.layouts.items()):
        types = {p.position: p.part_type for p in layout.positions}
        for joint in layout.joints:
            rule = of.catalogue.vocabulary.rules[joint.rule]
            own = joint.safety_critical
            critical = rule.safety_critical if own is None else own
            for end, on in zip(joint.ends, rule.ends, strict=True):
                kind = of.catalogue.vocabulary.kinds[on.kind].label
                yield (
                    name, joint.joint, on.number + 1, end.position, types.get(end.position, ""), end.feature, kind,
                    rule.label, on.role, joint.arrangement, critical,
                )  # fmt: skip


def _conditions(of: Catalogued) -> Iterator[Row]:
    for label, rule in sorted(of.catalogue.vocabulary.rules.items()):
        for c in rule.conditions:
            yield (
                label, c.label, c.sort, c.need, said(c, rule), c.low, c.high, c.gross_low, c.gross_high, c.unit,
                c.source,
            )  # fmt: skip


def said(condition: Condition, rule: FitRule) -> str:
    """What a condition compares: ``journal.diameter - bore.diameter``, ``same: a.hand = b.hand``, or a formula."""
    names = [f"{t.role}.{t.dimension}" for t in condition.terms]
    if condition.same_code:
        return "same: " + " = ".join(names)
    if condition.formula:
        return f"{condition.formula}({', '.join(names)})"
    return " + ".join(f"{t.factor:g} {name}" for t, name in zip(condition.terms, names, strict=True))


PART_COLUMNS = {"set_members": "set", "set_checks": "set", "set_joints": "set"}
"""The column that names the thing which a row is about, where it is not ``part``."""
ABOUT_PARTS = frozenset({"parts", "offers", "claims", *PART_COLUMNS})
"""The tables with rows about parts, beside those of ``features/``; those of layouts, vehicles and notes are small."""


def _rows(of: Catalogued) -> Iterator[Row]:
    findings: list[Finding] = []
    for path in table_files(of.folder):
        name = path.relative_to(of.folder).as_posix()
        table = read_table(path, name, findings, of.folder)
        if table is None:
            continue
        about = PART_COLUMNS.get(table.table, "part")
        is_about = (table.table in ABOUT_PARTS or name.startswith("features/")) and about in table.header
        at = table.header.index(about) if is_about else None
        source = table.header.index("source") if "source" in table.header else None
        header = list(table.header)
        for number, cells in table.rows:
            if source is None or cells[source] not in of.without:
                yield name, number, None if at is None else cells[at], header, list(cells)


_THING = ("thing", "a part's number, a set's member (SET/position, with its side) or an item")
_SOURCE = ("source", "who states it")

TABLES: Sequence[ColumnTable] = (
    ColumnTable("parts", "one part that can be bought or held", (
        *_text(("part", "its number"), ("name", "as recorded"), ("part_type", "its narrowest part type"),
               ("hand", "left, right or either")),
        ColumnOf("one_use", FLAG, "renewed whenever it is disturbed"),
        *_text(("maker", "as recorded"), ("mirror_of", "the number for the other hand"),
               ("drawn_as", "the number whose sizes it shares"), ("not_accepted", "why nobody should use it"),
               _SOURCE),
    ), _parts),
    ColumnTable("things", "one thing that has features", (
        *_text(_THING, ("is", "part, member (of a set), members (those of both sides) or item"),
               ("part", "the number under which it is bought"),
               ("position", "of a member or item: where it stands"), ("side", "left, right, or blank"),
               ("drawn_as", "the number whose sizes it shares")),
    ), _things),
    ColumnTable("features", "one feature of a thing", (
        *_text(_THING, ("feature", "its name"), ("kind", "what sort of feature it is"),
               ("presence", "recorded, absent, or contested where equal sources say both")),
        ColumnOf("some_say_absent", FLAG, "at least one source says that the thing lacks it"),
    ), _features),
    ColumnTable("sizes", "one size as one source states it", (
        *_text(_THING, ("feature", "its name"), ("dimension", "as in the kind: diameter, thread.pitch")),
        ColumnOf("lower", NUMBER, "lower end, in the unit of the row, empty without one"),
        ColumnOf("upper", NUMBER, "upper end, in the unit of the row, empty without one"),
        *_text(("unit", "the unit of reckoning: mm, deg, kPa, N, N m, count, 1, or code for a word")),
        ColumnOf("nominal", FLAG, "written without a tolerance"),
        *_text(("code", "the word, where it is no number")),
        ColumnOf("unknown", FLAG, "the source says that it does not know"),
        ColumnOf("used", FLAG, "of the best standing: answers use it"),
        ColumnOf("contested", FLAG, "sources of the best standing contradict each other"),
        ColumnOf("rank", WHOLE, "of the source's standing: 1 on the item, to 6 hearsay"),
        *_text(("standing", "the same as a word")),
        ColumnOf("of_number", FLAG, "of an item: said of its number, not of the very thing"),
        *_text(_SOURCE, ("written", "the cell as somebody wrote it")),
    ), _sizes),
    ColumnTable("offers", "one price", (
        *_text(("part", "its number"), ("supplier", "who offers it")),
        ColumnOf("price", NUMBER, "of one, in the currency of the records"),
        ColumnOf("exchange_surcharge", NUMBER, "due where no old part is handed in"),
    ), _offers),
    ColumnTable("claims", "one statement without sizes", (
        *_text(("part", "its number"), ("claim", "listed for, goes with, same as, superseded by"),
               ("other_part", "the other number"), ("vehicle", "for which it is listed"),
               ("text", "in the source's own words"), _SOURCE),
    ), _claims),
    ColumnTable("sources", "one source", (
        *_text(("source", "its name"), ("standing", "how good it is")),
        ColumnOf("rank", WHOLE, "the same as a number, best first"),
        *_text(("title", "as recorded"), ("date", "as recorded"), ("licence", "as recorded")),
    ), _sources),
    ColumnTable("part_types", "a part type and one that it belongs to, itself included", (
        *_text(("part_type", "the narrower one"), ("is_a", "the broader one")),
    ), _part_types),
    ColumnTable("joints", "one end of a joint: the interface place of a position", (
        *_text(("layout", "its layout"), ("joint", "its name")),
        ColumnOf("end", WHOLE, "1 or 2, as the rule has its ends"),
        *_text(("position", "where the part stands"), ("part_type", "which parts may stand there"),
               ("feature", "which of their features meets"), ("kind", "what sort of feature it must be"),
               ("rule", "the fit rule"), ("role", "what the rule calls this end"),
               ("arrangement", "the only one in which the joint exists, or blank")),
        ColumnOf("safety_critical", FLAG, "\"fits\" then needs better evidence on both sides"),
    ), _joints),
    ColumnTable("conditions", "one condition of a fit rule", (
        *_text(("rule", "the fit rule"), ("condition", "its name"), ("sort", "assembly or service"),
               ("need", "required, supporting, or only shown"), ("compares", "the sum, formula or words")),
        ColumnOf("low", NUMBER, "lower end of the window, in the unit of the row"),
        ColumnOf("high", NUMBER, "upper end of the window"),
        ColumnOf("gross_low", NUMBER, "lower end of the window for sizes without a tolerance"),
        ColumnOf("gross_high", NUMBER, "upper end of that window"),
        *_text(("unit", "the base unit of the limits, or blank"), ("source", "of the limits")),
    ), _conditions),
    ColumnTable("rows", "one row of a record table, as somebody wrote it", (
        *_text(("file", "the table's file in the records folder")),
        ColumnOf("row", WHOLE, "its number in the file"),
        *_text(("about", "the thing that it is about, empty in tables that are not about parts")),
        ColumnOf("header", TEXTS, "the table's columns"),
        ColumnOf("cells", TEXTS, "the row's cells"),
    ), _rows),
)  # fmt: skip
"""All tables, in the order in which they are written."""
