"""A finished job becomes the vehicle's fittings: the rows of the places that changed, and nothing else, all or none."""

from __future__ import annotations

import codecs
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

import msgspec

from knockon.graph.files.atomic import sole_writer
from knockon.graph.files.plain import content_of
from knockon.graph.jobs.events import Built, Noted, PlaceBuilt
from knockon.graph.jobs.store import Job, JobRefused, add_event, event_bytes, next_file, read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places, fitted
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import Fitting, Vehicle
from knockon.graph.notes.write import Draft, add_note
from knockon.graph.quarantine.all_or_none import finish, write_together
from knockon.graph.records.prepared import fingerprints
from knockon.graph.tables.edited_meanwhile import CannotBeBoth, Row, line_of, lines_of
from knockon.queries.job.named import member, now
from knockon.queries.job.record import RecordAnswer
from knockon.queries.plan.changes import FREED, KEPT_AFTER_WORK

FITTINGS, VEHICLES, ITEMS = "fittings.csv", "vehicles.csv", "items.csv"
SOUND = "sound"
_Test = Callable[[dict[str, str]], bool]
_Alter = Callable[[dict[str, str]], dict[str, str]]


def state_of(folder: Path) -> str:
    """A name for the records as they stand: what is worked out from them holds as long as it does."""
    return fingerprints(folder)[0]


def write_record(folder: Path, catalogue: Catalogue, answer: RecordAnswer, by: str, state: str) -> Job:
    """Make what was built the vehicle's fittings, and write down that it is. ``state``: of the records that the answer
    was worked out from.

    Raises JobRefused where the card is open, the record is written already, the records changed meanwhile, or the
    vehicle's rows do not stand in the tables; RecordsError, NotWritten.
    """
    who = member(by)
    if answer.open:
        raise JobRefused(f"plan {answer.plan} has no record yet. Open: {', '.join(answer.open)}")
    with sole_writer(folder):
        finish(folder)
        job = read_job(folder, answer.plan)
        if job.built is not None:
            raise JobRefused(f"the record of plan {job.name} is written already, by {job.built.by} on {job.built.at}")
        if state_of(folder) != state:
            raise JobRefused("the records were changed meanwhile. Nothing was written. Ask again")
        tables = _Tables(folder, catalogue, catalogue.vehicles[answer.vehicle])
        event = Built(who, now(), answer.places, answer.checks, answer.was, answer.now, answer.cautions)
        written = tables.after(answer, job.name)
        write_together(folder, {**written, next_file(folder, job.name): event_bytes(event)})
    return msgspec.structs.replace(job, events=(*job.events, event))


def write_note(folder: Path, catalogue: Catalogue, answer: RecordAnswer, by: str, text: str) -> str:
    """A club note that says what was built; its name. Raises JobRefused where there is one already."""
    who = member(by)
    if answer.note:
        raise JobRefused(f"note {answer.note} says already what was built with plan {answer.plan}")
    parts = tuple(sorted({p.new for p in answer.places if p.new in catalogue.parts}))
    draft = Draft(member=who, text=text, parts=parts, vehicle=answer.vehicle, outcome="told", date=now()[:10])
    name = add_note(folder, draft, lambda: catalogue)
    add_event(folder, answer.plan, Noted(who, now(), name))
    return name


