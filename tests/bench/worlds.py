"""Records folders of any size, made up from a seed: ``python -m tests.bench.worlds FOLDER --parts 1000 --seed 1``.

The demo world with more candidate parts beside its own: whatever is asked of the demo can be asked of a larger one. A
new part is modelled on one of the demo's and says so in its number (``ROWAN-301-x17``); everything about it is
invented. An *interface* is what meets at joints (journal, bearing, bearing seat); at each one a part has one of some
400 *signatures*: three designs of the demo, each in 134 steps of size, the n-th as frequent as 1/n (Zipf). A size has
one of four tolerances; 2 % of the sizes are blank, 3 % of the rows have a second statement by another source, one part
in twenty has a claim. ``--distinct`` gives every length of every part a value of its own instead (teeth, threads and
angles stay), the worst case for all that works by classes. The same seed gives the same bytes. Rows are written as they
are made: memory does not grow.
"""

from __future__ import annotations

import argparse
import csv
import random
import re
import shutil
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack
from fractions import Fraction
from pathlib import Path
from typing import NamedTuple

import networkx as nx

from knockon.graph.records import load_records
from knockon.graph.standards.thread_series import designations, metric_pitches, standard_threads

DEMO = Path(__file__).parents[2] / "data_demo"
STEPS, STEP_MM, RANGE_MM = 134, 0.254, 34.0
"""How many sizes an interface has in each of the demo's three designs, how far apart, and over what range."""
TOLERANCES_MM = ("", "0.01", "0.05", "0.2")
BLANK, SECOND, CLAIMED, OFFERED, NOTED = 0.02, 0.03, 0.05, 0.6, 0.002
DESIGNS = "123"
"""The digit of a demo part's number that tells which model it was drawn for."""
SPLINE_PITCHES = tuple(f"{n}/{2 * n}" for n in (24, 20, 16, 32, 40, 12)) + tuple(
    f"module {m}" for m in ("1.0", "1.25", "1.5", "0.75", "2.0", "0.5")
)
STANDINGS = ("drawing",) * 12 + ("seller",) * 24 + ("same number, new",) * 4
LENGTH = re.compile(r"(?P<whole>\d+ )?(?P<number>\d*\.?\d+)(/(?P<under>\d+))? (?P<unit>mm|in)(?: ±.*)?$")


class Sizing(NamedTuple):
    """Where a part stands at one interface: its step, its shift in mm, and the tolerance written with its lengths."""

    step: int
    shift: float
    tolerance: str


Cell = Callable[[Sizing], str]


class Row(NamedTuple):
    """One row of a feature's table as the demo has it, its cells ready to be written anew."""

    table: str
    feature: str
    interface: int
    cells: tuple[tuple[Cell, bool], ...]


class Model(NamedTuple):
    """A demo part on which new ones are modelled, with the other hand's where it has one."""

    number: str
    fields: dict[str, str]
    rows: tuple[Row, ...]
    other: Model | None
    price: float


def rows_of(path: Path) -> list[dict[str, str]]:
    """All rows of a table of the demo."""
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def threads() -> tuple[str, ...]:
    """Designations of standard threads from 6 to 42 mm."""
    metric, inch = (
        dict.fromkeys(t.size for t in standard_threads() if t.series in series and 6 <= t.major <= 42)
        for series in (("M coarse", "M fine"), ("UNC", "UNF"))
    )
    found = []
    for size in metric:
        coarse, fine = metric_pitches(size)
        found += [f"{size}x{float(pitch):g}" for pitch in ((coarse,) if coarse else ()) + fine]
    return (*found, *(name for size in inch for name in designations(size)))


def length_cell(cell: str) -> Cell | None:
    """A length as the demo writes it: unchanged at step 0, else shifted in its own unit, with the tolerance."""
    found = LENGTH.match(cell)
    if not found or cell.startswith("0 "):
        return None
    number = Fraction(found["number"]) / int(found["under"] or 1) + int(found["whole"] or 0)
    unit = found["unit"]
    base, per_mm = float(number), 1.0 if unit == "mm" else 1 / 25.4

    def written(at: Sizing) -> str:
        if not at.shift:
            return f"{cell} ±{at.tolerance} mm" if at.tolerance and "±" not in cell and unit == "mm" else cell
        value = f"{base + at.shift * per_mm:.6f}".rstrip("0").rstrip(".")
        if not at.tolerance:
            return f"{value} {unit}"
        return f"{value} {unit} ±{at.tolerance if unit == 'mm' else f'{float(at.tolerance) / 25.4:.4f}'} {unit}"

    return written


