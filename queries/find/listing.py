"""Lists: what of one sort is in the records, one line a thing, with filters."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from shlex import quote

import msgspec

from knockon.graph.model.catalogue import Catalogue, name_meant
from knockon.graph.model.layouts.called import called
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.layouts.mechanism import Choice
from knockon.graph.model.layouts.ready_made import ReadyMade, ready_made
from knockon.graph.model.nearest import Others, meanings, nearest, word_key
from knockon.graph.model.things import Part
from knockon.queries.answers import Answer
from knockon.queries.as_typed import RequestError, fold
from knockon.queries.fits.checking.candidates import new_parts

NO_OTHERS: Others = {}
TYPE, AT, FROM, LAYOUT = "type", "at", "from", "layout"


class Listed(msgspec.Struct, frozen=True):
    """One thing: its name, its title, and what it is in a few words each."""

    name: str
    title: str
    about: tuple[str, ...]
    source: str = ""


class ListAnswer(Answer, frozen=True):
    """The things of a sort that pass the filters, in the order of the records; ``of``: how many there are (of the
    layout that was asked for). ``filters`` as they were asked, in words. ``nearest``: of an empty list, the part
    types whose words are like those that were asked."""

    sort: str
    filters: tuple[str, ...]
    of: int
    listed: tuple[Listed, ...]
    nearest: tuple[str, ...] = ()


class Filters(msgspec.Struct, frozen=True):
    """What a list is asked for: a part type (or a narrower one), a position, a source, a layout, words that stand in
    it."""

    type: str = ""
    at: str = ""
    from_: str = ""
    layout: str = ""
    words: tuple[str, ...] = ()

    def said(self) -> tuple[str, ...]:
        """The filters in words."""
        named = ((TYPE, self.type), (AT, self.at), (FROM, self.from_), (LAYOUT, self.layout))
        return (*(f"{name} {value}" for name, value in named if value), *self.words)


EVERYTHING = Filters()


class _Entry(msgspec.Struct, frozen=True):
    """One thing with what the filters ask about; ``words``: what else may be searched in it."""

    listed: Listed
    types: tuple[str, ...] = ()
    positions: tuple[str, ...] = ()
    layouts: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    hidden: bool = False
    """Whether it is listed only where its layout is asked for."""


OTHER_SORTS = {"car": "vehicles", "van": "vehicles", "model": "vehicles", "type": "part-types", "place": "positions",
               "seller": "suppliers", "shop": "suppliers", "book": "sources"}  # fmt: skip
"""Other words for what can be listed."""

Made = Callable[[Catalogue], Iterator[_Entry]]


class _Sort(msgspec.Struct, frozen=True):
    made: Made
    filters: frozenset[str] = msgspec.field(default_factory=frozenset)


def list_things(catalogue: Catalogue, sort: str, filters: Filters = EVERYTHING) -> ListAnswer:
    """The things of a sort. Raises RequestError for a sort that there is not, or a filter that says nothing of it;
    UnknownNameError for a filter's name that is not in the records."""
    if sort not in SORTS:
        _refuse_name(catalogue, sort)
        near = [s for s in SORTS if s in (f"{sort}s", OTHER_SORTS.get(sort.removesuffix("s")))] or nearest(sort, SORTS)
        raise RequestError(f"{sort!r} is nothing to list. Write {' or '.join(near or SORTS)}")
    known = _known(catalogue, sort, filters)
    entries = list(SORTS[sort].made(catalogue))
    of = [e for e in entries if _passes(catalogue, e, Filters(layout=known.layout))]
    listed = tuple(e.listed for e in of if _passes(catalogue, e, known))
    near = () if listed else _did_you_mean(catalogue, sort, known.words)
    return ListAnswer(sort=sort, filters=known.said(), of=len(of), listed=listed, nearest=near)


def _known(catalogue: Catalogue, sort: str, filters: Filters) -> Filters:
    """The filters under the names that the records use."""
    given = {TYPE: filters.type, AT: filters.at, FROM: filters.from_, LAYOUT: filters.layout}
    for name, value in given.items():
        if value and name not in SORTS[sort].filters:
            can = [s for s, of in SORTS.items() if name in of.filters]
            raise RequestError(f"--{name} does not filter {sort}. It filters {', '.join(can)}")
    positions = _positions_called(catalogue)
    return Filters(
        _named("part type", filters.type, catalogue.vocabulary.part_types, catalogue.vocabulary.others("PartType")),
        _named("position", filters.at, positions, positions),
        _named("source", filters.from_, catalogue.sources),
        _named("layout", filters.layout, (*catalogue.layouts, *ready_made())),
        filters.words,
    )


def _named(sort: str, name: str, known: Iterable[str], others: Others = NO_OTHERS) -> str:
    """The name of the records that was meant; blank where none was. Raises UnknownNameError."""
    return name_meant(sort, name, known, others) if name else ""


