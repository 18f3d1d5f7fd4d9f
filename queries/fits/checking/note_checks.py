"""Which check a note is about, also where its writer did not name it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.schema import Vocabulary
from knockon.graph.model.things import Note
from knockon.queries.per_catalogue import per_catalogue


def check_of(catalogue: Catalogue, note: Note) -> str:
    """The joint or figure that a note names; else the one joint at which its parts meet, by their part types.

    Blank where its parts are of one type or of more than two, meet at no joint, or at several: then it is not guessed.
    """
    if note.joint:
        return note.joint
    types = frozenset(catalogue.parts[n].part_type for n in note.parts if n in catalogue.parts)
    return _meeting(catalogue)(types) if len(types) == 2 else ""


@per_catalogue("notes", "parts", "layouts", "vocabulary")
def made_to_fit(catalogue: Catalogue) -> Mapping[str, tuple[frozenset[str], ...]]:
    """The parts that members' notes of work made to fit, by the check that each note is about."""
    found: dict[str, list[frozenset[str]]] = {}
    for note in catalogue.notes.values():
        if note.outcome == "made to fit" and note.member and note.work_done:
            found.setdefault(check_of(catalogue, note), []).append(frozenset(note.parts))
    return {check: tuple(parts) for check, parts in found.items()}


@per_catalogue("layouts", "vocabulary")
def _meeting(catalogue: Catalogue) -> Callable[[frozenset[str]], str]:
    """What finds the one joint of parts of two types, remembered by type: notes are many, pairs of types few."""
    layouts, vocabulary = tuple(catalogue.layouts.values()), catalogue.vocabulary
    return cache(lambda types: _joint_of(layouts, vocabulary, types))


def _joint_of(layouts: Iterable[Layout], vocabulary: Vocabulary, types: frozenset[str]) -> str:
    joints = set()
    for layout in layouts:
        taken = {p.position: {t for t in types if vocabulary.is_a(t, p.part_type)} for p in layout.positions}
        for joint in layout.joints:
            first, second = (taken.get(end.position, set()) for end in joint.ends)
            if first and second and first | second == types:
                joints.add(joint.joint)
    return joints.pop() if len(joints) == 1 else ""