def spline_cell(column: str, cell: str, teeth: int, diameter: float) -> Cell | None:
    """A cell of a spline: teeth and pitch by the step, diameters as the demo's, in modules over the pitch circle."""
    if column == "teeth":
        return lambda at: str(teeth + at.step % 12)
    if column == "pitch":
        return lambda at: cell if at.step < 12 else SPLINE_PITCHES[at.step // 12 % 12]
    if not column.endswith("diameter"):
        return None
    over = float(cell.removesuffix(" mm")) - diameter

    def written(at: Sizing) -> str:
        if not at.step:
            return cell
        module = diameter / teeth if at.step < 12 else module_of(SPLINE_PITCHES[at.step // 12 % 12])
        return f"{(teeth + at.step % 12) * module + over * module * teeth / diameter:.2f} mm"

    return written


def module_of(pitch: str) -> float:
    """The module in mm of a spline pitch as written."""
    return float(pitch.split()[1]) if pitch.startswith("module") else 25.4 / float(pitch.split("/")[0])


def plain_cell(column: str, cell: str, names: Sequence[str]) -> Cell | None:
    """A cell that is neither a spline's nor a length, if it changes with the step at all."""
    if column == "thread":
        return lambda at: names[at.step % len(names)] if at.step else cell
    if column == "ratio":
        return lambda at: f"1:{int(cell[2:]) + at.step % 40}"
    if column == "angle":
        return lambda at: f"{60 + (int(cell.split()[0]) - 60 + at.step) % 61} deg"
    if column == "pattern":
        return lambda at: f"{cell}-x{at.step}" if at.step else cell
    return None


class Models:
    """The demo's parts as models of new ones, by part type, and the interfaces at which they meet."""

    def __init__(self) -> None:
        layout = load_records(DEMO).layouts["tansy front axle"]
        types = {p.position: p.part_type for p in layout.positions}
        meet = nx.Graph(
            ((types[j.position], j.feature), (types[j.other_position], j.other_feature)) for j in layout.joints
        )
        groups = sorted(sorted(group) for group in nx.connected_components(meet))
        self.interfaces = {end: n for n, group in enumerate(groups) for end in group}
        self.header: dict[str, list[str]] = {}
        self.features = self._features()
        prices = {o["part"]: float(o["price"]) for o in rows_of(DEMO / "offers.csv")}
        known = {p["part"]: p for p in rows_of(DEMO / "parts.csv")}
        usual = {n: p for n, p in known.items() if n[6:7] in DESIGNS and p["part type"] != "set"}
        self.by_type: dict[str, list[Model]] = {}
        for number, fields in usual.items():
            if fields["hand"] == "right" or fields["not accepted"]:
                continue
            other = None
            if fields["hand"] == "left":
                right = known[fields["mirror of"]]
                other = Model(right["part"], right, () if right["drawn as"] else self._rows(right), None, 0)
            model = Model(number, fields, self._rows(fields), other, prices.get(number, 12.0))
            self.by_type.setdefault(fields["part type"], []).append(model)

    def _features(self) -> dict[str, list[tuple[str, dict[str, str]]]]:
        found: dict[str, list[tuple[str, dict[str, str]]]] = {}
        for path in sorted((DEMO / "features").glob("*.csv")):
            with path.open(encoding="utf-8", newline="") as stream:
                self.header[path.stem] = next(csv.reader(stream))
            for row in rows_of(path):
                if row["source"] in ("quillmere-drawings", "spline-standard"):
                    found.setdefault(row["part"], []).append((path.stem, row))
        return found

    def _rows(self, part: dict[str, str]) -> tuple[Row, ...]:
        own = self.features.get(part["part"], [])
        names = threads()
        splines = {
            row["feature"]: (int(row["teeth"]), module_of(row["pitch"]))
            for table, row in own
            if table.endswith("_spline") and row["teeth"]
        }
        found = []
        for table, row in own:
            end = (part["part type"], row["feature"])
            interface = self.interfaces.setdefault(end, len(set(self.interfaces.values())))
            cells = []
            for column in self.header[table][2:-1]:
                cell, made = row[column], None
                if not cell or cell == "absent":
                    pass
                elif row["feature"] in splines and table.endswith("_spline"):
                    teeth, module = splines[row["feature"]]
                    made = spline_cell(column, cell, teeth, teeth * module) or length_cell(cell)
                else:
                    made = plain_cell(column, cell, names) or length_cell(cell)
                cells.append((made or _unchanged(cell), made is not None))
            found.append(Row(table, row["feature"], interface, tuple(cells)))
        return tuple(found)


def _unchanged(cell: str) -> Cell:
    return lambda at: cell


class World:
    """Draws parts and writes their rows."""

    def __init__(self, seed: int, distinct: bool, write: Callable[[str, Sequence[str]], None]) -> None:
        self.models = Models()
        self.types = list(self.models.by_type.values())
        self.drawn = random.Random(seed)
        self.distinct = distinct
        self.write = write
        weights = [1 / (n + 1) for n in range(STEPS)]
        self.zipf = [n for n, w in enumerate(weights) for _ in range(round(w / sum(weights) * 65536))]
        self.count = 0

    def sources(self) -> None:
        """Forty sources, from which the parts' sizes come."""
        for n, standing in enumerate(STANDINGS):
            member = f"m{900 + n}" if standing == "same number, new" else ""
            self.write("sources", [f"made-up-{n}", f"Made-up source {n}", standing, member, "", "MIT"])
        for n in range(8):
            self.write("suppliers", [f"Made-up supplier {n}", "invented", f"{5 + 2 * n}.00"])

    def add(self, parts: int) -> None:
        """Write this many new parts with all that is said of them."""
        draw = self.drawn.random
        while self.count < parts:
            models = self.types[int(draw() * len(self.types))]
            model = models[int(draw() * len(models))]
            if model.other and parts - self.count < 2:
                continue
            self._add(model)

    def _sizing(self) -> Callable[[int], Sizing]:
        """One signature an interface for the part being written."""
        at: dict[int, Sizing] = {}
        draw = self.drawn.random

        def sizing(interface: int) -> Sizing:
            if interface not in at:
                step = self.zipf[int(draw() * len(self.zipf))]
                tolerance = TOLERANCES_MM[int(draw() * 4)]
                shift = (
                    round((self.count * 0.6180339887498949 + interface * 0.7548776662466927) % 1 * RANGE_MM, 6)
                    if self.distinct
                    else step * STEP_MM
                )
                at[interface] = Sizing(step, shift, tolerance)
            return at[interface]

        return sizing

    def _own_shift(self, interface: int) -> float:
        """A shift in mm that no other part has, evenly spread: multiples of an irrational number, their whole part
        taken away."""
        return round((self.count * 0.6180339887498949 + interface * 0.7548776662466927) % 1 * RANGE_MM, 6)

    def _add(self, model: Model) -> None:
        draw = self.drawn.random
        self.count += 1
        tail = f"-x{self.count}"
        source = f"made-up-{int(draw() ** 2 * len(STANDINGS))}"
        pair = [(model, model.number + tail)]
        if model.other:
            pair.append((model.other, model.other.number + tail))
            self.count += 1
        sizing = self._sizing()
        for one, number in pair:
            fields = one.fields
            mirror = next((n for _, n in pair if n != number), "")
            drawn_as = mirror if fields["drawn as"] else ""
            said = [fields["part type"], fields["hand"], fields["one use"], mirror, drawn_as]
            self.write("parts", [number, f"{fields['name']}, made up", "invented", *said, "", source, ""])
            self._features(one, number, sizing, source)
        self._said(model, [n for _, n in pair], source)

    def _features(self, model: Model, number: str, sizing: Callable[[int], Sizing], source: str) -> None:
        draw = self.drawn.random
        for row in model.rows:
            at = sizing(row.interface)
            self._statement(row, number, at, source)
            if draw() < SECOND:
                other = f"made-up-{int(draw() * len(STANDINGS))}"
                if other != source:
                    near = at._replace(shift=round(at.shift + (draw() - 0.5) * 0.2, 3))
                    self._statement(row, number, near, other)

    def _statement(self, row: Row, number: str, at: Sizing, source: str) -> None:
        draw = self.drawn.random
        cells = ["" if sized and draw() < BLANK else cell(at) for cell, sized in row.cells]
        if any(cells):
            self.write(f"features/{row.table}", [number, row.feature, *cells, source])

    def _said(self, model: Model, numbers: Sequence[str], source: str) -> None:
        draw = self.drawn.random
        if draw() < OFFERED:
            supplier, price = f"Made-up supplier {int(draw() * 8)}", f"{model.price * (0.5 + draw()):.2f}"
            for number in numbers:
                self.write("offers", [supplier, number, price, ""])
        if draw() < CLAIMED:
            vehicle = f"tansy-mk-{'abc'[int(model.number[6]) - 1]}"
            for number in numbers:
                self.write("claims", [number, "listed for", vehicle, "", "", source])
        if draw() < NOTED:
            name, member = f"X{self.count}", f"m{int(draw() * 900)}"
            self.write("sources", [name, f"Club note {name} (invented)", "worn", member, "2024", "MIT"])
            told = ["made-up note: it went together", ";".join(numbers), "", "worked", "", "no size"]
            self.write("notes", [name, "2024", member, "", "", *told, name])


def tables(folder: Path, stack: ExitStack) -> Callable[[str, Sequence[str]], None]:
    """Appends rows to the tables of a folder, each file opened once."""
    writers: dict[str, Callable[[Sequence[str]], object]] = {}

    def write(table: str, row: Sequence[str]) -> None:
        if table not in writers:
            stream = stack.enter_context((folder / f"{table}.csv").open("a", encoding="utf-8", newline=""))
            writers[table] = csv.writer(stream, lineterminator="\n").writerow
        writers[table](row)

    return write


def make_world(folder: Path, parts: int, seed: int, distinct: bool = False) -> Path:
    """Write a records folder with this many parts beside the demo's; the folder must not be there.

    Raises FileExistsError where it is.
    """
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__", "*.md"))
    with ExitStack() as stack:
        world = World(seed, distinct, tables(folder, stack))
        world.sources()
        world.add(parts)
    return folder


def new_parts(folder: Path) -> Iterator[dict[str, str]]:
    """The rows of the parts that are not the demo's."""
    with (folder / "parts.csv").open(encoding="utf-8", newline="") as stream:
        yield from (row for row in csv.DictReader(stream) if "-x" in row["part"])


def main() -> None:
    """Make one folder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--parts", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--distinct", action="store_true", help="every length a value of its own")
    asked = parser.parse_args()
    print(make_world(asked.folder, asked.parts, asked.seed, asked.distinct))


if __name__ == "__main__":
    main()