def _positions_called(catalogue: Catalogue) -> dict[str, tuple[str, ...]]:
    """Every position of the records' layouts, then of the ready-made ones, with what else it is called."""
    found: dict[str, tuple[str, ...]] = {}
    for layout in catalogue.layouts.values():
        for p in layout.positions:
            found[p.position] = tuple(dict.fromkeys((*found.get(p.position, ()), *p.also_called)))
    for made in ready_made().values():
        for _, row in made.tables["positions"]:
            own = tuple(w.strip() for w in row.get("also called", "").split(";") if w.strip())
            found.setdefault(row["position"], called(row["position"], row["part type"], "", own, catalogue.vocabulary))
    return found


def _refuse_name(catalogue: Catalogue, name: str) -> None:
    """Raise RequestError, with what to write, where a part type or a position is typed in place of what can be
    listed."""
    others = catalogue.vocabulary.others("PartType")
    types = [t for t in catalogue.vocabulary.part_types if word_key(t) == word_key(name)] or meanings(name, others)
    if types:
        raise RequestError(f"{name!r} is a part type. Write {_ways(TYPE, types)}")
    at = _positions_called(catalogue)
    positions = [p for p in at if word_key(p) == word_key(name)] or meanings(name, at)
    if positions:
        raise RequestError(f"{name!r} is a position. Write {_ways(AT, positions)}")


def _ways(option: str, names: Iterable[str]) -> str:
    return " or ".join(f"knockon list parts --{option} {quote(name)}" for name in names)


def _passes(catalogue: Catalogue, entry: _Entry, filters: Filters) -> bool:
    if filters.type and not any(catalogue.vocabulary.is_a(t, filters.type) for t in entry.types):
        return False
    if filters.layout not in ("", *entry.layouts) or (entry.hidden and not filters.layout):
        return False
    if filters.at not in ("", *entry.positions) or filters.from_ not in ("", *entry.sources):
        return False
    listed = entry.listed
    text = fold(" ".join((listed.name, listed.title, *listed.about, listed.source, *entry.words)))
    called = {word_key(w) for t in entry.types for w in catalogue.vocabulary.words_of_type(t)}
    return all(fold(word) in text or word_key(word) in called for word in filters.words)


def _did_you_mean(catalogue: Catalogue, sort: str, words: Iterable[str]) -> tuple[str, ...]:
    """The part types nearest to the words of a list that holds nothing."""
    if TYPE not in SORTS[sort].filters:
        return ()
    others = {t: known.other for t, known in catalogue.vocabulary.part_types.items()}
    return tuple(dict.fromkeys(t for word in words for t in nearest(word, others, others=others)))[:3]


# ---- the sorts


def _vehicles(catalogue: Catalogue) -> Iterator[_Entry]:
    for v in catalogue.vehicles.values():
        about = ("as made" if v.as_made else "as found", v.layout, *v.arrangements)
        about += (f"made as {v.made_as}",) if v.made_as else ()
        about += (f"like {v.like}",) if v.like and v.like != v.made_as else ()
        listed = Listed(v.vehicle, v.title, about, v.source)
        yield _Entry(listed, layouts=(v.layout,), sources=(v.source,), words=(v.owner,))


def _layouts(catalogue: Catalogue) -> Iterator[_Entry]:
    for layout in catalogue.layouts.values():
        about = (f"{len(layout.positions)} positions", f"{len(layout.joints)} joints", *map(_choice, layout.choices))
        yield _Entry(Listed(layout.layout, layout.title, about), layouts=(layout.layout,))
    for made in ready_made().values():
        _, row = made.tables["layouts"][0]
        axle = f"{made.axle} axle" if made.axle else "whole vehicle"
        sizes = f"{len(made.positions)} positions", f"{len(made.tables['joints'])} joints"
        about = ("ready-made", axle, *sizes, *map(_choice, _choices_of(made)))
        yield _Entry(Listed(made.name, row.get("title", ""), about), layouts=(made.name,))


def _choice(choice: Choice) -> str:
    return f"{choice.choice or 'arrangement'}: {' or '.join(choice.arrangements)}"


def _choices_of(made: ReadyMade) -> list[Choice]:
    found: dict[str, list[str]] = {}
    for _, row in made.tables["arrangements"]:
        found.setdefault(row.get("choice", ""), []).append(row["arrangement"])
    return [Choice(name, tuple(sorted(arrangements))) for name, arrangements in sorted(found.items())]


