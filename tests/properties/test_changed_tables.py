"""A copy that is made from an earlier one, where rows changed or notes came, is what is read anew, byte for byte.

On the demo world and on random small worlds: rows of all sorts of tables changed in all sorts of ways, good ones and
broken ones, several at once and one change after the other on copies that were themselves made from copies.
"""

from __future__ import annotations

import csv
import os
import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from random import Random

import msgspec
import pytest

from knockon.graph.files.shelf import Pieces
from knockon.graph.files.shipped import shipped
from knockon.graph.judge.postings import all_postings, hands_of, posting_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import Records, changed, load
from tests.oracle.generate import case_from_seed
from tests.oracle.records import write_records
from tests.properties.noting import add_notes

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES", "40")) // 2
Rows = list[list[str]]
JUNK = ("?", "absent", "1 furlong", "nan", "27", "25.4 mm", "1.125 in", "10 mm ±0.02 mm", "flat", "")


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The tables of which a copy was made from an earlier one."""
    real, found = changed.made_anew, list[str]()

    def counting(folder: Path, tables: Mapping[str, str], beside: Mapping[str, str], pieces: Pieces) -> object:
        result = real(folder, tables, beside, pieces)
        found.extend(["made"] if result is not None else [])
        return result

    monkeypatch.setattr(changed, "made_anew", counting)
    return found


def assert_as_read_anew(folder: Path, cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", str(cache))
    kept = load(folder)
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    assert_alike(kept, load(folder))


def assert_alike(kept: Records, anew: Records) -> None:
    assert kept.findings == anew.findings
    for name in (*Catalogue.__struct_fields__, "numbers_of_type", "sets_at", "feature_kinds", "claims_on"):
        one, other = getattr(kept.catalogue, name), getattr(anew.catalogue, name)
        assert one == other, name
        if name == "claims_on":  # looked up only
            continue
        if name != "vocabulary" and not isinstance(other, Mapping):
            assert msgspec.json.encode(list(one)) == msgspec.json.encode(list(other)), name
        if isinstance(other, Mapping):
            assert msgspec.json.encode(list(one.items())) == msgspec.json.encode(list(other.items())), name
    assert kept.catalogue.sources_with_sizes == anew.catalogue.sources_with_sizes
    assert kept.catalogue.numbers_claimed == anew.catalogue.numbers_claimed
    assert_posted_alike(kept.catalogue, anew.catalogue)


def assert_posted_alike(kept: Catalogue, anew: Catalogue) -> None:
    """The posting lists of a copy say of each part what is made of its features now."""
    assert not anew.kept_postings
    if not kept.kept_postings:  # it was read anew too: only a copy has lists
        return
    assert kept.kept_postings.keys() == dict(all_postings(anew)).keys()
    for layout in anew.layouts.values():
        types = {p.position: p.part_type for p in layout.positions}
        for joint in layout.joints:
            rule = anew.vocabulary.rules[joint.rule]
            for end, here in zip(rule.ends, joint.ends, strict=True):
                if here.position in types:
                    lists = [posting_of(c, rule, end, here.feature, types[here.position]) for c in (kept, anew)]
                    one, other = ([of.interfaces[k] for k in of.classes] for of in lists)
                    assert one == other, (joint.joint, here.feature)
    for part_type in sorted({p.part_type for layout in anew.layouts.values() for p in layout.positions}):
        assert [*hands_of(kept, part_type)] == [*hands_of(anew, part_type)]


def rows_in(path: Path) -> Rows:
    with path.open(newline="", encoding="utf-8") as stream:
        return list(csv.reader(stream))


def write(path: Path, rows: Rows) -> None:
    with path.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream, lineterminator="\n").writerows(rows)


def change(folder: Path, chance: Random) -> str:
    """Change some rows of one table, in most cases of a table of features; what was done."""
    tables = sorted((folder / "features").glob("*.csv"))
    table = chance.choice(tables)
    rows = rows_in(table)
    if len(rows) < 2:
        return "nothing"
    at, way = chance.randrange(1, len(rows)), chance.randrange(9)
    row, head = rows[at], rows[0]
    sizes = [i for i, column in enumerate(head) if column not in ("part", "feature", "source")] or [0]
    size = chance.choice(sizes)
    parts = [r[0] for r in rows_in(folder / "parts.csv")[1:]]
    sources = [r[0] for r in rows_in(folder / "sources.csv")[1:]]
    if way <= 2:
        row[size] = chance.choice(rows[1:])[size]
    elif way == 3:
        row[size] = chance.choice(JUNK)
    elif way == 4:
        del rows[at]
    elif way == 5:
        rows.insert(chance.randrange(1, len(rows)), [*row])
        rows[at][head.index("source")] = chance.choice(sources)
    elif way == 6:
        rows.append([*row])
        rows[-1][head.index("part")] = chance.choice(parts)
    elif way == 7:
        row[head.index("feature")] = chance.choice(rows[1:])[head.index("feature")]
    else:
        other = folder / chance.choice(("offers.csv", "parts.csv", "sources.csv"))
        if other.exists():
            write(other, [*rows_in(other)[:1], *chance.sample(rows_in(other)[1:], len(rows_in(other)) - 1)])
        chance.shuffle(copied := rows[1:])
        rows[1:] = copied
    write(table, rows)
    return f"{table.name} row {at}, way {way}"


def cells_of(folder: Path, table: str) -> Rows:
    path = folder / table
    return rows_in(path) if path.exists() else [[]]


def change_offers(folder: Path, chance: Random) -> str:
    """New prices, offers that came and went."""
    rows = cells_of(folder, "offers.csv")
    if len(rows) < 2:
        return "nothing"
    head, parts = rows[0], [r[0] for r in cells_of(folder, "parts.csv")[1:]]
    for _ in range(chance.choice((1, 1, 3))):
        at, way = chance.randrange(1, len(rows)), chance.randrange(6)
        if way <= 1:
            rows[at][head.index("price")] = f"{chance.randrange(1, 9000) / 100:.2f}"
        elif way == 2 and len(rows) > 2:
            del rows[at]
        elif way <= 4:
            rows.append([*rows[at]])
            rows[-1][head.index("part")] = chance.choice(parts)
        else:
            rows[at][chance.randrange(len(head))] = chance.choice(("", "free", "nobody", "1e3", "12"))
    write(folder / "offers.csv", rows)
    return "offers"


def change_claims(folder: Path, chance: Random) -> str:
    """Claims that came, went, or say something else."""
    rows = cells_of(folder, "claims.csv")
    if len(rows) < 2:
        return "nothing"
    head, parts = rows[0], [r[0] for r in cells_of(folder, "parts.csv")[1:]]
    for _ in range(chance.choice((1, 1, 3))):
        at, way = chance.randrange(1, len(rows)), chance.randrange(6)
        if way <= 1:
            rows.insert(chance.randrange(1, len(rows) + 1), [*rows[at]])
            rows[at][head.index("part")] = chance.choice(parts)
        elif way == 2 and len(rows) > 2:
            del rows[at]
        elif way == 3:
            vehicle, other = chance.choice(("", *(r[0] for r in cells_of(folder, "vehicles.csv")[1:]))), ""
            other = chance.choice(parts) if not vehicle else ""
            new = dict.fromkeys(head, "") | {"part": chance.choice(parts), "claim": "goes with", "vehicle": vehicle}
            rows.append([(new | {"other part": other})[column] for column in head])
        elif way == 4 and "text" in head:
            rows[at][head.index("text")] = chance.choice(("", "heard at a meeting"))
        else:
            rows[at][chance.randrange(len(head))] = chance.choice(("", "nobody", "goes with", chance.choice(parts)))
    write(folder / "claims.csv", rows)
    return "claims"


def add_part(folder: Path, chance: Random) -> str:
    """A part like another of the records, with its features, an offer and a source; or other texts for one that was
    there."""
    rows = cells_of(folder, "parts.csv")
    head, like = rows[0], chance.choice(rows[1:])
    if chance.random() < 0.3:
        column = chance.choice([c for c in ("name", "maker", "as written", "not accepted", "hand") if c in head])
        like[head.index(column)] = chance.choice(("another", "", "left"))
        write(folder / "parts.csv", rows)
        return "part other"
    number = chance.choice((f"{like[0]}-new", f"0 {like[0]}?", "zzz/1", f"{like[0]}"))
    new = dict(zip(head, like, strict=True)) | {head[0]: number}
    if chance.random() < 0.7:
        new["mirror of"] = ""
    if chance.random() < 0.3:
        new["drawn as"] = like[0]
    if chance.random() < 0.3:
        sources = cells_of(folder, "sources.csv")
        sources.append(["new book", *chance.choice(sources[1:])[1:]])
        write(folder / "sources.csv", sources)
        new["source"] = "new book"
    rows.insert(chance.choice((1, len(rows))), [new.get(column, "") for column in head])
    if chance.random() < 0.3:  # a pair
        rows.append([{**new, head[0]: f"{number} R", "mirror of": number}.get(column, "") for column in head])
    write(folder / "parts.csv", rows)
    for table in sorted((folder / "features").glob("*.csv")):
        features = rows_in(table)
        more = [[number, *row[1:]] for row in features[1:] if row[0] == like[0]]
        if more and chance.random() < 0.9:
            write(table, [*features, *more])
    if chance.random() < 0.4:
        change_offers(folder, chance)
    return "part"


CHANGES = (change, change, change_offers, change_claims, add_part)


def change_some(folder: Path, chance: Random) -> str:
    """One or two changes of any sort, a note among them."""
    if chance.random() < 0.2:
        return f"notes {add_notes(folder, chance, chance.choice((1, 2)))}"
    return ", ".join(chance.choice(CHANGES)(folder, chance) for _ in range(chance.choice((1, 1, 2))))


def size_changed(folder: Path) -> None:
    """One size of a part that nobody read on the item, and like which only parts are drawn."""
    table = folder / "features" / "journal.csv"
    rows = rows_in(table)
    rows[-1][rows[0].index("diameter")] = "31.5 mm"
    write(table, rows)


@pytest.mark.parametrize("seed", range(4))
def test_of_the_demo_world(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: list[str]) -> None:
    folder = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), folder)
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    size_changed(folder)
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    assert made
    chance, before = Random(seed), {p: p.read_bytes() for p in folder.rglob("*.csv")}
    for _ in range(8):
        change_some(folder, chance)
        assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
        if chance.random() < 0.5:  # what was broken is mended again
            for path, content in before.items():
                path.write_bytes(content)


@pytest.mark.parametrize("seed", range(WORLDS))
def test_of_random_worlds(seed: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder, chance = tmp_path / "records", Random(seed)
    write_records(folder, case_from_seed(seed).world)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
    for _ in range(5):
        if not list((folder / "features").glob("*.csv")):
            return
        change_some(folder, chance)
        assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
        if chance.random() < 0.4:
            for path, content in before.items():
                path.write_bytes(content)


@pytest.mark.parametrize(
    "changed_so", [change_offers, change_claims, add_part, None], ids=lambda c: getattr(c, "__name__", "note")
)
@pytest.mark.parametrize("seed", range(3))
def test_each_sort_of_change_is_put_in(
    changed_so: Callable[[Path, Random], str] | None,
    seed: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    made: list[str],
) -> None:
    folder, chance = tmp_path / "records", Random(seed)
    shutil.copytree(shipped("data_demo"), folder)
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path / "cache"))
    load(folder)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    for _ in range(5):
        changed_so(folder, chance) if changed_so else add_notes(folder, chance, 1)
        assert_as_read_anew(folder, tmp_path / "cache", monkeypatch)
        if load(folder).findings:
            for path, content in before.items():
                path.write_bytes(content)
            load(folder)
    assert made


def test_a_copy_is_made_from_another_only_so_often(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: list[str]
) -> None:
    monkeypatch.setattr(changed, "MOST_TIMES", 2)
    folder = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), folder)
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path / "cache"))
    load(folder)
    table = folder / "features" / "journal.csv"
    for number in range(4):
        rows = rows_in(table)
        rows[-1][rows[0].index("diameter")] = f"31.{number} mm"
        write(table, rows)
        load(folder)
    assert len(made) == 3  # twice, then all anew, then once more
