"""The records reference, made from the shapes: ``python -m knockon.graph.model.reference > docs/records.md``."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.model.rules import Condition, FitRule
from knockon.graph.model.schema import Column, Table, Vocabulary, local_name, read_vocabulary, vocabulary_files

HEAD = """# Records reference

Made from the shapes in `graph/vocabulary/` by `python -m knockon.graph.model.reference`. A test keeps it fresh. A
records folder holds one table (CSV, UTF-8) for each section below, and one table for each kind of feature in
`features/`. Cells are written as people write them: `25.4 mm`, `1 1/16 in`, `25.40 mm ±0.05 mm`, `25.2..25.4 mm`,
`25 mm k6`, `27`, `24/48`, `module 1.0`, `M10x1`, `3/8-24 UNF`, `1:8`, `absent` (known not to be there), `?` (the source
says that it does not know), empty (not recorded). A club adds kinds, rules and part types in Turtle files beside its
tables.
"""


def reference(vocabulary: Vocabulary) -> str:
    """The whole page as Markdown."""
    lines = [HEAD, "## Tables\n"]
    for table in sorted(vocabulary.tables.values(), key=lambda t: t.table):
        lines += _table(table, f"{table.table}.csv")
    lines.append(
        "## Feature kinds\n\nEach table has the columns `part` (part number, item, or SET/position), `feature` "
        "(its name), the dimensions below, and `source`. How to measure is common practice, no source, unless one is "
        "named behind it. A layout may say it in words of its own for a place: how_to_measure.csv.\n"
    )
    for kind in sorted(vocabulary.kinds.values(), key=lambda t: t.table):
        lines += _table(kind, f"features/{kind.table}.csv")
    lines.append(
        '## Fit rules\n\nWhere an assembly condition is not kept, the verdict is "does not fit". Where a service '
        'condition is not kept, it is "goes together, do not use". The ends of a window belong to it. The gross window '
        "judges where a size is nominal. A supporting condition may stay unknown.\n"
    )
    for rule in sorted(vocabulary.rules.values(), key=lambda r: r.label):
        lines += _rule(rule, vocabulary)
    lines += _usual_checks(vocabulary)
    lines += _tools(vocabulary)
    lines.append("## Part types\n")
    for part_type in sorted(vocabulary.part_types.values(), key=lambda p: p.label):
        broader = ", ".join(b for b in part_type.broader if b != part_type.label)
        marks = [
            m for m, holds in (("small fixing", part_type.small_fixing), ("consumable", part_type.consumable)) if holds
        ]
        lines.append(f"- {part_type.label}" + (f" (a {broader})" if broader else "") + "".join(f"; {m}" for m in marks))
    return "\n".join(lines) + "\n"


def _usual_checks(vocabulary: Vocabulary) -> Iterator[str]:
    checks = vocabulary.usual_checks
    yield (
        f"## Usual checks\n\nThe {len(checks)} checks of `graph/vocabulary/usual-checks.ttl`, those first that are "
        "named first. `knockon check` says which of them a layout lacks whose parts it has. They judge nothing. A "
        "joint's check names the fit rules that may judge it (`kn:judgedBy`) and the part types on both sides "
        "(`kn:partType`, `kn:otherPartType`). A chain's names the stack or figure (`kn:chain`), the part types that it "
        "runs through (`kn:through`) and the dimensions that it takes (`kn:dimension`). `kn:why` says what happens "
        "where nobody looks.\n"
    )
    yield "| check | fit rule, or chain | between, or through | dimensions | why | source |"
    yield "| --- | --- | --- | --- | --- | --- |"
    for c in checks:
        judged = " or ".join(c.rules) or f"chain: {c.chain}"
        parts = " or ".join(c.first) + " and " + " or ".join(c.other) if c.rules else ", ".join(c.through)
        source = c.source + (f" ({c.standing})" if c.standing else "")
        cells = (c.label, judged, parts, ", ".join(c.dimensions) or "-", c.why, source)
        yield "| " + " | ".join(map(_clean, cells)) + " |"
    yield ""


def _tools(vocabulary: Vocabulary) -> Iterator[str]:
    yield (
        "## Measuring tools\n\nThe tools of `graph/vocabulary/measuring-tools.ttl`. A reading without its own "
        "uncertainty takes that of the tool that was named, else of the usual tool of its dimension. Nearly all "
        "readings lie within it (two standard deviations).\n"
    )
    yield "| tool | also called | within | usual for | source |"
    yield "| --- | --- | --- | --- | --- |"
    for tool in vocabulary.tools.by_name.values():
        within = f"±{tool.within:g} {tool.unit}" if tool.within else "exact"
        cells = (tool.name, ", ".join(tool.other_names) or "-", within, _usual_for(vocabulary, tool.name), tool.source)
        yield "| " + " | ".join(map(_clean, cells)) + " |"
    yield ""


def _usual_for(vocabulary: Vocabulary, tool: str) -> str:
    tools = vocabulary.tools
    any_of = [
        f"any {datatype}" + (f", {part}" if part else "")
        for datatype, parts in sorted(tools.of_datatypes.items())
        for part, name in sorted(parts.items())
        if name == tool
    ]
    kinds = {k.table: k.label for k in vocabulary.kinds.values()}
    found = [
        f"{kinds[table]}, {dimension.replace('.', ' ')}"
        for table, dimensions in sorted(tools.of_kinds.items())
        for dimension, name in sorted(dimensions.items())
        if name == tool and table in kinds
    ]
    return "; ".join([*any_of, *found]) or "-"


def _table(table: Table, file: str) -> Iterator[str]:
    yield f"### {file}\n\n{table.comment or table.label}\n"
    yield "| column | what it holds | form |"
    yield "| --- | --- | --- |"
    for column in table.columns:
        yield f"| {column.name} | {_clean(column.description)}{_method(column)} | {_form(column)} |"
    yield ""


def _form(column: Column) -> str:
    form = column.datatype or "name"
    if column.refers_to:
        form = "a name in " + " or ".join(column.refers_to)
    if column.names:
        form = "a " + {"PartType": "part type", "FitRule": "fit rule", "Formula": "formula", "Kind": "kind"}.get(
            column.names, column.names
        )
    if column.values:
        form = "one of " + ", ".join(column.values)
    if column.least is not None or column.most is not None:
        ends = [f"from {column.least:g}"] if column.least is not None else []
        form += " " + " ".join([*ends, f"to {column.most:.0f}" if column.most is not None else "up"])
    marks = [
        m
        for m, holds in (
            ("needed", column.required),
            ("key", column.key),
            ("several, with ;", column.many and bool(column.refers_to)),
        )
        if holds
    ]
    return _clean(form + "".join(f"; {m}" for m in marks))


def _method(column: Column) -> str:
    source = f" Source: {_clean(column.method_source)}." if column.method_source else ""
    return f" How to measure: {_clean(column.method)}{source}" if column.method else ""


def _clean(text: str) -> str:
    return " ".join(text.split()).replace("|", "\\|")


def _rule(rule: FitRule, vocabulary: Vocabulary) -> Iterator[str]:
    critical = "safety-critical" if rule.safety_critical else "not safety-critical"
    roles = " in ".join(f"{end.role} ({vocabulary.kinds[end.kind].label})" for end in rule.ends)
    yield f"### {rule.label}\n\n{roles}; {critical}. {_clean(rule.comment)}\n"
    yield "| condition | sort, need | value | window | where sizes are nominal | source |"
    yield "| --- | --- | --- | --- | --- | --- |"
    for c in rule.conditions:
        gross = _window(c.gross_low, c.gross_high, c.unit) if c.gross else "open"
        window = _window(c.low, c.high, c.unit) if c.need != "told" else "told"
        source = _clean(c.source) + (f" ({c.standing})" if c.standing else "")
        alike = "-" if c.same_code or c.need == "told" else gross
        yield f"| {c.label} | {c.sort}, {c.need} | {_value(c)} | {window} | {alike} | {source} |"
    yield ""


def _value(condition: Condition) -> str:
    names = [f"{t.role} {t.dimension}" for t in condition.terms]
    if condition.formula:
        return f"{local_name(condition.formula)}({', '.join(names)})"
    if condition.same_code:
        usual = list(dict.fromkeys(code for code in condition.usual if code))
        return " = ".join(names) + (f" (usually {' or '.join(usual)})" if usual else "")
    return " ".join(
        f"{'-' if t.factor < 0 else '+'} {'' if abs(t.factor) == 1 else f'{abs(t.factor):g} x '}{n}"
        for t, n in zip(condition.terms, names, strict=True)
    ).removeprefix("+ ")


def _window(low: float | None, high: float | None, unit: str) -> str:
    if low is None and high is None:
        return "any"
    if low is not None and high is not None:
        return f"{low:g} to {high:g} {unit}".strip()
    return f"at least {low:g} {unit}".strip() if low is not None else f"at most {high:g} {unit}".strip()


if __name__ == "__main__":
    print(reference(read_vocabulary(vocabulary_files())), end="")