class _Tables:
    """The tables of one vehicle as they stand, and as they will."""

    def __init__(self, folder: Path, catalogue: Catalogue, vehicle: Vehicle) -> None:
        self.folder, self.catalogue, self.vehicle = folder, catalogue, vehicle
        self.layout: Layout = catalogue.layouts[vehicle.layout]
        self.places = Places(self.layout)
        self.there = fitted(vehicle, self.places)

    def after(self, answer: RecordAnswer, plan: str) -> dict[Path, bytes]:
        """What is written, by file; a file that stays as it is, is left out."""
        if self.vehicle.as_made:
            raise JobRefused(
                f"{self.vehicle.vehicle} says how vehicles were made. Give your own one its row in {VEHICLES}, and plan"
                " on that"
            )
        fittings, vehicles = _Table(self.folder / FITTINGS), _Table(self.folder / VEHICLES)
        items = _Table(self.folder / ITEMS, ("item", "part", "title"))
        if not any(row["vehicle"] == self.vehicle.vehicle for row in vehicles.rows()):
            raise JobRefused(f"{self.vehicle.vehicle} does not stand in {VEHICLES}. {_BY_HAND}")
        self._refuse_elsewhere(fittings)
        changed = {(p.position, p.side): p for p in answer.places}
        positions = dict.fromkeys(p.position for p in answer.places)
        new_items: list[dict[str, str]] = []
        rows = [row for position in positions for row in self._rows(position, changed, plan, new_items)]
        mine = self.vehicle.vehicle
        fittings.replace(lambda row: row["vehicle"] == mine and row["position"] in positions, rows)
        items.replace(lambda row: False, new_items)
        self._arrange(vehicles, answer)
        return {t.path: t.content() for t in (fittings, vehicles, items) if t.is_changed}

    def _refuse_elsewhere(self, fittings: _Table) -> None:
        """Refuse where some of the vehicle's own fittings are said elsewhere than in the table: they would stand beside
        the new rows."""
        written = {(r["position"], r["side"]) for r in fittings.rows() if r["vehicle"] == self.vehicle.vehicle}
        sided = {(position, "") for position, _ in written}
        own = (f for f in self.vehicle.fittings if not f.taken_from and f.part)
        other = [f for f in own if not {(f.position, f.side), (f.position, "")} & (written | sided)]
        if other:
            raise JobRefused(
                f"{', '.join(sorted({f.position for f in other}))} of {self.vehicle.vehicle} does not stand in"
                f" {FITTINGS}. {_BY_HAND}"
            )

    def _rows(
        self, position: str, changed: Mapping[tuple[str, str], PlaceBuilt], plan: str, new_items: list[dict[str, str]]
    ) -> list[dict[str, str]]:
        """The rows of a position of which some side changed; one row where both sides have the same."""
        found = []
        for side in self.places.sides_of(position):
            place = self.places.at(position, side)
            there = self.there.get(place) if place is not None else None
            built = changed.get((position, side))
            row = _as_it_is(there) if built is None else self._as_built(built, there, plan, new_items)
            if row is not None:
                found.append({"vehicle": self.vehicle.vehicle, "position": position, "side": side, **row})
        alike = [{**row, "side": ""} for row in found]
        if len(found) == len(self.places.sides_of(position)) > 1 and all(a == alike[0] for a in alike):
            return alike[:1]
        return found

    def _as_built(
        self, built: PlaceBuilt, there: Fitting | None, plan: str, new_items: list[dict[str, str]]
    ) -> dict[str, str] | None:
        if built.status == FREED or not (built.new or built.thing):
            return _cells() if self._would_come_back(built) or built.status != FREED else None
        is_item = built.thing in self.catalogue.items
        part = built.new if is_item else built.thing or built.new
        condition = there.condition if there is not None and built.status == KEPT_AFTER_WORK else SOUND
        item = built.thing if is_item else self._new_item(built, part, plan, new_items)
        return _cells(part, item, condition)

    def _would_come_back(self, built: PlaceBuilt) -> bool:
        """Whether the vehicle that this one is like has something there, which would count without an own row."""
        like = self.catalogue.vehicles.get(self.vehicle.like)
        return like is not None and any(f.position == built.position for f in like.fittings)

    def _new_item(self, built: PlaceBuilt, part: str, plan: str, new_items: list[dict[str, str]]) -> str:
        """A name of its own for a new thing where something was read in its place: what was read there was read on
        the old thing. Blank where nothing was."""
        here = (i for i in self.catalogue.items.values() if i.vehicle == self.vehicle.vehicle)
        if not any(i.position == built.position and i.side in ("", built.side) for i in here):
            return ""
        name = f"{self.vehicle.vehicle} {built.place}, {plan}"
        taken = {*self.catalogue.items, *(row["item"] for row in new_items)}
        free = next(n for n in (name, *(f"{name} {k}" for k in range(2, 1000))) if n not in taken)
        new_items.append({"item": free, "part": part, "title": f"fitted with plan {plan}"})
        return free

    def _arrange(self, vehicles: _Table, answer: RecordAnswer) -> None:
        """The arrangements that the vehicle has now, where they are others."""
        if answer.was == answer.now:
            return
        come = [a for a in answer.now.split("; ") if a]
        other = {a for c in self.layout.choices if set(c.arrangements) & set(come) for a in c.arrangements}

        def now_has(row: dict[str, str]) -> dict[str, str]:
            kept = [a for a in map(str.strip, row["arrangement"].split(";")) if a and a not in other]
            return {**row, "arrangement": ";".join([*kept, *come])}

        vehicles.alter(lambda row: row["vehicle"] == self.vehicle.vehicle, now_has)