def _arrangements(catalogue: Catalogue) -> Iterator[_Entry]:
    for layout in catalogue.layouts.values():
        for choice in layout.choices:
            titles = dict(zip(choice.arrangements, choice.titles, strict=False))
            for name in choice.arrangements:
                about = (choice.choice, layout.layout) if choice.choice else (layout.layout,)
                yield _Entry(Listed(name, titles.get(name, ""), about), layouts=(layout.layout,))
    for made in ready_made().values():
        for _, row in made.tables["arrangements"]:
            listed = Listed(row["arrangement"], row.get("title", ""), (row.get("choice", ""), made.name, "ready-made"))
            yield _Entry(listed, layouts=(made.name,), hidden=True)


def _positions(catalogue: Catalogue) -> Iterator[_Entry]:
    for layout in catalogue.layouts.values():
        for p in layout.positions:
            cells = {"part type": p.part_type, "quantity": str(p.quantity), "level": p.level, "need": p.need}
            listed = _position(p.position, {**cells, "arrangement": p.arrangement}, layout.layout)
            yield _Entry(listed, (p.part_type,), (p.position,), (layout.layout,), words=(p.group,))
    for made in ready_made().values():
        for _, row in made.tables["positions"]:
            listed = _position(row["position"], row, f"{made.name} (ready-made)")
            yield _Entry(listed, (row["part type"],), (row["position"],), (made.name,), hidden=True)


def _position(name: str, cells: Mapping[str, str], layout: str) -> Listed:
    each = "each side" if cells["level"] == "corner" else "the vehicle"
    about = [f"{cells['quantity']} {cells['part type']}, {each}", layout]
    about += [f"{cells['arrangement']} arrangement"] if cells.get("arrangement") else []
    about += [cells["need"]] if cells.get("need") == "optional" else []
    return Listed(name, "", tuple(about))


def _joints(catalogue: Catalogue) -> Iterator[_Entry]:
    for layout in catalogue.layouts.values():
        for j in layout.joints:
            ends = tuple((end.position, end.feature) for end in j.ends)
            yield _joint(j.joint, ends, j.rule, j.arrangement, layout.layout)
    for made in ready_made().values():
        for _, row in made.tables["joints"]:
            ends = (row["position"], row["feature"]), (row["other position"], row["other feature"])
            yield _joint(row["joint"], ends, row["rule"], row["arrangement"], made.name, hidden=True)


def _joint(
    name: str, ends: Iterable[tuple[str, str]], rule: str, arrangement: str, layout: str, hidden: bool = False
) -> _Entry:
    ends = tuple(ends)
    where = " with ".join(f"{position}, {feature}" for position, feature in ends)
    listed = Listed(name, "", (where, rule, *((f"{arrangement} arrangement",) if arrangement else ())))
    return _Entry(listed, positions=tuple(p for p, _ in ends), layouts=(layout,), hidden=hidden)


def _figures(catalogue: Catalogue) -> Iterator[_Entry]:
    for layout in catalogue.layouts.values():
        for f in (*layout.figures, *layout.told):
            yield _figure(f.figure, f.is_, [t.position for t in f.terms], f.source, layout.layout)
    for made in ready_made().values():
        terms = [row for _, row in made.tables["figure_terms"]]
        for _, row in made.tables["figures"]:
            through = [t["position"] for t in terms if t["figure"] == row["figure"]]
            yield _figure(row["figure"], row["is"], through, row["source"], made.name, hidden=True)


def _figure(name: str, is_: str, through: Iterable[str], source: str, layout: str, hidden: bool = False) -> _Entry:
    positions = tuple(dict.fromkeys(through))
    listed = Listed(name, "", (is_, ", ".join(positions)))
    return _Entry(listed, positions=positions, layouts=(layout,), words=(source,), hidden=hidden)


def _parts(catalogue: Catalogue) -> Iterator[_Entry]:
    stands = _where_parts_stand(catalogue)
    sources = _sources_of_things(catalogue)
    for part in catalogue.parts.values():
        about = [part.part_type, *([f"{part.hand} hand"] if part.hand != "either" else [])]
        about += ["one use"] if part.one_use else []
        about += [part.maker] if part.maker else []
        yield _Entry(
            Listed(part.part, part.name, tuple(about), part.source),
            (part.part_type,),
            tuple(p for _, p in stands.get(part.part, ())),
            tuple(layout for layout, _ in stands.get(part.part, ())),
            (part.source, *sources.get(part.part, ())),
            (part.as_written,),
        )


def _where_parts_stand(catalogue: Catalogue) -> dict[str, list[tuple[str, str]]]:
    """(layout, position) of every place that a part may stand in, by its number."""
    found: dict[str, list[tuple[str, str]]] = {}
    for layout in catalogue.layouts.values():
        places = Places(layout)
        for place in places.all:
            for candidate in new_parts(catalogue, places, place):
                found.setdefault(candidate.number, []).append((layout.layout, place.position))
    return found


