"""Which check a note is about: worked out once a catalogue, however many notes and however many layouts are asked."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.schema import Vocabulary
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.note_checks import check_of, made_to_fit
from tests.unit.small import world

HEADER = "note,date,member,text,parts,joint,outcome,source,work done\n"


def noted(*parts: str) -> Catalogue:
    """A note of work for each of these, which name no joint."""
    rows = (f"N{i},2021,m2,needed filing,{p},,made to fit,N1,filed\n" for i, p in enumerate(parts, 1))
    return world({"notes.csv": HEADER + "".join(rows)})


def test_notes_of_work_stand_under_the_joint_at_which_their_parts_meet() -> None:
    found = made_to_fit(noted("CAP-1;HUB-25L", "HUB-20L;CAP-1", "CAP-1;GREASE", "HUB-20L;AXLE-25", "CAP-1"))
    assert dict(found) == {
        "cap on hub": (frozenset({"CAP-1", "HUB-25L"}), frozenset({"CAP-1", "HUB-20L"})),
        "hub on axle": (frozenset({"HUB-20L", "AXLE-25"}),),
        "": (frozenset({"CAP-1", "GREASE"}), frozenset({"CAP-1"})),
    }


def test_a_note_that_nobody_signs_or_that_names_no_work_counts_for_nothing() -> None:
    catalogue = noted("CAP-1;HUB-25L")
    note = catalogue.notes["N1"]
    for changed in (replace(note, member=""), replace(note, work_done=""), replace(note, outcome="worked")):
        assert not made_to_fit(replace(catalogue, notes={"N1": changed}))


def test_it_is_found_out_once_and_anew_for_another_catalogue(monkeypatch: pytest.MonkeyPatch) -> None:
    catalogue = noted(*["CAP-1;HUB-25L"] * 20, "HUB-20L;AXLE-25")
    asked: list[str] = []
    is_a = Vocabulary.is_a

    def counted(self: Vocabulary, one: str, other: str) -> bool:
        asked.append(one)
        return is_a(self, one, other)

    monkeypatch.setattr(Vocabulary, "is_a", counted)
    places = Places(catalogue.layouts["cart axle"])
    Checks(catalogue, places)
    once = len(asked)
    assert 0 < once <= 2 * 2 * len(places.positions)  # two pairs of part types, though 21 notes
    Checks(catalogue, places)
    Checks(replace(catalogue, features={}), places)  # on trial: other sizes, the same notes
    assert all(check_of(catalogue, n) for n in catalogue.notes.values())
    assert len(asked) == once
    assert made_to_fit(replace(catalogue, notes={})) == {}
    assert check_of(replace(catalogue, layouts={}), catalogue.notes["N1"]) == ""
