"""Is a records folder in order? Every finding with file, row, column; shapes checked on the graph."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.catalogue import Catalogue, build_catalogue
from knockon.graph.records import Finding, read_graph
from knockon.graph.validate import validate


@dataclass(frozen=True, slots=True)
class CheckAnswer:
    """The findings, and what was read: counts by name, shapes and nodes that were checked."""

    records: str
    findings: tuple[Finding, ...]
    counts: dict[str, int]

    @property
    def set_aside(self) -> int:
        """How many findings set something aside."""
        return sum(f.set_aside for f in self.findings)


def check_records(folder: Path, progress: Callable[[str], None] = lambda step: None) -> CheckAnswer:
    """Read and validate a records folder; ``progress`` hears each step. Raises RecordsError if it cannot be read at all."""
    progress("reading tables")
    store, vocabulary, findings = read_graph(folder)
    progress("building the catalogue")
    catalogue = build_catalogue(store, vocabulary)
    progress("checking shapes")
    report = validate(store, folder)
    progress("checking layouts")
    found = sorted({*findings, *report.findings, *_layout_findings(catalogue)})
    counts = {"statements": len(store), "parts": len(catalogue.parts), "features": sum(len(f) for f in catalogue.features.values()),
              "vehicles": len(catalogue.vehicles), "kits": len(catalogue.kits), "notes": len(catalogue.notes),
              "shapes checked": report.shapes, "nodes checked": report.nodes}  # fmt: skip
    return CheckAnswer(str(folder), tuple(found), counts)


def _layout_findings(catalogue: Catalogue) -> list[Finding]:
    """Names inside a layout that mean nothing: positions of joints, terms, carriers, set members, fittings."""
    found = []

    def report(table: str, column: str, written: str, problem: str) -> None:
        found.append(Finding(table, 0, column, written, problem, "a position of the layout", (), set_aside=False))

    everywhere = {p.position for layout in catalogue.layouts.values() for p in layout.positions}
    for layout in catalogue.layouts.values():
        known = {p.position for p in layout.positions}
        for joint in layout.joints:
            for name in (joint.position, joint.other_position, *joint.owns):
                if name not in known:
                    report("joints.csv", joint.joint, name, f"joint {joint.joint!r} names no position of {layout.layout!r}")
        for figure in layout.figures:
            for term in figure.terms:
                if term.position not in known:
                    report("figure_terms.csv", figure.figure, term.position, f"figure {figure.figure!r} names no position")
        for position in layout.positions:
            for name in (position.carried_by, position.with_position):
                if name and name not in known:
                    report("positions.csv", position.position, name, f"position {position.position!r} names no position")
    for members in catalogue.set_members.values():
        for member in members:
            if member.position not in everywhere:
                report("set_members.csv", "position", member.position, f"set {member.set!r} fills no position of any layout")
    for vehicle in catalogue.vehicles.values():
        for fitting in vehicle.fittings:
            if fitting.position not in everywhere:
                report("fittings.csv", "position", fitting.position, f"vehicle {vehicle.vehicle!r} has no such position")
    return found
