"""Notes made up for any folder of records, as members write them; and note files as somebody else may have changed
them."""

from __future__ import annotations

from pathlib import Path
from random import Random

from knockon.graph.files.rdf_files import note_files
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.notes.readings import NoteRefused
from knockon.graph.notes.write import OUTCOMES, Draft, add_note, withdraw_note
from knockon.graph.records import load_records

ID, VOCAB = "https://knockon.example/id/", "https://knockon.example/vocab#"


def add_notes(folder: Path, chance: Random, many: int, known: Catalogue | None = None) -> list[str]:
    """Add notes of all sorts: with and without parts, a vehicle, readings on numbers, members, places and items.
    ``known``: the records by which they are written, if not the folder's own."""
    found, by = [], known or load_records(folder)
    for _ in range(many):
        try:
            found.append(add_note(folder, _draft(by, chance), lambda: by, "2026-11-29T10:00:00Z"))
        except NoteRefused:
            continue
    return found


def _draft(known: Catalogue, chance: Random) -> Draft:
    vehicle = chance.choice(["", *known.vehicles])
    sizes = [size for _ in range(chance.choice((0, 0, 1, 2))) if (size := _size(known, vehicle, chance))]
    return Draft(
        member=chance.choice(("m1", "m2")),
        text=chance.choice(("it went together", "worn; see below", "a line\nand another")),
        parts=tuple(chance.sample(sorted(known.parts), min(len(known.parts), chance.choice((0, 1, 2))))),
        vehicle=vehicle,
        outcome=chance.choice(["", *OUTCOMES]) if not sizes else "measured",
        work_done="eased with a file",
        date=chance.choice(("", "2019-05", "last summer")),
        standing=chance.choice(("", "", "worn", "same number, new", "hearsay")),
        sizes=tuple(sizes),
        as_read=True,
    )


def _size(known: Catalogue, vehicle: str, chance: Random) -> str:
    """A reading on a thing that has sizes, or on what stands in a place of the vehicle."""
    sized = [t for t, own in known.features.items() if any(f.dimensions for f in own.values())]
    if not sized:
        return ""
    thing = chance.choice(sized)
    if vehicle and chance.random() < 0.5:
        fittings = [f for f in known.vehicles[vehicle].fittings if (f.item or f.member or f.part) in known.features]
        if fittings:
            fitting = chance.choice(fittings)
            thing = fitting.item or fitting.member or fitting.part
            if not known.features[thing] or not any(f.dimensions for f in known.features[thing].values()):
                return ""
    feature = chance.choice([f for f in known.features[thing].values() if f.dimensions])
    dimension = chance.choice(sorted(feature.dimensions))
    written = chance.choice(["absent", *(s.written for s in feature.dimensions[dimension] if s.written != "?")])
    return f"{thing}, {feature.name}: {dimension.split('.')[0]} = {written}"


def withdraw_some(folder: Path, chance: Random) -> None:
    """Withdraw a note or two, of those in the tables or beside them."""
    known = load_records(folder)
    for note in chance.sample(sorted(known.notes), min(len(known.notes), chance.choice((1, 2)))):
        withdraw_note(folder, note, "m1", "", lambda: known)


def spoil(folder: Path, known: Catalogue, chance: Random) -> str:
    """Change a file of notes in some way that its writer never would; what was done."""
    path = chance.choice(note_files(folder))
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    at, way = chance.randrange(len(lines)), chance.randrange(8)
    if way == 0:
        del lines[at]
    elif way == 1:
        lines[at] = lines[at].replace('"', '"x', 1)
    elif way == 2:
        lines[at] = lines[at].replace(f"{ID}parts/", f"{ID}parts/no-", 1).replace(f"{ID}items/", f"{ID}parts/", 1)
    elif way == 3:
        lines.append(lines[at].replace("/notes/", "/claims/"))
    elif way == 4:
        part = sorted(known.parts)[0]
        lines.append(f'<{ID}parts/{part}> <{VOCAB}name> "another" <{ID}graph/records> .\n')
    elif way == 5:
        other = chance.choice(note_files(folder)).read_text(encoding="utf-8").splitlines(keepends=True)
        lines.append(chance.choice(other))
    elif way == 6:
        lines.append(f'<{ID}notes/N1> <http://www.w3.org/2000/01/rdf-schema#label> "a label" <{ID}sources/N1> .\n')
    else:
        thing = chance.choice(sorted(known.features) or ["X"]).replace(" ", "%20").replace("/", "%2F")
        node, graph = f"<{ID}features/{thing}/bore>", f"<{ID}sources/N1>"
        lines += [f'{node} <{VOCAB}knownAbsent> "true" {graph} .\n']
    path.write_text("".join(lines), encoding="utf-8")
    return f"{path.name} line {at}, way {way}"
