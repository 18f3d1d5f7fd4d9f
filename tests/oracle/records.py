"""Writes a world as a records folder: tables as people keep them and a vocabulary of its own."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from tests.oracle.world import (
    Cell,
    Condition,
    Dimension,
    Kind,
    Mark,
    Rule,
    Stack,
    Term,
    Thread,
    Window,
    World,
)

PREFIXES = """\
@prefix kn: <https://knockon.example/vocab#> .
@prefix club: <https://club.example/words#> .
@prefix rdfs: <http://www.w3.org/2000/01/rdf-schema#> .
@prefix sh: <http://www.w3.org/ns/shacl#> .
@prefix skos: <http://www.w3.org/2004/02/skos/core#> .
@prefix dcterms: <http://purl.org/dc/terms/> .
"""
Row = tuple[tuple[str, object], ...]
"""Columns with their cells."""
Table = tuple[str, str, Iterable[Sequence[object]]]

ROLES = ("peg", "hole")
NO = {"assembly": "they do not go together", "service": "they go together and do not hold"}


def write_records(folder: Path, *worlds: World) -> None:
    """Write worlds into `folder`, which is made where it does not exist.

    Several worlds share sources and kinds; their other names must differ.
    """
    (folder / "features").mkdir(parents=True, exist_ok=True)
    words = dict.fromkeys(block for world in worlds for block in vocabulary(world))
    (folder / "words.ttl").write_text("\n".join([PREFIXES, *words]), encoding="utf-8")
    columns: dict[str, dict[str, None]] = {}
    rows: dict[str, dict[Row, None]] = {}
    for world in worlds:
        for name, header, more in tables(world):
            columns.setdefault(name, {}).update(dict.fromkeys(header.split(",")))
            rows.setdefault(name, {}).update(
                dict.fromkeys(tuple(zip(header.split(","), row, strict=True)) for row in more)
            )
    for name, found in rows.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, list(columns[name]), restval="", lineterminator="\n")
            writer.writeheader()
            writer.writerows(map(dict, found))


def tables(world: World) -> Iterator[Table]:
    """Every table of one world: its name, its header and its rows."""
    yield from _catalogue_tables(world)
    yield from _layout_tables(world)
    yield from _vehicle_tables(world)
    yield from _feature_tables(world)


def _yes(value: bool | None) -> str:
    return "" if value is None else "yes" if value else "no"


# ------------------------------------------------------------------------------------- vocabulary


def vocabulary(world: World) -> Iterator[str]:
    """The world's part types, kinds and fit rules as Turtle, without the prefixes."""
    for name in sorted({position.part_type for position in world.positions}):
        yield (
            f'club:type-{_slug(name)} a skos:Concept ; skos:prefLabel "{name}"@en ;\n'
            "    skos:inScheme kn:part-types ; skos:topConceptOf kn:part-types .\n"
        )
    yield from map(_kind, world.kinds)
    yield from map(_rule, world.rules)


def _slug(name: str) -> str:
    return name.replace(" ", "-").replace("/", "-")


def _kind(kind: Kind) -> str:
    name = f"club:{_slug(kind.name)}"
    dimensions = " ,\n".join(
        f'    [ sh:path {name}-{_slug(one.name)} ; sh:name "{one.name}" ;'
        f" sh:datatype kn:{one.datatype} ; sh:order {order} ;"
        f' sh:description "The {one.name}." ; kn:method "Measure it." ]'
        for order, one in enumerate(kind.dimensions, 1)
    )
    return (
        f"{name} a sh:NodeShape, rdfs:Class ; sh:targetClass {name} ;\n"
        "    rdfs:subClassOf kn:Feature ;\n"
        f'    rdfs:label "{kind.name}"@en ; kn:table "{_slug(kind.name)}" ;\n'
        f"    sh:property\n{dimensions} .\n"
    )


def _rule(rule: Rule) -> str:
    name = f"club:rule-{_slug(rule.name)}"
    conditions = [f"{name}-{order}" for order in range(1, len(rule.conditions) + 1)]
    lines = [
        f'{name} a kn:FitRule ; rdfs:label "{rule.name}"@en ;',
        f'    kn:firstRole "{ROLES[0]}" ; kn:firstKind club:{_slug(rule.kinds[0])} ;',
        f'    kn:secondRole "{ROLES[1]}" ; kn:secondKind club:{_slug(rule.kinds[1])} ;',
        f"    kn:safetyCritical {str(rule.safety_critical).lower()} ;",
        f"    kn:condition {' , '.join(conditions)} .\n",
    ]
    for order, (iri, condition) in enumerate(zip(conditions, rule.conditions, strict=True), 1):
        lines.append(_condition(iri, order, condition))
    return "\n".join(lines)


