"""What a user would take instead, asked the same of the same made-up world, warm and in one process.

``python -m tests.bench.peers ENGINE QUESTION FOLDER``; bench_scale.py runs it. Two questions: the partners of one part
at one joint, and the far end of a chain of five joints from one part. The peers are given the sizes ready as
intervals, of each part its first statement, and tell whether the intervals can meet. knockon reads all statements,
judges every condition of the joint with its evidence and keeps the parts whose sizes are not known, so that it finds
more.
"""

from __future__ import annotations

import argparse
import csv
import json
import math
import statistics
import time
from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any, NamedTuple

from tests.bench.worlds import LENGTH, module_of

START, STUB = "ALDER-201L", "ROWAN-201"
NOS = ("DOES_NOT_FIT", "DO_NOT_USE")
NAMESPACE = "https://worlds.example/"


class Size(NamedTuple):
    """A size of the parts of a place: the table, feature and column where it stands."""

    name: str
    table: str
    feature: str
    column: str


class Link(NamedTuple):
    """One joint of the chain: what is read on the nearer side and on the farther, and the window of their difference,
    as the rule of the joint has it for sizes without limits."""

    joint: str
    nearer: str
    farther: str
    windows: tuple[tuple[str, str, float, float], ...]


PLACES = {
    "knuckle": (Size("seat", "bearing_seat", "bearing bores", "diameter"),),
    "bearing": (
        Size("outside", "rolling_bearing", "bearing", "outside diameter"),
        Size("bore", "rolling_bearing", "bearing", "bore"),
    ),
    "stub": (
        Size("journal", "journal", "journal", "diameter"),
        Size("teeth", "external_spline", "stub spline", "teeth"),
        Size("pitch", "external_spline", "stub spline", "pitch"),
    ),
    "flange": (
        Size("teeth", "internal_spline", "flange spline", "teeth"),
        Size("pitch", "internal_spline", "flange spline", "pitch"),
        Size("circle", "bolt_circle", "rotor circle", "pitch circle diameter"),
    ),
    "rotor": (
        Size("circle", "bolt_circle", "bolt circle", "pitch circle diameter"),
        Size("hole", "countersink", "countersinks", "angle"),
    ),
    "screw": (Size("head", "countersunk_head", "head", "angle"),),
}
PART_TYPES = {"knuckle": "knuckle", "bearing": "wheel bearing", "stub": "outer joint", "flange": "drive flange",
              "rotor": "rotor", "screw": "rotor screw"}  # fmt: skip
CHAIN = (
    Link("inner bearing in knuckle", "knuckle", "bearing", (("seat", "outside", -0.1, 0.1),)),
    Link("inner bearing on stub", "bearing", "stub", (("bore", "journal", -0.1, 0.1),)),
    Link("flange on stub", "stub", "flange", (("teeth", "teeth", 0.0, 0.0), ("pitch", "pitch", -0.002, 0.002))),
    Link("rotor on flange", "flange", "rotor", (("circle", "circle", -0.1, 0.1),)),
    Link("rotor screw in rotor", "rotor", "screw", (("hole", "head", -0.5, 0.5),)),
)
"""The difference is nearer less farther."""
SPLINE = CHAIN[2]
QUESTIONS = {"partners": (STUB, (SPLINE,)), "chain": (START, CHAIN)}


def interval(cell: str) -> tuple[float, float] | None:
    """The interval of a cell in mm or degrees or as a count; None where it says nothing."""
    found = LENGTH.match(cell)
    if found:
        number = float(Fraction(found["number"]) / int(found["under"] or 1) + int(found["whole"] or 0))
        give = float(cell.partition("±")[2].split()[0]) if "±" in cell else 0.0
        inch = 1.0 if found["unit"] == "mm" else 25.4
        give *= 25.4 if cell.endswith("in") and "±" in cell else 1.0
        return number * inch - give, number * inch + give
    if cell.endswith(" deg") or cell.isdecimal():
        return (float(cell.split()[0]),) * 2
    if cell.startswith("module") or "/" in cell:
        return (module_of(cell) * math.pi,) * 2
    return None


def columns(folder: Path) -> dict[str, dict[str, list[Any]]]:
    """For each place the parts that have all its sizes, and the ends of these, such as ``seat_low``, ``seat_high``."""
    with (folder / "parts.csv").open(encoding="utf-8", newline="") as stream:
        types = {row["part"]: row["part type"] for row in csv.DictReader(stream)}
    found = {}
    for place, sizes in PLACES.items():
        known: list[dict[str, tuple[float, float]]] = []
        for size in sizes:
            first: dict[str, tuple[float, float]] = {}
            with (folder / "features" / f"{size.table}.csv").open(encoding="utf-8", newline="") as stream:
                for row in csv.DictReader(stream):
                    read = interval(row[size.column]) if row["feature"] == size.feature else None
                    if read is not None and types.get(row["part"]) == PART_TYPES[place]:
                        first.setdefault(row["part"], read)
            known.append(first)
        parts = [p for p in known[0] if all(p in others for others in known)]
        frame: dict[str, list[Any]] = {"part": parts}
        for size, values in zip(sizes, known, strict=True):
            for end, word in enumerate(("low", "high")):
                frame[f"{size.name}_{word}"] = [values[p][end] for p in parts]
        found[place] = frame
    return found