def _sources_of_things(catalogue: Catalogue) -> dict[str, set[str]]:
    """Who states a size of each thing."""
    return {
        thing: {s.source for f in features.values() for said in f.dimensions.values() for s in said}
        for thing, features in catalogue.features.items()
    }


def _part_types(catalogue: Catalogue) -> Iterator[_Entry]:
    counts: dict[str, int] = {}
    for part in catalogue.parts.values():
        counts[part.part_type] = counts.get(part.part_type, 0) + 1
    for name in catalogue.vocabulary.part_types:
        about = (f"{counts[name]} parts",) if counts.get(name, 0) > 1 else ("1 part",) if name in counts else ()
        yield _Entry(Listed(name, "", about), (name,))


def _items(catalogue: Catalogue) -> Iterator[_Entry]:
    for i in catalogue.items.values():
        part: Part | None = catalogue.parts.get(i.part)
        about = [i.part or "no number recorded", *([f"after work on {i.after_work_on}"] if i.after_work_on else [])]
        about += [f"{i.side} {i.position} of {i.vehicle}".strip()] if i.vehicle else []
        types = (part.part_type,) if part else ()
        at = (i.position,) if i.position else ()
        yield _Entry(Listed(i.item, i.title, tuple(about), i.source), types, at, (), (i.source,))


def _kits(catalogue: Catalogue) -> Iterator[_Entry]:
    for k in catalogue.kits.values():
        lines = f"{len(k.lines)} {'line' if len(k.lines) == 1 else 'lines'}"
        about = [
            k.is_,
            lines,
            *([k.supplier] if k.supplier else []),
            *([f"{k.price:.2f}"] if k.price is not None else []),
        ]
        about += [f"not itemised: {k.not_itemised}"] if k.not_itemised else []
        types = tuple(catalogue.parts[line.part].part_type for line in k.lines if line.part in catalogue.parts)
        words = tuple(line.part for line in k.lines)
        yield _Entry(
            listed=Listed(k.kit, k.title, tuple(about), k.source), types=types, sources=(k.source,), words=words
        )


def _suppliers(catalogue: Catalogue) -> Iterator[_Entry]:
    offers: dict[str, int] = {}
    for offer in (o for found in catalogue.offers.values() for o in found):
        offers[offer.supplier] = offers.get(offer.supplier, 0) + 1
    for s in catalogue.suppliers.values():
        count = offers.get(s.supplier, 0)
        postage = [step.postage for step in s.steps] or ([s.postage] if s.postage is not None else [])
        span = " to ".join(f"{amount:.2f}" for amount in dict.fromkeys((min(postage), max(postage)))) if postage else ""
        about = (f"{count} {'offer' if count == 1 else 'offers'}", *([f"postage {span}"] if span else []))
        yield _Entry(Listed(s.supplier, s.title, about))


def _sources(catalogue: Catalogue) -> Iterator[_Entry]:
    for s in catalogue.sources.values():
        about = tuple(x for x in (s.standing, s.member, s.date, s.licence) if x)
        yield _Entry(Listed(s.source, s.title, about), sources=(s.source,))


def _notes(catalogue: Catalogue) -> Iterator[_Entry]:
    """Without their texts, in which a tightening value may stand: ``knockon note list`` tells those."""
    for n in catalogue.notes.values():
        about = tuple(x for x in (n.date, n.member, n.vehicle, ", ".join(n.parts), n.joint) if x)
        types = tuple(catalogue.parts[p].part_type for p in n.parts if p in catalogue.parts)
        yield _Entry(
            listed=Listed(n.note, n.outcome, about, n.source),
            types=types,
            sources=(n.source,),
            words=(n.text, n.condition),
        )


SORTS: Mapping[str, _Sort] = {
    "vehicles": _Sort(_vehicles, frozenset({FROM, LAYOUT})),
    "layouts": _Sort(_layouts, frozenset({LAYOUT})),
    "arrangements": _Sort(_arrangements, frozenset({LAYOUT})),
    "positions": _Sort(_positions, frozenset({TYPE, AT, LAYOUT})),
    "joints": _Sort(_joints, frozenset({AT, LAYOUT})),
    "figures": _Sort(_figures, frozenset({AT, LAYOUT})),
    "parts": _Sort(_parts, frozenset({TYPE, AT, FROM, LAYOUT})),
    "part-types": _Sort(_part_types, frozenset({TYPE})),
    "items": _Sort(_items, frozenset({TYPE, AT, FROM})),
    "kits": _Sort(_kits, frozenset({TYPE, FROM})),
    "suppliers": _Sort(_suppliers),
    "sources": _Sort(_sources, frozenset({FROM})),
    "notes": _Sort(_notes, frozenset({TYPE, FROM})),
}
"""What can be listed, and by which filters besides words."""
