"""Is a records folder in order? Every finding with file, row, column; shapes checked on the graph."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from knockon.graph.exchange.answerable import answerable
from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.view import stated
from knockon.graph.judge.lacking import LackedPositions, lacked_positions
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import rows_set_aside
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.layouts.ready_made import NotTaken, not_taken
from knockon.graph.model.things import SIDES
from knockon.graph.notes.photographs import problems_of
from knockon.graph.rdf.store import store_of
from knockon.graph.records import Finding, read_stated
from knockon.graph.rulebook.validate import validate
from knockon.graph.tables.files import read_folder
from knockon.queries.answers import Answer
from knockon.queries.fits.fits import not_recorded
from knockon.queries.fits.lacking import Lacking, lacking
from knockon.queries.fits.number_chains import loops
from knockon.queries.intake.check_names import ANOTHER_NAME, impossible_dates, names_read_otherwise
from knockon.queries.intake.check_readings import unbound_readings, unlike_sizes
from knockon.queries.intake.upgrade import UpgradeAnswer, what_to_upgrade


class CheckAnswer(Answer, frozen=True):
    """The findings, and what was read: counts by name, shapes and nodes that were checked.

    ``lacks_checks``: usual checks that a layout lacks, ``lacks_positions`` usual positions, ``not_taken`` rows of
    ready-made layouts that name positions it lacks; no findings, for nothing is wrong with a row. ``upgrade``: what an
    upgrade of the records would rename and shorten, where there is something.
    """

    records: str
    findings: tuple[Finding, ...]
    counts: dict[str, int]
    lacks_checks: tuple[Lacking, ...] = ()
    lacks_positions: tuple[LackedPositions, ...] = ()
    not_taken: tuple[NotTaken, ...] = ()
    upgrade: UpgradeAnswer | None = None

    @property
    def set_aside(self) -> int:
        """How many rows or cells were set aside."""
        return rows_set_aside(self.findings)

    @property
    def is_in_order(self) -> bool:
        """Whether every row was loaded, and can be asked for by its name."""
        return not self.set_aside and all(f.expected != ANOTHER_NAME for f in self.findings)


def check_records(
    folder: Path, progress: Callable[[str], None] = lambda step: None, without: Sequence[str] = ()
) -> CheckAnswer:
    """Read and validate a records folder; ``progress`` hears each step; ``without`` names sources and clubs left out.

    Raises RecordsError if it cannot be read at all.
    """
    progress("reading tables")
    read = read_stated(folder)
    progress("building the catalogue")
    found = answerable(read, without, merged=merged_clubs(folder))
    findings = tuple(f for f in found.findings if f.file not in {f"clubs/{name}.nq" for name in without})
    catalogue = found.catalogue
    progress("checking shapes")
    report = validate(store_of(found.quads), folder)
    progress("checking layouts")
    readings = {*unbound_readings(catalogue), *unlike_sizes(catalogue), *_chain_findings(catalogue)}
    readings |= {*_photograph_findings(folder, catalogue)}
    tables = list(read_folder(folder, []))
    readings |= {*names_read_otherwise(tables), *impossible_dates(tables)}
    every = sorted({*findings, *report.findings, *_layout_findings(catalogue), *readings})
    counts = {
        "statements": len(stated(read.quads, without, merged_clubs(folder))),
        "parts": len(catalogue.parts),
        "features": sum(len(f) for f in catalogue.features.values()),
        "vehicles": len(catalogue.vehicles),
        "kits": len(catalogue.kits),
        "notes": len(catalogue.notes),
        "shapes checked": report.shapes,
        "nodes checked": report.nodes,
    }
    layouts = [layout for _, layout in sorted(catalogue.layouts.items())]
    positions = tuple(lacked for layout in layouts for lacked in lacked_positions(layout, catalogue.vocabulary))
    left = tuple(row for layout in layouts for row in not_taken(layout))
    upgrade = what_to_upgrade(folder)
    old = None if upgrade.is_up_to_date else upgrade
    return CheckAnswer(
        records=str(folder),
        findings=tuple(every),
        counts=counts,
        lacks_checks=lacking(catalogue, layouts),
        lacks_positions=positions,
        not_taken=left,
        upgrade=old,
    )


def _layout_findings(catalogue: Catalogue) -> Iterator[Finding]:
    """Layouts that judge nothing, and things in positions that their vehicle's layout lacks: no answer speaks of them.
    A row that names a position of no layout, or that hangs on itself, is set aside where the records are read."""
    for layout in catalogue.layouts.values():
        if layout.positions and not layout.joints:
            yield Finding(
                file="joints.csv",
                written=layout.layout,
                problem="the layout has no joints, so nothing can be judged",
                expected="joints",
            )
    for vehicle in catalogue.vehicles.values():
        own = catalogue.layouts.get(vehicle.layout)
        positions = {p.position for p in own.positions} if own else set()
        beside = [f for f in vehicle.fittings if own and not (f.unread or f.taken_from or f.position in positions)]
        for name in dict.fromkeys(f.position for f in beside):
            yield Finding(
                file="fittings.csv",
                column=vehicle.vehicle,
                written=name,
                problem=f"is not a position of {vehicle.layout!r}",
                expected="a position of it",
                set_aside=False,
            )
    yield from _lacking(catalogue)


def _photograph_findings(folder: Path, catalogue: Catalogue) -> Iterator[Finding]:
    """Photographs that notes name and that are not there, or have other bytes than when they were taken in."""
    for note in catalogue.notes.values():
        for name, problem in problems_of(folder, note.photographs):
            yield Finding(
                file=f"photographs/{name}",
                column=f"note {note.note}",
                written=name,
                problem=problem,
                expected="the photograph as it was taken in. Ask whoever wrote the note for it",
                set_aside=False,
            )


def _chain_findings(catalogue: Catalogue) -> Iterator[Finding]:
    """Numbers that are said to have superseded each other: no answer takes one of them for the newest."""
    for way in loops(catalogue):
        said = f"leads back to itself: {' -> '.join(way)}"
        yield Finding(
            file="claims.csv",
            column="other part",
            written=way[1],
            problem=said,
            expected="a chain that ends",
            set_aside=False,
        )


def _lacking(catalogue: Catalogue) -> Iterator[Finding]:
    """Needed positions of a vehicle of which nothing is recorded: no answer takes them for empty, or for filled."""
    for vehicle in catalogue.vehicles.values():
        places = not_recorded(catalogue, vehicle) if vehicle.layout in catalogue.layouts else ()
        if places:
            written = "; ".join(dict.fromkeys(_place_words(places, place) for place in places))
            number = len(written.split("; "))
            said = f"{number} places are needed and not recorded" if number > 1 else "needed and not recorded"
            yield Finding(
                file="fittings.csv",
                column=vehicle.vehicle,
                written=written,
                problem=said,
                expected="a part or an item",
                set_aside=False,
            )


def _place_words(places: Sequence[Place], place: Place) -> str:
    """A place in words; both hands' together by their position."""
    others = sum(p.position == place.position for p in places)
    return place.position if others == len(SIDES) else place
