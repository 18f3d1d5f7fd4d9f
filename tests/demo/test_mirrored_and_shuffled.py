"""What one tries first, on the demo world: mirror the vehicle, leave the spacer out, shuffle the sheets."""

from __future__ import annotations

import random
from functools import cache

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.build import build_catalogue
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.rdf.store import store_of
from knockon.graph.records import Records
from knockon.graph.tables.files import parse_table
from knockon.graph.tables.read import Reader
from knockon.queries.club.disputes import find_disputes
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.part import show_part
from knockon.queries.fits.partners import partners_of
from knockon.queries.plan.kit import check_kit
from knockon.queries.plan.swap import plan_swap, read_request, swap
from knockon.queries.ui.document import encode
from tests.demo.compare import Mirror, Same, outline
from tests.demo.demo import (
    AS_FOUND,
    AS_MADE,
    Row,
    checks,
    demo,
    figure_on,
    figures,
    rows_of,
    standing_in,
    swapped,
    texts,
    with_tables,
    written,
)

DISCS = "rotor=LARCH-201"


# ---------------------------------------------------------- (4) mirror the vehicle

ODD = [  # one-sided things beside the foreign pin: whatever is on the left must do on the right as well
    {"position": "front hose", "side": "left", "part": "HAZEL-211", "condition": "sound"},
    {"position": "steering arm", "side": "right", "part": "ALDER-341R", "condition": "sound"},
    {"position": "steering arm bolt", "side": "right", "part": "ALDER-342", "condition": "sound"},
    {"position": "hub nut", "side": "left", "part": "ROWAN-152", "condition": "due"},
    {"position": "track rod end", "side": "left", "part": "ALDER-344", "condition": "unknown"},
]
WORLDS = {"as found": [], "with more odd things": ODD}


def mirrored(row: Row) -> Row:
    mirror = Mirror(demo())
    return {**row, "side": mirror.text(row["side"]), "part": mirror.text(row["part"])}


def as_found_with(extra: list[Row], mirror: bool) -> Catalogue:
    rows = rows_of("fittings.csv") + [{**dict.fromkeys(rows_of("fittings.csv")[0], ""), "vehicle": AS_FOUND, **r}
                                      for r in extra]  # fmt: skip
    turned_rows = [mirrored(r) if mirror and r["vehicle"] == AS_FOUND else r for r in rows]
    return with_tables({"fittings.csv": written(turned_rows)})


@pytest.mark.parametrize(
    ("name", "wish"),
    [
        *((name, DISCS) for name in WORLDS),
        ("with more odd things", "drive flange=ROWAN-241"),
        ("with more odd things", "rotor.outside diameter>=190 mm"),
    ],
)
def test_a_mirrored_vehicle_gives_the_mirrored_list(name: str, wish: str) -> None:
    one, other = (swap(as_found_with(WORLDS[name], m), AS_FOUND, want=[wish]) for m in (False, True))
    assert one.plan is not None
    seen, again = outline(one, Mirror(demo())), outline(other, Same(demo()))
    for part in seen:
        assert seen[part] == again[part], part
    assert outline(one, Same(demo()))["filled"] != again["filled"]


# ------------------------------------------------- (5) leave out the spacer or the collar

WITHOUT = {
    "bearing spacer": ("bearing float", "nut seat beyond thread start"),
    "hub collar": ("nut seat beyond thread start",),
}


@pytest.mark.parametrize("vehicle", AS_MADE)
@pytest.mark.parametrize("position", WITHOUT)
def test_an_empty_place_in_the_clamp_chain_is_refused(position: str, vehicle: str) -> None:
    left_out = {p: c for p, c in standing_in(checks(), vehicle).items() if p.position != position}
    for name in WITHOUT[position]:
        evidence = figure_on(checks(), figures(checks(), name)[0], left_out, vehicle)
        assert evidence.verdict is Verdict.DO_NOT_USE, name
        assert evidence.lines[0].margin is not None and evidence.lines[0].margin < 0


@pytest.mark.parametrize("position", WITHOUT)
def test_a_corner_that_cannot_have_one_is_refused(position: str) -> None:
    everything = {c.number for p in checks().places.all if p.position == position
                  for c in new_parts(demo(), checks().places, p)}  # fmt: skip
    assert len(everything) >= 3
    answer = swapped(AS_FOUND, DISCS, avoid=tuple(sorted(everything)))
    assert answer.plan is None
    assert answer.none is not None and answer.none.cites


@pytest.mark.parametrize("position", WITHOUT)
def test_every_plan_fills_the_place_on_both_hands(position: str) -> None:
    for wish in (DISCS, "rotor=LARCH-301", "drive flange=ROWAN-241"):
        request = read_request(demo(), checks().places, want=[wish])
        answer = plan_swap(demo(), AS_FOUND, request, alternatives=0, reasons=False)
        assert answer.plan is not None
        assert {f.place for f in answer.plan.filled if f.place.endswith(position)} == {
            *(f"left {position}", f"right {position}"),
        }


# ------------------------------------------------------------- (9) shuffle the rows


def shuffled(seed: int) -> Records:
    """The demo world with rows, columns, tables and quads in another order."""
    chance = random.Random(seed)
    names = list(texts())
    chance.shuffle(names)
    tables = []
    for name in names:
        rows = rows_of(name)
        headers = list(rows[0])
        chance.shuffle(rows)
        chance.shuffle(headers)
        stem = name.rpartition("/")[2].removesuffix(".csv")
        tables.append(parse_table(written({h: r[h] for h in headers} for r in rows), name, stem, []))
    reader = Reader(demo().vocabulary)
    quads = list(store_of(reader.read([t for t in tables if t is not None])))
    assert not reader.findings
    chance.shuffle(quads)
    return Records(build_catalogue(quads, demo().vocabulary), ())


def documents(records: Records) -> dict[str, bytes]:
    """Answers of every sort, as the bytes that are printed."""
    world = records.catalogue
    answers = {
        "swap": swap(world, AS_FOUND, want=[DISCS]),
        "none": swap(world, AS_FOUND, want=[DISCS], keep=["outer joint"]),
        "kit": check_kit(world, "K2", AS_FOUND, want=[DISCS]),
        "partners": partners_of(world, "ROWAN-201"),
        "fits": judge_parts(world, ["ALDER-212", "ALDER-911"], on="tansy-mk-b"),
        "disputed": judge_parts(world, ["ALDER-212"], on="tansy-mk-b"),
        "part": show_part(world, "ROWAN-201"),
        "set": show_part(world, "ALDER-922"),
        "disputes": find_disputes(world),
    }
    return {name: encode(name, answer, 0, records, True) for name, answer in answers.items()}


@cache
def as_written() -> dict[str, bytes]:
    return documents(Records(demo(), ()))


@pytest.mark.parametrize("seed", [1, 2])
def test_shuffled_sheets_give_the_same_bytes(seed: int) -> None:
    records = shuffled(seed)
    assert records.catalogue == demo()
    again = documents(records)
    for name, document in as_written().items():
        assert again[name] == document, name
