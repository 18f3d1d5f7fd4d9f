"""Ways in which a records folder gets broken: by hand, by a spreadsheet, by a disk. Seeded, so it comes again."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

Folder = dict[str, bytes]
Row = list[str]

JUNK = (
    *("nan", "inf", "-1", "1e999", "9" * 60, "-0.5 mm", "1e12 mm", "99999999999 in", "2026-11-25", "12/11/25"),
    *(
        "12-Nov",
        "=1+1",
        "#REF!",
        "?",
        "absent",
        "yes",
        "\u0663\u0664",
        "½",
        "25,4 mm",
        "\u202e25 mm",
        "a" * 5000,
        "<b>",
    ),
    *("{{x}}", "M8x0", "0/0", "1:0", "K2", "rotor", "..", "../../etc/passwd", "%2F", "LARCH-201/x", ";", ";;;", "'"),
    *("\\", " \u00a0 "),
)


WORLD = Path(__file__).parents[1] / "upgrade" / "first_version"


@cache
def whole() -> Folder:
    """Every table of a whole world, by name, as bytes: the demo's as the first version spelt it out."""
    root = WORLD
    plain = {p.name: p.read_bytes() for p in root.iterdir() if p.name.endswith(".csv")}
    features = {f"features/{p.name}": p.read_bytes() for p in root.joinpath("features").iterdir()}
    return plain | {n: b for n, b in features.items() if n.endswith(".csv")}


def rows_of(content: bytes) -> list[Row]:
    """Header and rows."""
    return list(csv.reader(io.StringIO(content.decode(), newline="")))


def written(rows: list[Row]) -> bytes:
    """The rows as CSV again."""
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue().encode()


@dataclass(frozen=True)
class Broken:
    """What was done; ``harmless``: there is nothing to find; ``where``: file, row and column that must be named;
    ``takes_rows``: rows are gone that nobody can miss, or it is another row now."""

    what: str
    harmless: bool = False
    where: tuple[str, int, str] | None = None
    takes_rows: bool = False


