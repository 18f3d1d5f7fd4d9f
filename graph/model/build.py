"""The catalogue built from the quads of the graph, independent of the order of statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

import msgspec
import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.model.bound import bind
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import Drawn, members_by_name
from knockon.graph.model.layout_words import LayoutWord
from knockon.graph.model.layouts.unread import with_unread_fittings, with_unread_members
from knockon.graph.model.names import ID, key_of
from knockon.graph.model.schema import VOCAB, Table, Vocabulary
from knockon.graph.model.things import (
    Choice,
    Claim,
    Consumable,
    Feature,
    Figure,
    FigureTerm,
    Fitting,
    InTheWay,
    Item,
    Joint,
    Kit,
    KitLine,
    Layout,
    LayoutUse,
    Note,
    Offer,
    Part,
    Position,
    Said,
    SetAside,
    SetMember,
    Source,
    Statement,
    Supplier,
    Vehicle,
)

RDF_TYPE = "http://www.w3.org/1999/02/22-rdf-syntax-ns#type"
ALIAS = {"is": "is_", "as": "as_"}
MANY = {"parts": "parts", "owns": "owns", "without": "without", "leaves": "leaves"}
"""Columns that may hold several values, with their fields."""
OF_VEHICLES = {**MANY, "arrangement": "arrangements"}
TOLD = "told"
T = TypeVar("T")


class _Rows(msgspec.Struct):
    """Rows read back from the quads: table name -> key IRI -> header -> texts."""

    tables: dict[str, dict[str, dict[str, list[str]]]]
    features: dict[tuple[str, str], list[tuple[str, str, dict[str, list[ox.Literal]], bool]]]


def build_catalogue(
    quads: Iterable[ox.Quad], vocabulary: Vocabulary, set_aside: tuple[SetAside, ...] = ()
) -> Catalogue:
    """Build the catalogue from quads; sizes that cannot be read count as unknown (the reader has reported them), and so
    does what stands where a row of ``set_aside`` should have said it."""
    quads = list(quads)
    rows = _rows(quads, vocabulary)
    sources = {s.source: s for s in _all(rows, "sources", Source)}
    parts = _paired({p.part: p for p in _all(rows, "parts", Part)})
    layouts = _layouts(rows)
    members = with_unread_members(
        _grouped(_all(rows, "set_members", SetMember), lambda m: m.set), set_aside, parts, layouts
    )
    named = members_by_name(members)
    items = {i.item: _of_set(i, named) for i in _all(rows, "items", Item)}
    stated = _raw_grouped(rows, "set_checks", "set")
    catalogue = Catalogue(
        vocabulary=vocabulary,
        sources=sources,
        parts=parts,
        claims=tuple(_all(rows, "claims", Claim)),
        set_members=members,
        set_checks={k: tuple(r["figure"][0] for r in v if r.get("figure")) for k, v in stated.items()},
        set_joints={k: tuple(r["joint"][0] for r in v if r.get("joint")) for k, v in stated.items()},
        layouts=layouts,
        vehicles=_vehicles(rows, items, named, set_aside),
        items=items,
        kits=_kits(rows),
        suppliers={s.supplier: s for s in _all(rows, "suppliers", Supplier)},
        offers=_grouped(_all(rows, "offers", Offer), lambda o: o.part),
        notes={n.note: n for n in _all(rows, "notes", Note)},
        features=_features(rows, vocabulary, sources),
        set_aside=set_aside,
    )
    bound, unbound = bind(catalogue.things, catalogue.notes.values())
    drawn = Drawn(bound.features, parts, bound.items, members, bound.vehicles).all()
    return replace(catalogue, vehicles=dict(bound.vehicles), items=dict(bound.items), features=drawn, unbound=unbound)


def _paired(parts: dict[str, Part]) -> dict[str, Part]:
    """The parts, each that another names as its mirror naming it as well."""
    back = {p.mirror_of: n for n, p in sorted(parts.items(), reverse=True) if p.mirror_of in parts}
    return {n: replace(p, mirror_of=p.mirror_of or back.get(n, "")) for n, p in parts.items()}


def _rows(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> _Rows:
    by_subject: dict[tuple[str, str], dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for quad in quads:
        graph = getattr(quad.graph_name, "value", "")
        if isinstance(quad.subject, ox.NamedNode):
            by_subject[(quad.subject.value, graph)][quad.predicate.value].append(quad.object)
    tables = {t.iri: t for t in vocabulary.tables.values()}
    plain: dict[str, dict[str, dict[str, list[str]]]] = defaultdict(dict)
    features: dict[tuple[str, str], list[tuple[str, str, dict[str, list[ox.Literal]], bool]]] = defaultdict(list)
    for (subject, graph), values in sorted(by_subject.items()):
        for type_ in values.get(RDF_TYPE, ()):
            if type_.value in tables:
                _plain_row(plain[tables[type_.value].table], subject, tables[type_.value], values)
            elif type_.value in vocabulary.kinds:
                _feature_row(features, graph, vocabulary.kinds[type_.value], values)
    return _Rows(plain, features)


def _plain_row(
    rows: dict[str, dict[str, list[str]]], subject: str, table: Table, values: Mapping[str, list[Any]]
) -> None:
    row = rows.setdefault(subject, {})
    for column in table.columns:
        for value in values.get(column.path, ()):
            text = (
                key_of(value.value) if isinstance(value, ox.NamedNode) and value.value.startswith(ID) else value.value
            )
            if text not in row.setdefault(column.name, []):
                row[column.name] = sorted([*row[column.name], text])


def _feature_row(
    features: dict[tuple[str, str], list[Any]], graph: str, kind: Table, values: Mapping[str, list[Any]]
) -> None:
    owner, name = values.get(VOCAB + "of"), values.get(VOCAB + "featureName")
    if owner and name:
        source = key_of(graph) if graph.startswith(ID + "sources/") else ""
        cells = {c.name: sorted(values[c.path], key=lambda o: str(o.value)) for c in kind.columns if values.get(c.path)}
        absent = any(o.value == "true" for o in values.get(VOCAB + "knownAbsent", ()))
        features[(key_of(owner[0].value), name[0].value)].append((source, kind.iri, cells, absent))


def _record(row: Mapping[str, list[str]], cls: type[T]) -> T:
    many = OF_VEHICLES if cls is Vehicle else MANY
    plain: dict[str, str | list[str]] = {many[k]: v for k, v in row.items() if k in many}
    plain |= {ALIAS.get(k, k.replace(" ", "_")): _chosen(v) for k, v in row.items() if k not in many}
    return msgspec.convert(plain, cls, strict=False)


def _chosen(texts: list[str]) -> str:
    """One of several texts for one cell (the reader has reported them): yes where any says yes, which is the safer."""
    return "true" if "true" in texts else texts[0]


def _all(rows: _Rows, table: str, cls: type[T]) -> list[T]:
    return [_record(row, cls) for _, row in sorted(rows.tables.get(table, {}).items())]


def _grouped(records: Iterable[T], key: Any) -> dict[str, tuple[T, ...]]:
    groups: dict[str, list[T]] = defaultdict(list)
    for record in records:
        groups[key(record)].append(record)
    return {k: tuple(groups[k]) for k in sorted(groups)}


def _raw_grouped(rows: _Rows, table: str, column: str) -> dict[str, list[dict[str, list[str]]]]:
    groups: dict[str, list[dict[str, list[str]]]] = defaultdict(list)
    for _, row in sorted(rows.tables.get(table, {}).items()):
        groups[row[column][0]].append(row)
    return dict(groups)


def _base_value(row: Mapping[str, list[str]], column: str) -> float | None:
    from knockon.graph.model.limits import read_limit  # a prepared catalogue reads no cells

    return read_limit(row[column][0]).value if row.get(column) else None


def _figure(row: dict[str, list[str]], terms: list[dict[str, list[str]]]) -> Figure:
    plain = {k: v for k, v in row.items() if k not in ("low", "high")}
    figure = _record(plain, Figure)
    read = (replace(_record(t, FigureTerm), assumed_value=_base_value(t, "assumed")) for t in terms)
    ordered = sorted(read, key=lambda t: (t.order, t.position, t.dimension))
    return replace(figure, low=_base_value(row, "low"), high=_base_value(row, "high"), terms=tuple(ordered))


def _layouts(rows: _Rows) -> dict[str, Layout]:
    by = {
        t: _raw_grouped(rows, t, "layout")
        for t in (
            "layout_uses",
            "arrangements",
            "positions",
            "joints",
            "figures",
            "figure_terms",
            "consumables",
            "in_the_way",
            "layout_words",
        )
    }
    layouts = {}
    for row in _raw_grouped(rows, "layouts", "layout").values():
        name = row[0]["layout"][0]
        terms: dict[str, list[dict[str, list[str]]]] = defaultdict(list)
        for term in by["figure_terms"].get(name, ()):
            terms[term["figure"][0]].append(term)
        positions = [_record(r, Position) for r in by["positions"].get(name, ())]
        place = {p.position: (p.order, p.position) for p in positions}
        joints = [_record(r, Joint) for r in by["joints"].get(name, ())]
        joints.sort(key=lambda j: (max(place.get(e.position, (0, "")) for e in j.ends), j.joint))
        figures = [_figure(r, terms[r["figure"][0]]) for r in by["figures"].get(name, ())]
        layouts[name] = Layout(
            layout=name,
            title=row[0].get("title", [""])[0],
            choices=_choices(by["arrangements"].get(name, ())),
            positions=tuple(sorted(positions, key=lambda p: place[p.position])),
            joints=tuple(joints),
            figures=tuple(f for f in figures if f.is_ != TOLD),
            told=tuple(f for f in figures if f.is_ == TOLD),
            consumables=tuple(_record(r, Consumable) for r in by["consumables"].get(name, ())),
            in_the_way=tuple(_record(r, InTheWay) for r in by["in_the_way"].get(name, ())),
            uses=tuple(_record(r, LayoutUse) for r in by["layout_uses"].get(name, ())),
            words=tuple(_record(r, LayoutWord) for r in by["layout_words"].get(name, ())),
        )
    return layouts


def _choices(rows: Iterable[dict[str, list[str]]]) -> tuple[Choice, ...]:
    found: dict[str, dict[str, str]] = defaultdict(dict)
    for row in rows:
        found[row.get("choice", [""])[0]][row["arrangement"][0]] = row.get("title", [""])[0]
    named = {name: tuple(sorted(titles)) for name, titles in found.items()}
    return tuple(Choice(name, named[name], tuple(found[name][a] for a in named[name])) for name in sorted(found))


Named = TypeVar("Named", Item, Fitting)


def _of_set(record: Named, members: Mapping[str, tuple[SetMember, ...]]) -> Named:
    """An item or a fitting whose part is a set's member: as of the set, with the member beside it."""
    meant = members.get(record.part, ())
    return replace(record, part=meant[0].set, member=record.part) if meant else record