def _condition(iri: str, order: int, condition: Condition) -> str:
    said = [
        f'{iri} a kn:Condition ; sh:order {order} ; rdfs:label "{condition.name}"@en ;',
        f"    kn:sort kn:{condition.sort} ; kn:need kn:{condition.need} ;",
        f'    kn:value "{_value(condition)}" ;',
        *_ends("low", "high", condition.window),
        *(_ends("grossLow", "grossHigh", condition.gross) if condition.gross else ()),
        '    kn:unit "mm" ; dcterms:source "made up for this world" ; kn:standing "from memory" ;',
        f'    kn:saysNo "{NO[condition.sort]}" .\n',
    ]
    return "\n".join(said)


def _ends(low: str, high: str, window: Window) -> list[str]:
    ends = ((low, window.low), (high, window.high))
    return [f"    kn:{name} {value} ;" for name, value in ends if value is not None]


def _value(condition: Condition) -> str:
    if condition.same_code:
        return " == ".join(_operand(term) for term in condition.terms)
    text = ""
    for term in condition.terms:
        sign = "-" if term.factor < 0 else "+" if text else ""
        factor = "" if abs(term.factor) == 1 else f"{abs(term.factor)}*"
        text += f" {sign} {factor}{_operand(term)}" if text else f"{sign}{factor}{_operand(term)}"
    return text


def _operand(term: Term) -> str:
    hand = ".hand" if term.dimension == "thread" else ""
    return f"{ROLES[term.role]}.{term.dimension.replace(' ', '_')}{hand}"


# ----------------------------------------------------------------------------------------- tables


def _catalogue_tables(world: World) -> Iterator[Table]:
    yield (
        "sources",
        "source,title,standing,member,date,licence",
        [
            *((s.name, f"source {s.name}", s.standing, "m001", "2020-01-02", "") for s in world.sources),
            *((n.name, f"note {n.name}", "hearsay", "m001", "2020-01-02", "") for n in world.notes),
        ],
    )
    parts: list[Sequence[object]] = [
        (p.number, f"part {p.number}", "", p.part_type, p.hand, _yes(p.one_use), p.mirror_of,
         p.drawn_as, "", "" if p.accepted else "made up", world.sources[0].name)
        for p in world.parts
    ]  # fmt: skip
    parts += [
        (one.number, f"set {one.number}", "", "set", "either", "no", "", "", "", "",
         world.sources[0].name)
        for one in world.sets
    ]  # fmt: skip
    yield (
        "parts",
        "part,name,maker,part type,hand,one use,mirror of,drawn as,as written,not accepted,source",
        parts,
    )
    yield (
        "claims",
        "part,claim,vehicle,other part,text,source",
        [
            (c.part, c.claim, *((c.about, "") if c.claim == "listed for" else ("", c.about)), "",
             world.sources[-1].name)
            for c in world.claims
        ],
    )  # fmt: skip
    yield (
        "set_members",
        "set,position,side,as part,quantity",
        [
            (one.number, m.position, m.side, m.as_part, world.position[m.position].quantity)
            for one in world.sets
            for m in one.members
        ],
    )
    joints = {joint.name for joint in world.joints}
    stated = [(one.number, check) for one in world.sets for check in one.states]
    yield ("set_checks", "set,figure", [one for one in stated if one[1] not in joints])
    if any(check in joints for _, check in stated):
        yield ("set_checks", "set,joint", [one for one in stated if one[1] in joints])
    suppliers = sorted({offer.supplier for offer in world.offers})
    yield ("suppliers", "supplier,title,postage", [(s, s, 0) for s in suppliers])
    yield (
        "offers",
        "supplier,part,price,exchange surcharge",
        [(o.supplier, o.part, o.price, o.surcharge or "") for o in world.offers],
    )