@dataclass
class Breaker:
    """Breaks one copy of a folder; each method is one way and says what must be found."""

    chance: Random
    folder: Folder

    def _pick(self, *, plain: bool | None = None) -> tuple[str, list[Row]]:
        names = sorted(n for n in self.folder if plain is None or ("/" not in n) == plain)
        name = self.chance.choice(names)
        return name, rows_of(self.folder[name])

    def _row(self, rows: list[Row]) -> int:
        return self.chance.randrange(1, len(rows))

    def _keep(self, name: str, rows: list[Row]) -> None:
        self.folder[name] = written(rows)

    def _set(self, file: str, key: dict[str, str], /, **cells: str) -> tuple[int, list[Row]]:
        """Set cells (underscores for blanks) of the row with these cells; its row number."""
        rows = rows_of(self.folder[file])
        at = {h: i for i, h in enumerate(rows[0])}
        number = next(i for i, r in enumerate(rows) if i and all(r[at[h]] == v for h, v in key.items()))
        for header, value in cells.items():
            rows[number][at[header.replace("_", " ")]] = value
        self._keep(file, rows)
        return _line(rows, number), rows

    def empty_cell(self) -> Broken:
        name, rows = self._pick()
        i, j = self._row(rows), self.chance.randrange(len(rows[0]))
        rows[i][j] = ""
        self._keep(name, rows)
        return Broken(f"{name} row {i + 1}: {rows[0][j]} emptied")

    def junk_cell(self) -> Broken:
        name, rows = self._pick()
        i, j, junk = self._row(rows), self.chance.randrange(len(rows[0])), self.chance.choice(JUNK)
        rows[i][j] = junk
        self._keep(name, rows)
        return Broken(f"{name} row {i + 1}: {rows[0][j]} is {junk[:20]!r}", takes_rows=True)

    def swapped_columns(self) -> Broken:
        name, rows = self._pick()
        i, j = self.chance.sample(range(len(rows[0])), 2)
        rows[0][i], rows[0][j] = rows[0][j], rows[0][i]
        self._keep(name, rows)
        return Broken(f"{name}: headers {rows[0][i]} and {rows[0][j]} swapped")

    def column_gone(self) -> Broken:
        name, rows = self._pick()
        j = self.chance.randrange(len(rows[0]))
        gone = rows[0][j]
        self._keep(name, [r[:j] + r[j + 1 :] for r in rows])
        return Broken(f"{name}: column {gone} gone", takes_rows=True)

    def row_gone(self) -> Broken:
        name, rows = self._pick()
        i = self._row(rows)
        self._keep(name, rows[:i] + rows[i + 1 :])
        return Broken(f"{name}: row {i + 1} gone", takes_rows=True)

    def row_twice(self) -> Broken:
        name, rows = self._pick()
        self._keep(name, [*rows, rows[self._row(rows)]])
        return Broken(f"{name}: a row twice", harmless=True)

    def rows_that_disagree(self) -> Broken:
        number, rows = self._set("parts.csv", {"part": "LARCH-201"})
        at = rows[0].index("hand")
        row = next(r for r in rows if r[0] == "LARCH-201")
        self._keep("parts.csv", [*rows, [*row[:at], "left", *row[at + 1 :]]])
        return Broken("two rows of one part", where=("parts.csv", number, "hand"))

    def reference_to_nothing(self) -> Broken:
        name = self.chance.choice(("offers.csv", "kit_lines.csv", "set_members.csv", "claims.csv"))
        rows = rows_of(self.folder[name])
        i, column = self._row(rows), "set" if name == "set_members.csv" else "part"
        rows[i][rows[0].index(column)] = "NOWHERE-1"
        self._keep(name, rows)
        return Broken(f"{name}: names nothing", where=(name, _line(rows, i), column))

    def old_encoding(self) -> Broken:
        number, rows = self._set("parts.csv", {"part": "ROWAN-201"}, name="stub f\u00fcr vorn")
        self.folder["parts.csv"] = written(rows).replace("f\u00fcr".encode(), b"f\xfcr")
        return Broken("a byte that is no UTF-8", where=("parts.csv", number, "name"))

    def nul(self) -> Broken:
        number, _ = self._set("kit_lines.csv", {"kit": "K2"}, part="LARCH\0-201")
        return Broken("NUL in a cell", where=("kit_lines.csv", number, "part"))

    def line_ends(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = written(rows).replace(b"\n", b"\r\n")
        return Broken(f"{name}: CRLF", harmless=True)

    def byte_order_mark(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = b"\xef\xbb\xbf" + written(rows)
        return Broken(f"{name}: BOM", harmless=True)

    def blank_lines(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = b"\n" + written(rows).replace(b"\n", b"\n\n,,\n", 3) + b"\n\n"
        return Broken(f"{name}: blank lines", harmless=len(rows[0]) > 2)

    def other_order(self) -> Broken:
        name, rows = self._pick()
        order = list(range(len(rows[0])))
        self.chance.shuffle(order)
        self._keep(name, [[r[j] for j in order] for r in rows])
        return Broken(f"{name}: columns in another order", harmless=True)

    def open_quote(self) -> Broken:
        name, rows = self._pick()
        lines = written(rows).split(b"\n")
        i = self.chance.randrange(1, len(lines) - 1)
        first, _, rest = lines[i].partition(b",")
        lines[i] = first + b',"' + rest
        self.folder[name] = b"\n".join(lines)
        return Broken(f"{name} line {i + 1}: a quote never closed")

    def enormous_cell(self) -> Broken:
        number, _ = self._set("offers.csv", {"part": "LARCH-201"}, part="x" * 10_000_000)
        return Broken("a cell of 10 MB", where=("offers.csv", number, ""))

    def long_cell(self) -> Broken:
        number, _ = self._set("offers.csv", {"part": "LARCH-201"}, part="x" * 99_000)
        return Broken("a cell of 99 kB", where=("offers.csv", number, "part"))

    def table_gone(self) -> Broken:
        name, _ = self._pick()
        del self.folder[name]
        return Broken(f"{name} gone", takes_rows=True)

    def empty_table(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = self.chance.choice((b"", written(rows[:1]), b"\n\n", b"\xef\xbb\xbf"))
        return Broken(f"{name} empty", takes_rows=True)

    def extra_column(self) -> Broken:
        name, rows = self._pick()
        self._keep(name, [["shelf", *rows[0]], *(["7", *r] for r in rows[1:])])
        return Broken(f"{name}: a column more", where=(name, 1, "shelf"))

    def unknown_kind(self) -> Broken:
        self.folder["features/flux_gate.csv"] = b"part,feature,diameter,source\nLARCH-201,gate,3 mm,\n"
        return Broken("a kind that nobody knows", where=("features/flux_gate.csv", 1, ""))

    def carried_in_a_circle(self) -> Broken:
        number, rows = self._set("positions.csv", {"position": "rotor"})
        above = dict(zip(rows[0], next(r for r in rows if "rotor" in r[:3]), strict=True))["carried by"]
        self._set("positions.csv", {"position": above}, carried_by="rotor")
        return Broken("a circle of carriers", where=("positions.csv", number, "carried by"))

    def carried_by_itself(self) -> Broken:
        number, _ = self._set("positions.csv", {"position": "rotor"}, carried_by="rotor")
        return Broken("a position on itself", where=("positions.csv", number, "carried by"))

    def joint_with_unknown_feature(self) -> Broken:
        name, rows = "joints.csv", rows_of(self.folder["joints.csv"])
        i = self._row(rows)
        rows[i][rows[0].index("feature")] = "no such feature"
        self._keep(name, rows)
        return Broken(f"joint {rows[i][1]}: a feature that nothing has")

    def joint_with_unknown_position(self) -> Broken:
        name, rows = "joints.csv", rows_of(self.folder["joints.csv"])
        i = self._row(rows)
        rows[i][rows[0].index("other position")] = "rotar"
        self._keep(name, rows)
        return Broken(f"joint {rows[i][1]}: no such position", where=(name, _line(rows, i), "other position"))

    def like_in_a_circle(self) -> Broken:
        number, _ = self._set("vehicles.csv", {"vehicle": "tansy-mk-a"}, like="tansy-m080")
        return Broken("vehicles like each other", where=("vehicles.csv", number, "like"))

    def kit_in_a_kit(self) -> Broken:
        number, _ = self._set("kit_lines.csv", {"kit": "K2"}, part="K3")
        return Broken("a kit in a kit", where=("kit_lines.csv", number, "part"))

    def set_in_itself(self) -> Broken:
        rows = rows_of(self.folder["set_members.csv"])
        row = dict(zip(rows[0], rows[1], strict=True))
        number, _ = self._set("set_members.csv", {"set": row["set"]}, as_part=row["set"])
        return Broken("a set in itself", where=("set_members.csv", number, "as part"))

    def broken_term(self) -> Broken:
        rows = rows_of(self.folder["figure_terms.csv"])
        i = self._row(rows)
        rows[i][rows[0].index("factor")] = self.chance.choice(("nan", "1e5", "one", "99999"))
        self._keep("figure_terms.csv", rows)
        return Broken("a term that cannot be read", where=("figure_terms.csv", _line(rows, i), "factor"))

    def cut_short(self) -> Broken:
        name, rows = self._pick()
        content = written(rows)
        self.folder[name] = content[: self.chance.randrange(len(content))]
        return Broken(f"{name} cut short at byte {len(self.folder[name])}", takes_rows=True)

    def other_alphabet(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = written(rows).decode().encode("utf-16")
        return Broken(f"{name} in UTF-16", where=(name, 0, ""), takes_rows=True)

    def semicolons(self) -> Broken:
        name, rows = self._pick()
        self.folder[name] = "\n".join(";".join(r) for r in rows).encode()
        return Broken(f"{name} with semicolons", where=None)

    def flipped_bytes(self) -> Broken:
        name, rows = self._pick()
        content = bytearray(written(rows))
        for _ in range(3):
            content[self.chance.randrange(len(content))] = self.chance.randrange(256)
        self.folder[name] = bytes(content)
        return Broken(f"{name}: three bytes changed", takes_rows=True)


def _line(rows: list[Row], index: int) -> int:
    """The number of the last line of a row in the file."""
    return written(rows[: index + 1]).decode().count("\n")


WAYS: tuple[str, ...] = tuple(n for n, v in vars(Breaker).items() if not n.startswith("_") and callable(v))


def broken(seed: int) -> tuple[Folder, Broken]:
    """The demo world broken in one way, each way in its turn."""
    breaker = Breaker(Random(seed), dict(whole()))
    way: Callable[[], Broken] = getattr(breaker, WAYS[seed % len(WAYS)])
    done = way()
    return breaker.folder, done