def _vehicles(
    rows: _Rows,
    items: Mapping[str, Item],
    members: Mapping[str, tuple[SetMember, ...]],
    set_aside: tuple[SetAside, ...],
) -> dict[str, Vehicle]:
    bare = {v.vehicle: v for v in _all(rows, "vehicles", Vehicle)}
    raw = _raw_grouped(rows, "fittings", "vehicle")
    own = with_unread_fittings(
        {k: [_of_set(_record(r, Fitting), members) for r in v] for k, v in raw.items()}, set_aside
    )

    def fittings(name: str, seen: tuple[str, ...]) -> dict[tuple[str, str], Fitting]:
        vehicle = bare.get(name)
        if vehicle is None or name in seen:
            return {}
        like = fittings(vehicle.like, (*seen, name)) if vehicle.like else {}
        found = {k: replace(f, taken_from=f.taken_from or vehicle.like) for k, f in like.items()}
        if vehicle.like in bare and not bare[vehicle.like].as_made:  # a particular thing is on one vehicle only
            found = {k: _another_of_it(f, items) for k, f in found.items()}
        for fitting in own.get(name, ()):
            if not fitting.side:  # a row for both sides replaces both
                found = {k: v for k, v in found.items() if k[0] != fitting.position}
            found[(fitting.position, fitting.side)] = fitting
        return found

    return {n: replace(v, fittings=tuple(f for _, f in sorted(fittings(n, ()).items()))) for n, v in bare.items()}


