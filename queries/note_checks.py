"""Which check a note is about, also where its writer did not name it."""

from __future__ import annotations

from knockon.graph.catalogue import Catalogue
from knockon.graph.model import Note


def check_of(catalogue: Catalogue, note: Note) -> str:
    """The joint or figure that a note names; else the one joint at which its parts meet, by their part types.

    Blank where its parts are of one type or of more than two, meet at no joint, or at several: then it is not guessed.
    """
    if note.joint:
        return note.joint
    types = {catalogue.parts[n].part_type for n in note.parts if n in catalogue.parts}
    if len(types) != 2:
        return ""
    is_a = catalogue.vocabulary.is_a
    joints = set()
    for layout in catalogue.layouts.values():
        taken = {p.position: {t for t in types if is_a(t, p.part_type)} for p in layout.positions}
        for joint in layout.joints:
            ends = (taken.get(joint.position, set()), taken.get(joint.other_position, set()))
            if ends[0] and ends[1] and ends[0] | ends[1] == types:
                joints.add(joint.joint)
    return joints.pop() if len(joints) == 1 else ""