_BY_HAND = "Nothing was written. Change the fittings where they stand, by hand"


def _cells(part: str = "", item: str = "", condition: str = "") -> dict[str, str]:
    return {"part": part, "item": item, "condition": condition}


def _as_it_is(there: Fitting | None) -> dict[str, str] | None:
    return None if there is None else _cells(there.member or there.part, there.item, there.condition)


class _Table:
    """A table whose rows are replaced; each other row stays as it is written, to the byte."""

    def __init__(self, path: Path, columns: Sequence[str] = ()) -> None:
        self.path = path
        self.was = content_of(path) if path.exists() or path.is_symlink() else b""
        self.mark = codecs.BOM_UTF8 if self.was.startswith(codecs.BOM_UTF8) else b""
        try:
            self.lines = lines_of(self.was.removeprefix(self.mark))
        except CannotBeBoth as error:
            raise JobRefused(f"{path} cannot be split into rows: {error}. Correct it first") from error
        self.end = "\r\n" if self.lines and self.lines[0][1].endswith("\r\n") else "\n"
        if not self.lines and columns:
            self.lines = [(tuple(columns), line_of(tuple(columns), self.end))]
        self.head = [c.lower() for c in self.lines[0][0]] if self.lines else []
        self.is_changed = False

    def rows(self) -> Iterator[dict[str, str]]:
        """The rows by column; columns of these names that the table lacks are blank."""
        return (self._row(cells) for cells, _ in self.lines[1:])

    def _row(self, cells: Row) -> dict[str, str]:
        blank = dict.fromkeys(("vehicle", "position", "side", "part", "item", "condition", "arrangement"), "")
        return blank | dict(zip(self.head, cells, strict=False))

    def replace(self, goes: _Test, rows: Iterable[dict[str, str]]) -> None:
        """Leave out the rows of which ``goes`` is true; put these where the first of them stood, or at the end."""
        new = list(rows)
        gone = [n for n, (cells, _) in enumerate(self.lines) if n and goes(self._row(cells))]
        if not (new or gone):
            return
        self._widen([c for row in new for c, cell in row.items() if cell])
        if self.lines and not self.lines[-1][1].endswith("\n"):
            self.lines[-1] = (self.lines[-1][0], self.lines[-1][1] + self.end)
        written = [self._line(row) for row in new]
        place = gone[0] if gone else len(self.lines)
        stay = [(n, line) for n, line in enumerate(self.lines) if n not in gone]
        before = [line for n, line in stay if n < place]
        self.lines = [*before, *written, *(line for n, line in stay if n >= place)]
        self.is_changed = True

    def alter(self, which: _Test, to: _Alter) -> None:
        """Write some rows anew where they stand."""
        self._widen(["arrangement"])
        for n, (cells, _) in enumerate(self.lines):
            if n and which(row := self._row(cells)):
                self.lines[n] = self._line(to(row))
                self.is_changed = True

    def _widen(self, columns: Iterable[str]) -> None:
        """Add columns that the table lacks, at its right; every line is written anew then."""
        more = [c for c in dict.fromkeys(columns) if c not in self.head]
        if not more:
            return
        wide = len(self.head)
        self.head += more
        padded = [(*cells, *[""] * (wide - len(cells))) for cells, _ in self.lines]
        added = [tuple(more), *[("",) * len(more)] * (len(padded) - 1)]
        rows = [(*cells, *plus) for cells, plus in zip(padded, added, strict=True)]
        self.lines = [(cells, line_of(cells, self.end)) for cells in rows]

    def _line(self, row: Mapping[str, str]) -> tuple[Row, str]:
        cells = tuple(row.get(c, "") for c in self.head)
        return cells, line_of(cells, self.end)

    def content(self) -> bytes:
        """The table as it is to be written."""
        text = "".join(written for _, written in self.lines)
        return self.mark + text.encode("utf-8", "surrogateescape")