def _another_of_it(fitting: Fitting, items: Mapping[str, Item]) -> Fitting:
    """What stands where a particular thing does on another vehicle that is like it: one of its number."""
    item = items.get(fitting.item)
    if item is None:
        return fitting
    return replace(fitting, item="", part=fitting.part or item.part, member=fitting.member or item.member)


def _kits(rows: _Rows) -> dict[str, Kit]:
    lines = {k: tuple(_record(r, KitLine) for r in v) for k, v in _raw_grouped(rows, "kit_lines", "kit").items()}
    kits = _all(rows, "kits", Kit)
    return {k.kit: replace(k, lines=lines.get(k.kit, ())) for k in kits}


def _features(rows: _Rows, vocabulary: Vocabulary, sources: Mapping[str, Source]) -> dict[str, dict[str, Feature]]:
    found: dict[str, dict[str, Feature]] = defaultdict(dict)
    usual: dict[str, frozenset[str]] = defaultdict(frozenset)
    usual |= {d: frozenset(c.name for c in columns if c.usual) for d, columns in vocabulary.components.items()}
    for (thing, name), stated in sorted(rows.features.items()):
        dimensions: dict[str, list[Statement]] = defaultdict(list)
        absent: list[Said] = []
        there: list[Said] = []
        for source, kind, cells, is_absent in sorted(stated, key=lambda s: (s[0], s[1])):
            rank = sources[source].rank if source in sources else 6
            (absent if is_absent else there).append(Said(source, rank))
            datatypes = {c.name: c.datatype for c in vocabulary.kinds[kind].columns}
            for dimension, literals in cells.items():
                for value in literals:
                    datatype = datatypes[dimension]
                    for part, statement in _statements(value.value, datatype, usual[datatype], source, rank):
                        dimensions[dimension + ("." + part if part else "")].append(statement)
        sizes = {d: tuple(v) for d, v in sorted(dimensions.items())}
        found[thing][name] = Feature(name, min(s[1] for s in stated), sizes, tuple(absent), tuple(there))
    return dict(found)


def _statements(
    written: str, datatype: str, usual: frozenset[str], source: str, rank: int
) -> Iterable[tuple[str, Statement]]:
    """What a cell says; of a part that has a usual code it says nothing where it is not written."""
    from knockon.graph.quantity import read_cell  # a prepared catalogue reads no cells

    readings = read_cell(written, datatype)
    says_something = any(not q.unknown for q in readings.values())
    for part, q in readings.items():
        if q.unknown and says_something and part in usual:
            continue
        unknown = q.unknown or q.not_applicable
        yield (
            part,
            Statement(
                written=written,
                source=source,
                rank=rank,
                low=q.low,
                high=q.high,
                nominal=q.nominal,
                code=q.code,
                unknown=unknown,
            ),
        )
