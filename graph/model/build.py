"""The catalogue built from the quads of the graph, independent of the order of statements."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import Any, TypeVar

import msgspec
import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.model.bound import bind, with_readings
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import Drawn, members_by_name
from knockon.graph.model.gathered import FromQuads, Gathered, Stated, record
from knockon.graph.model.layout_words import LayoutWord
from knockon.graph.model.layouts.called import called
from knockon.graph.model.layouts.mechanism import (
    Choice,
    Consumable,
    Figure,
    FigureTerm,
    HowToMeasure,
    InTheWay,
    Joint,
    Layout,
    LayoutUse,
    Position,
)
from knockon.graph.model.layouts.unread import with_unread_fittings, with_unread_members
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.things import (
    Claim,
    Feature,
    Fitting,
    Item,
    Kit,
    KitLine,
    Note,
    Offer,
    OnShelf,
    Part,
    PostageStep,
    Said,
    SetAside,
    SetMember,
    Source,
    Statement,
    Supplier,
    Vehicle,
)
from knockon.graph.model.work import Step, Tightening, WearLimit

TOLD = "told"
T = TypeVar("T")


def build_catalogue(
    quads: Iterable[ox.Quad], vocabulary: Vocabulary, set_aside: tuple[SetAside, ...] = ()
) -> Catalogue:
    """Build the catalogue from quads; sizes that cannot be read count as unknown (the reader has reported them), and so
    does what stands where a row of ``set_aside`` should have said it."""
    return catalogue_of(FromQuads(quads, vocabulary), vocabulary, set_aside)


class Recorded(msgspec.Struct):
    """What is recorded of things themselves, before drawings: their ``own`` features, the things that have readings
    on the item, and of those that take features over from others these (``bases``)."""

    own: Mapping[str, Mapping[str, Feature]] = msgspec.field(default_factory=dict)
    on_item: frozenset[str] = frozenset()
    bases: dict[str, tuple[str, ...]] = msgspec.field(default_factory=dict)


def catalogue_of(
    rows: Gathered, vocabulary: Vocabulary, set_aside: tuple[SetAside, ...] = (), recorded: Recorded | None = None
) -> Catalogue:
    """The same from rows that were gathered, from quads or straight from tables; ``recorded`` is filled."""
    sources = {s.source: s for s in rows.records("sources", Source)}
    parts = paired({p.part: p for p in rows.records("parts", Part)})
    layouts = _layouts(rows, vocabulary)
    members = with_unread_members(
        grouped(rows.records("set_members", SetMember), lambda m: m.set), set_aside, parts, layouts
    )
    named = members_by_name(members)
    items = {i.item: _of_set(i, named) for i in rows.records("items", Item)}
    stated = _raw_grouped(rows, "set_checks", "set")
    catalogue = Catalogue(
        vocabulary=vocabulary,
        sources=sources,
        parts=parts,
        claims=tuple(rows.records("claims", Claim)),
        set_members=members,
        set_checks={k: tuple(r["figure"][0] for r in v if r.get("figure")) for k, v in stated.items()},
        set_joints={k: tuple(r["joint"][0] for r in v if r.get("joint")) for k, v in stated.items()},
        layouts=layouts,
        vehicles=_vehicles(rows, items, named, set_aside),
        items=items,
        kits=_kits(rows),
        suppliers=_suppliers(rows),
        offers=grouped(rows.records("offers", Offer), lambda o: o.part),
        shelf=tuple(rows.records("shelf", OnShelf)),
        notes={n.note: n for n in rows.records("notes", Note)},
        features=features_of(rows, vocabulary, sources),
        set_aside=set_aside,
    )
    bound, unbound = bind(catalogue.things, catalogue.notes.values())
    drawings = Drawn(bound.features, parts, bound.items, members, bound.vehicles)
    drawn = drawings.all()
    if recorded is not None:
        recorded.own, recorded.on_item = bound.features, with_readings(catalogue.features)
        recorded.bases = {thing: bases for thing in drawn if (bases := drawings.bases(thing))}
    return replace(catalogue, vehicles=dict(bound.vehicles), items=dict(bound.items), features=drawn, unbound=unbound)


def paired(parts: dict[str, Part]) -> dict[str, Part]:
    """The parts, each that another names as its mirror naming it as well."""
    back = {p.mirror_of: n for n, p in sorted(parts.items(), reverse=True) if p.mirror_of in parts}
    return {n: replace(p, mirror_of=back[n]) if n in back and not p.mirror_of else p for n, p in parts.items()}


def grouped(records: Iterable[T], key: Any) -> dict[str, tuple[T, ...]]:
    """Records by key, the keys sorted."""
    groups: dict[str, list[T]] = defaultdict(list)
    for one in records:
        groups[key(one)].append(one)
    return {k: tuple(groups[k]) for k in sorted(groups)}


def _raw_grouped(rows: Gathered, table: str, column: str) -> dict[str, list[dict[str, list[str]]]]:
    groups: dict[str, list[dict[str, list[str]]]] = defaultdict(list)
    for row in rows.rows(table):
        groups[row[column][0]].append(row)
    return dict(groups)


def _base_value(row: Mapping[str, list[str]], column: str, unit: str = "") -> float | None:
    from knockon.graph.model.limits import read_limit_in  # a prepared catalogue reads no cells

    return read_limit_in(row[column][0], unit).value if row.get(column) else None


def _result_unit(figure: Figure) -> str:
    """The unit of what a figure comes to: that of its formula, else its own."""
    from knockon.graph.formulas import formula  # a prepared catalogue has its limits

    return formula(figure.formula).unit if figure.formula else figure.unit


def _figure(row: dict[str, list[str]], terms: list[dict[str, list[str]]]) -> Figure:
    plain = {k: v for k, v in row.items() if k not in ("low", "high", "remark within")}
    figure = record(plain, Figure)
    read = (replace(record(t, FigureTerm), assumed_value=_base_value(t, "assumed")) for t in terms)
    ordered = sorted(read, key=lambda t: (t.order, t.position, t.dimension))
    unit = _result_unit(figure)
    low, high, room = (_base_value(row, column, unit) for column in ("low", "high", "remark within"))
    return replace(figure, low=low, high=high, remark_within=room, terms=tuple(ordered))


def _tightening(row: Mapping[str, list[str]]) -> Tightening:
    low, high = _base_value(row, "low"), _base_value(row, "high")
    given = {**row, "low": [str(low)], "high": [str(low if high is None else high)]}
    return record(given, Tightening)


def _wear_limit(row: Mapping[str, list[str]]) -> WearLimit:
    plain = {k: v for k, v in row.items() if k not in ("low", "high")}
    return replace(record(plain, WearLimit), low=_base_value(row, "low"), high=_base_value(row, "high"))


def _called(p: Position, vocabulary: Vocabulary) -> Position:
    return replace(p, also_called=called(p.position, p.part_type, p.axle, p.also_called, vocabulary))


def _layouts(rows: Gathered, vocabulary: Vocabulary) -> dict[str, Layout]:
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
            "how_to_measure",
            "steps",
            "tightening",
            "wear_limits",
        )
    }
    layouts = {}
    for row in _raw_grouped(rows, "layouts", "layout").values():
        name = row[0]["layout"][0]
        terms: dict[str, list[dict[str, list[str]]]] = defaultdict(list)
        for term in by["figure_terms"].get(name, ()):
            terms[term["figure"][0]].append(term)
        positions = [_called(record(r, Position), vocabulary) for r in by["positions"].get(name, ())]
        place = {p.position: (p.order, p.position) for p in positions}
        joints = [record(r, Joint) for r in by["joints"].get(name, ())]
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
            consumables=tuple(record(r, Consumable) for r in by["consumables"].get(name, ())),
            in_the_way=tuple(record(r, InTheWay) for r in by["in_the_way"].get(name, ())),
            uses=tuple(record(r, LayoutUse) for r in by["layout_uses"].get(name, ())),
            words=tuple(record(r, LayoutWord) for r in by["layout_words"].get(name, ())),
            how_to_measure=tuple(record(r, HowToMeasure) for r in by["how_to_measure"].get(name, ())),
            steps=tuple(sorted((record(r, Step) for r in by["steps"].get(name, ())), key=lambda s: (s.order, s.step))),
            tightening=tuple(_tightening(r) for r in by["tightening"].get(name, ())),
            wear_limits=tuple(_wear_limit(r) for r in by["wear_limits"].get(name, ())),
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
    rows: Gathered,
    items: Mapping[str, Item],
    members: Mapping[str, tuple[SetMember, ...]],
    set_aside: tuple[SetAside, ...],
) -> dict[str, Vehicle]:
    bare = {v.vehicle: v for v in rows.records("vehicles", Vehicle)}
    raw = _raw_grouped(rows, "fittings", "vehicle")
    own = with_unread_fittings(
        {k: [_of_set(record(r, Fitting), members) for r in v] for k, v in raw.items()}, set_aside
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


def _kits(rows: Gathered) -> dict[str, Kit]:
    lines = {k: tuple(record(r, KitLine) for r in v) for k, v in _raw_grouped(rows, "kit_lines", "kit").items()}
    kits = rows.records("kits", Kit)
    return {k.kit: replace(k, lines=lines.get(k.kit, ())) for k in kits}


def _suppliers(rows: Gathered) -> dict[str, Supplier]:
    steps = grouped(rows.records("postage_steps", PostageStep), lambda s: s.supplier)
    suppliers = rows.records("suppliers", Supplier)
    return {
        s.supplier: replace(s, steps=tuple(sorted(steps.get(s.supplier, ()), key=lambda step: step.up_to_kg)))
        for s in suppliers
    }


def features_of(rows: Gathered, vocabulary: Vocabulary, sources: Mapping[str, Source]) -> dict[str, dict[str, Feature]]:
    """The features of each thing as its rows say them."""
    found: dict[str, dict[str, Feature]] = {}
    ranks = {name: source.rank for name, source in sources.items()}
    made: dict[tuple[str, tuple[Stated, ...]], Feature] = {}  # many things have a feature in the very same words
    reader = _Sizes(vocabulary)
    for thing, name, stated in rows.features():
        feature = made.get((name, stated))
        if feature is None:
            feature = made[(name, stated)] = reader.feature(name, stated, ranks)
        found.setdefault(thing, {})[name] = feature
    return found


class _Sizes:
    """Reads the sizes of features; what one source writes in one column is read once."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self._datatypes = {iri: {c.name: c.datatype for c in kind.columns} for iri, kind in vocabulary.kinds.items()}
        usual = {d: frozenset(c.name for c in columns if c.usual) for d, columns in vocabulary.components.items()}
        self._usual = usual
        self._read: dict[tuple[str, str, str], tuple[tuple[str, Statement], ...]] = {}

    def feature(self, name: str, stated: tuple[Stated, ...], ranks: Mapping[str, int]) -> Feature:
        """A feature from what its sources say."""
        dimensions: dict[str, list[Statement]] = defaultdict(list)
        absent: list[Said] = []
        there: list[Said] = []
        for source, kind, cells, is_absent in stated:
            rank = ranks.get(source, 6)
            (absent if is_absent else there).append(Said(source, rank))
            for dimension, texts in cells:
                for written in texts:
                    for part, statement in self._statements(written, self._datatypes[kind][dimension], source, rank):
                        dimensions[dimension + ("." + part if part else "")].append(statement)
        sizes = {d: tuple(v) for d, v in sorted(dimensions.items())}
        return Feature(name, min(s[1] for s in stated), sizes, tuple(absent), tuple(there))

    def _statements(self, written: str, datatype: str, source: str, rank: int) -> tuple[tuple[str, Statement], ...]:
        key = (written, datatype, source)
        if key not in self._read:
            usual = self._usual.get(datatype, frozenset())
            self._read[key] = tuple(_statements(written, datatype, usual, source, rank))
        return self._read[key]


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
