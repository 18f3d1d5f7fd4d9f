"""A law over the whole demo world: a reading on one vehicle changes no other vehicle's answer and no new part's."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory

import pyoxigraph as ox
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from knockon.graph.model.build import build_catalogue
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.schema import Column
from knockon.graph.notes.places import kinds_at
from knockon.graph.notes.readings import readings_of
from knockon.graph.notes.write import Draft, quads_of
from knockon.graph.records import read_graph
from knockon.queries.fits.checking.candidates import Candidate, as_found, new_parts
from knockon.queries.fits.checking.checks import Checks
from tests.demo.demo import FOLDER

MORE = {
    "tansy-m091": "tansy-m091,another Mk A as found,tansy front axle,drum,no,tansy-mk-a,tansy-mk-a,m091,\n",
    "tansy-m092": "tansy-m092,like m080's as found,tansy front axle,drum,no,tansy-mk-a,tansy-m080,m092,\n",
}
FOUND = ("tansy-m080", *MORE)
WRITTEN = {
    "length": st.integers(2, 60).map("{} mm".format),
    "thread": st.sampled_from(["M10x1.25", "M12x1.25", "1/2-20 UNF", "7/16-20 UNF"]),
    "count": st.integers(2, 60).map(str),
    "angle": st.integers(1, 60).map("{} deg".format),
}
ENOUGH = 60


@cache
def world() -> tuple[tuple[ox.Quad, ...], Catalogue]:
    """The demo world's statements, with two more vehicles as found, one of them like the first; and its catalogue."""
    with TemporaryDirectory() as name:
        folder = Path(name)
        for path in FOLDER.rglob("*.csv"):
            into = folder / path.relative_to(FOLDER)
            into.parent.mkdir(parents=True, exist_ok=True)
            into.write_bytes(path.read_bytes())
        with (folder / "vehicles.csv").open("a", encoding="utf-8") as table:
            table.write("".join(MORE.values()))
        store, vocabulary, findings = read_graph(folder)
    if any(f.set_aside for f in findings):
        raise RecordsError("the demo world is not in order")
    quads = tuple(store)
    return quads, build_catalogue(quads, vocabulary)


@st.composite
def readings(draw: st.DrawFn) -> tuple[str, str]:
    """A vehicle, and a size of what stands in one of its places."""
    catalogue = world()[1]
    vehicle = catalogue.vehicles[draw(st.sampled_from(FOUND))]
    layout = catalogue.layouts[vehicle.layout]
    place = draw(st.sampled_from(sorted(as_found(catalogue, Places(layout), vehicle))))
    kinds = kinds_at(catalogue, layout, {place.position})
    features = sorted(f for f, k in kinds.items() if any(_columns(catalogue, kind) for kind in k))
    if not features:
        return draw(readings())
    feature = draw(st.sampled_from(features))
    column = draw(st.sampled_from([c for k in sorted(kinds[feature]) for c in _columns(catalogue, k)]))
    value = draw(WRITTEN[column.datatype])
    return vehicle.vehicle, f"{place}, {feature}: {column.name} = {value}"


def _columns(catalogue: Catalogue, kind: str) -> list[Column]:
    return [c for c in catalogue.vocabulary.kinds[kind].columns if c.datatype in WRITTEN and not c.values]


def with_reading(vehicle: str, size: str) -> Catalogue:
    """The catalogue as it is once a member has written this reading down."""
    quads, catalogue = world()
    draft = Draft(
        "m1", "read", vehicle=vehicle, outcome="measured", standing="on the item", sizes=(size,), as_read=True
    )
    found = list(readings_of(draft.sizes, catalogue.vehicles[vehicle], draft.standing, catalogue, as_read=True))
    return build_catalogue([*quads, *quads_of("N99", draft, found, "2026-11-29T00:00:00Z")], catalogue.vocabulary)


def answers(catalogue: Catalogue, reading_on: str, place: Place) -> Iterator[tuple[object, ...]]:
    """What is judged of every other vehicle as it stands, and of new parts in the place and beside it."""
    for name in catalogue.vehicles:
        vehicle = catalogue.vehicles[name]
        checks = Checks(catalogue, Places(catalogue.layouts[vehicle.layout]))
        standing = as_found(catalogue, checks.places, vehicle)
        others: dict[Place, Candidate] = standing if name != reading_on else {}
        new = {p: tuple(islice(new_parts(catalogue, checks.places, p), ENOUGH)) for p in checks.places.all}
        for at in checks.places.joints:
            pairs = [(others[at.first], others[at.second])] if at.first in others and at.second in others else []
            if place in (at.first, at.second) and name == reading_on:
                pairs += [(a, b) for a in new[at.first] for b in new[at.second]]
            elif place in (at.first, at.second):
                pairs += [(others[at.first], b) for b in new[at.second] if at.first in others]
                pairs += [(a, others[at.second]) for a in new[at.first] if at.second in others]
            yield from (
                (name, at.joint.joint, at.side, a.thing, b.thing, checks.joint(at, a, b).verdict) for a, b in pairs
            )
        for figure in checks.places.figures if others else ():
            chosen = {p: others.get(p) for p in figure.places}
            result = checks.figure(figure, chosen, checks.as_made_value(figure, vehicle))
            yield name, figure.figure.figure, figure.side, result


@settings(max_examples=25, deadline=None)
@given(readings())
def test_a_reading_on_one_vehicle_changes_no_other_answer(reading: tuple[str, str]) -> None:
    vehicle, size = reading
    before = world()[1]
    after = with_reading(vehicle, size)
    where, _, rest = size.partition(", ")
    side, _, position = where.partition(" ")
    place = Place(position, side) if side in ("left", "right") else Place(where)
    places = Places(before.layouts[before.vehicles[vehicle].layout])
    was, now = (as_found(c, places, c.vehicles[vehicle]) for c in (before, after))
    assert [p for p in places.all if p in was and was[p].thing != now[p].thing] in ([place], [])
    feature = after.features_of(now[place].thing)[rest.partition(":")[0]]
    assert any(s.source == "N99" and s.rank == 1 and not s.of_number for v in feature.dimensions.values() for s in v)
    item = after.items[now[place].thing]
    assert (item.item == was[place].thing) or (item.vehicle, item.position, item.side) == (
        vehicle, place.position, place.side,
    )  # fmt: skip
    assert {t for t in after.features if after.features[t] != before.features.get(t)} <= {
        item.item, *(i.item for i in after.items.values() if i.after_work_on == item.item)
    }  # fmt: skip
    assert {v: replace(x, fittings=()) for v, x in after.vehicles.items()} == {
        v: replace(x, fittings=()) for v, x in before.vehicles.items()
    }
    assert list(answers(after, vehicle, place)) == list(answers(before, vehicle, place))
    assert after.unbound == before.unbound == ()