def _layout_tables(world: World) -> Iterator[Table]:
    layout = world.layout
    counts = {d.name for kind in world.kinds for d in kind.dimensions if d.datatype == "count"}

    def unit(stack: Stack) -> str:
        return "" if all(term.dimension in counts for term in stack.terms) else "mm"

    yield ("layouts", "layout,title", [(layout, "a small layout")])
    yield (
        "arrangements",
        "layout,arrangement,title,choice",
        [(layout, name, f"arrangement {name}", c.name) for c in world.choices for name in c.arrangements],
    )
    yield (
        "positions",
        "layout,position,level,part type,quantity,arrangement,need,with position,lacking feature,"
        "carried by,pressed in,group,order",
        [
            (layout, p.name, p.level, p.part_type, p.quantity, p.arrangement, p.need,
             p.with_position, p.lacking_feature, p.carried_by, _yes(p.pressed_in), p.name, order)
            for order, p in enumerate(world.positions, 1)
        ],
    )  # fmt: skip
    yield (
        "joints",
        "layout,joint,position,feature,other position,other feature,rule,arrangement,"
        "safety critical,owns,reached,other reached,disturbs",
        [
            (layout, j.name, j.position, j.feature, j.other_position, j.other_feature, j.rule,
             j.arrangement, _yes(j.safety_critical), ";".join(j.owns), "on the vehicle",
             "on the vehicle", "" if j.disturbs else "no")
            for j in world.joints
        ],
    )  # fmt: skip
    yield (
        "in_the_way",
        "layout,position,in the way of,arrangement,slackened,leaves",
        [
            (layout, w.position, w.in_the_way_of, w.arrangement, _yes(w.slackened), ";".join(w.leaves))
            for w in world.in_the_way
        ],
    )
    yield (
        "figures",
        "layout,figure,is,formula,sort,low,high,unit,compared with,method,arrangement,"
        "safety critical,standing,source,says",
        [
            (layout, s.name, "stack", "", s.sort,
             _limit(s.window.low, unit(s)), _limit(s.window.high, unit(s)), unit(s),
             "as made" if s.as_made else "limits", "Measure it." if s.method else "", s.arrangement,
             _yes(s.safety_critical), "from memory", "made up for this world", NO[s.sort])
            for s in world.stacks
        ],
    )  # fmt: skip
    yield (
        "figure_terms",
        "layout,figure,order,position,feature,dimension,factor,role,reached",
        [
            (layout, s.name, order, t.position, t.feature, t.dimension, t.factor, "",
             "on the vehicle")
            for s in world.stacks
            for order, t in enumerate(s.terms, 1)
        ],
    )  # fmt: skip


def _limit(value: int | None, unit: str) -> str:
    return "" if value is None else f"{value} {unit}".strip()


def _vehicle_tables(world: World) -> Iterator[Table]:
    source = world.sources[0].name
    yield (
        "vehicles",
        "vehicle,title,layout,arrangement,as made,made as,like,owner,source",
        [
            (v.name, f"vehicle {v.name}", world.layout, "; ".join(v.arrangements), _yes(v.as_made), v.made_as,
             v.like, "" if v.as_made else "m001", source)
            for v in world.vehicles
        ],
    )  # fmt: skip
    yield (
        "fittings",
        "vehicle,position,side,part,item,condition",
        [
            (v.name, f.position, f.side, "" if f.item else f.part, f.item, f.condition)
            for v in world.vehicles
            for f in v.fittings
            if not v.like or f not in world.vehicle[v.like].fittings
        ],
    )
    items = [
        (i.name, i.part, f"item {i.name}", i.work_on, "some work" if i.work_on else "", source) for i in world.items
    ]
    placed = [(*row, *item.read_at) for row, item in zip(items, world.items, strict=True) if item.read_at]
    header = "item,part,title,after work on,work,source"
    yield ("items", header, [row for row, item in zip(items, world.items, strict=True) if not item.read_at])
    if placed:
        yield ("items", f"{header},vehicle,position,side", placed)
    yield (
        "notes",
        "note,date,member,vehicle,condition,text,parts,joint,outcome,work done,says,source",
        [
            (n.name, "2020-01-02", "m001", "", "", "it went on", ";".join(n.parts), n.joint, "made to fit",
             "a little filing", "it fits now", n.name)
            for n in world.notes
        ],
    )  # fmt: skip


def _feature_tables(world: World) -> Iterator[Table]:
    for kind in world.kinds:
        names = [one.name for one in kind.dimensions]
        yield (
            f"features/{_slug(kind.name)}",
            ",".join(["part", "feature", *names, "source"]),
            [
                (row.owner, row.feature, *_cells(kind, dict(row.cells)), row.source)
                for row in world.rows
                if row.kind == kind.name
            ],
        )


def _cells(kind: Kind, cells: dict[str, Cell]) -> list[str]:
    return [written(one, cells.get(one.name)) for one in kind.dimensions]


def written(dimension: Dimension, cell: Cell | None) -> str:
    """A cell as a person writes it."""
    if cell is None:
        return ""
    if isinstance(cell, Mark):
        return cell.value
    if isinstance(cell, str):
        return cell
    if isinstance(cell, Thread):
        return f"M20x1 {cell.hand}".strip()
    if dimension.datatype == "count":
        return str(cell.low)
    if cell.nominal:
        return f"{cell.low} mm"
    if cell.low % 2:
        return f"{(cell.low + cell.high) / 2} ±{(cell.high - cell.low) / 2} mm"
    return f"{cell.low}..{cell.high} mm"