Ask = Callable[[], int]


def steps(link: Link) -> Iterator[tuple[str, str, float]]:
    """Each comparison of a joint as two columns and a number: nearer's - farther's >= number, the second time of the
    negated ones."""
    for near, far, low, high in link.windows:
        yield f"{near}_high", f"{far}_low", low
        yield f"{near}_low", f"{far}_high", high


def duckdb(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """SQL on DuckDB in memory, one thread: a common table expression a joint, each without duplicates."""
    import duckdb as engine
    import pandas as pd

    connection = engine.connect()
    connection.execute("SET threads = 1")
    for place, frame in columns(folder).items():
        connection.register("incoming", pd.DataFrame(frame))
        connection.execute(f"CREATE TABLE {place} AS SELECT * FROM incoming")
        connection.unregister("incoming")
    parts = [f"at0 AS (SELECT * FROM {links[0].nearer} WHERE part = '{start}')"]
    for n, link in enumerate(links):
        on = " AND ".join(
            f"at{n}.{near} - farther.{far} {'<=' if k % 2 else '>='} {number}"
            for k, (near, far, number) in enumerate(steps(link))
        )
        parts.append(f"at{n + 1} AS (SELECT DISTINCT farther.* FROM at{n} JOIN {link.farther} farther ON {on})")
    sql = f"WITH {', '.join(parts)} SELECT part FROM at{len(links)}"
    return lambda: len(connection.execute(sql).fetchall())


def pandas(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """Merges in pandas: the distinct sizes reached so far with all parts of the next place, and what agrees is kept."""
    import pandas as pd

    frames = {place: pd.DataFrame(frame) for place, frame in columns(folder).items()}

    def ask() -> int:
        reached = frames[links[0].nearer]
        reached = reached[reached["part"] == start]
        for link in links:
            near = sorted({name for name, _, _ in steps(link)})
            sizes = reached[near].drop_duplicates().add_prefix("near ")
            both = sizes.merge(frames[link.farther], how="cross")
            agree = pd.Series(True, index=both.index)
            for k, (one, other, number) in enumerate(steps(link)):
                apart = both[f"near {one}"] - both[other]
                agree &= (apart <= number) if k % 2 else (apart >= number)
            reached = both.loc[agree, frames[link.farther].columns].drop_duplicates()
        return len(reached)

    return ask


def sparql(start: str, links: tuple[Link, ...]) -> str:
    """The same as a query: a subquery a joint, each without duplicates."""
    text = ""
    for n, link in enumerate(links):
        one = f"<{NAMESPACE}{start}>" if n == 0 else f"?p{n}"
        compared = list(steps(link))
        read = " ".join(f"{one} :{link.nearer}_{name} ?n{n}{k} ." for k, (name, _, _) in enumerate(compared))
        read += " ".join(f" ?p{n + 1} :{link.farther}_{name} ?f{n}{k} ." for k, (_, name, _) in enumerate(compared))
        test = " && ".join(
            f"?n{n}{k} - ?f{n}{k} {'<=' if k % 2 else '>='} {number}" for k, (_, _, number) in enumerate(compared)
        )
        text = f"SELECT DISTINCT ?p{n + 1} WHERE {{ {f'{{ {text} }}' if text else ''} {read} FILTER({test}) }}"
    return f"PREFIX : <{NAMESPACE}> {text}"


def triples(folder: Path) -> Iterator[tuple[str, str, float]]:
    """Every size as a statement."""
    for place, frame in columns(folder).items():
        for name, values in frame.items():
            if name != "part":
                for part, value in zip(frame["part"], values, strict=True):
                    yield f"{NAMESPACE}{part}", f"{NAMESPACE}{place}_{name}", value


def oxigraph(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """SPARQL on Oxigraph in memory."""
    import pyoxigraph as ox

    store = ox.Store()
    store.bulk_extend(ox.Quad(ox.NamedNode(s), ox.NamedNode(p), ox.Literal(v)) for s, p, v in triples(folder))
    query = sparql(start, links)

    def ask() -> int:
        found = store.query(query)
        assert isinstance(found, ox.QuerySolutions)
        return len(list(found))

    return ask


def oxigraph_pairs(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """SPARQL on Oxigraph where all pairs that agree were written out beforehand: a path of properties."""
    import numpy as np
    import pyoxigraph as ox

    frames = {p: {n: np.array(v) for n, v in frame.items()} for p, frame in columns(folder).items()}
    store = ox.Store()
    for n, link in enumerate(links):
        near, far = frames[link.nearer], frames[link.farther]
        nodes = [ox.NamedNode(NAMESPACE + part) for part in far["part"]]
        for i, part in enumerate(near["part"]):
            agree = np.ones(len(nodes), dtype=bool)
            for k, (one, other, number) in enumerate(steps(link)):
                apart = near[one][i] - far[other]
                agree &= (apart <= number) if k % 2 else (apart >= number)
            one_node, word = ox.NamedNode(NAMESPACE + str(part)), ox.NamedNode(f"{NAMESPACE}meets{n}")
            store.bulk_extend(ox.Quad(one_node, word, nodes[j]) for j in np.flatnonzero(agree))
    query = ""
    for n in range(len(links)):
        one = f"<{NAMESPACE}{start}>" if n == 0 else f"?p{n}"
        query = f"SELECT DISTINCT ?p{n + 1} {{ {f'{{ {query} }}' if query else ''} {one} :meets{n} ?p{n + 1} }}"
    query = f"PREFIX : <{NAMESPACE}> {query}"

    def ask() -> int:
        found = store.query(query)
        assert isinstance(found, ox.QuerySolutions)
        return len(list(found))

    return ask


def rdflib(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """SPARQL on rdflib in memory."""
    from rdflib import Graph, Literal, URIRef
    from rdflib.plugins.sparql import prepareQuery

    graph = Graph()
    for s, p, v in triples(folder):
        graph.add((URIRef(s), URIRef(p), Literal(v)))
    query = prepareQuery(sparql(start, links))
    return lambda: len(list(graph.query(query)))


def floor(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """No engine at all: one pass over each column that the question needs, as numpy arrays."""
    import numpy as np

    frames = {p: {n: np.array(v) for n, v in frame.items()} for p, frame in columns(folder).items()}
    passes = [(frames[link.farther][other], number) for link in links for _, other, number in steps(link)]
    return lambda: sum(int(np.count_nonzero(values <= number)) for values, number in passes) and 0


def knockon(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """knockon: each joint's whole rule on interface classes, everything that is not a no, by part number."""
    from knockon.graph.judge.comparisons import chosen
    from knockon.graph.model.layouts.layout import Place
    from knockon.graph.records import load_records
    from knockon.queries.fits.meeting import meetings_of
    from knockon.queries.fits.reach import seats_along, way_along

    catalogue = load_records(folder)
    meetings = next(m for m in meetings_of(catalogue) if m.places.layout.layout == "tansy front axle")
    position = next(p.position for p in meetings.places.layout.positions if p.part_type == PART_TYPES[links[0].nearer])
    names = [link.joint for link in links]
    place = meetings.places.at(position, "left") or Place(position)

    def ask() -> int:
        way = way_along(meetings, place, names)
        assert way is not None
        if len(way) == 1:
            return len(way[0].numbers_met(way[0].own.seats.seat_of(start)))
        numbers = way[-1].other.seats.numbers
        seats = seats_along(way, 1 << way[0].own.seats.seat_of(start))[-1]
        return len(chosen(numbers, seats))

    return ask


def knockon_all_joints(folder: Path, start: str, links: tuple[Link, ...]) -> Ask:
    """knockon's whole answer: the partners at all joints of the part, with verdicts and claims."""
    from knockon.graph.records import load_records
    from knockon.queries.fits.partners import partners_of

    catalogue = load_records(folder)
    return lambda: sum(
        partner.verdict.name not in NOS
        for at in partners_of(catalogue, start).joints
        if at.joint == links[0].joint
        for partner in at.partners
    )


ENGINES: dict[str, Callable[[Path, str, tuple[Link, ...]], Ask]] = {
    "knockon": knockon,
    "knockon, all joints": knockon_all_joints,
    "duckdb": duckdb,
    "pandas": pandas,
    "oxigraph": oxigraph,
    "oxigraph, pairs written out": oxigraph_pairs,
    "rdflib": rdflib,
    "floor": floor,
}


def main() -> None:
    """Prepare, ask once without counting, then as often as asked for; tell the median."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("engine", choices=ENGINES)
    parser.add_argument("question", choices=QUESTIONS)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--runs", type=int, default=5)
    asked = parser.parse_args()
    began = time.process_time()
    ask = ENGINES[asked.engine](asked.folder, *QUESTIONS[asked.question])
    prepared = time.process_time() - began
    began = time.process_time()
    found = ask()
    once = max(time.process_time() - began, 1e-7)
    often = max(1, min(10_000, round(0.02 / once)))  # so that one reading of the clock is far above its step
    spent: list[float] = []
    while len(spent) < asked.runs and sum(spent) < 10:
        began = time.process_time()
        for _ in range(often):
            ask()
        spent.append((time.process_time() - began) / often)
    print(json.dumps({"seconds": statistics.median(spent), "found": found, "prepared": prepared}))


if __name__ == "__main__":
    main()
