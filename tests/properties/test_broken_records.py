"""However a records folder is broken: nothing crashes, each fault is named, the good rows load, questions are answered.

Each way of breaking comes once (tests/properties/breaking.py), seeded, on the whole demo world.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.model.build import build_catalogue
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.findings import rows_set_aside
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.schema import RDF, Vocabulary
from knockon.graph.records import Finding, RecordsError, read_graph
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.part import show_part
from knockon.queries.intake.check import check_records
from knockon.queries.plan.swap import plan_swap, read_request
from tests.properties.breaking import WAYS, WORLD, Broken, Folder, broken, whole

TYPE = ox.NamedNode(RDF + "type")
VEHICLE, WISH = "tansy-m080", "rotor=LARCH-201"
TOLD = (UnknownNameError, RequestError, RecordsError)
"""What says clearly why there is no answer."""


def folder_of(files: Folder, root: Path) -> Path:
    for name, content in files.items():
        (root / name).parent.mkdir(parents=True, exist_ok=True)
        (root / name).write_bytes(content)
    return root


def rows_in(store: ox.Store, vocabulary: Vocabulary) -> set[str]:
    """The rows that were loaded, by what they are about."""
    shapes = {*(t.iri for t in vocabulary.tables.values()), *vocabulary.kinds}
    found = (q for iri in shapes for q in store.quads_for_pattern(None, TYPE, ox.NamedNode(iri), None))
    return {q.subject.value for q in found if isinstance(q.subject, ox.NamedNode)}


@cache
def rows_of_the_whole() -> frozenset[str]:
    store, vocabulary, findings = read_graph(WORLD)
    assert not findings
    return frozenset(rows_in(store, vocabulary))


def assert_well_told(findings: tuple[Finding, ...]) -> None:
    """Every finding says where and what, can be printed, and is no flood."""
    for finding in findings:
        assert finding.file and finding.problem and finding.expected
        assert finding.row or "cannot be read" in finding.problem or "contains no table" in finding.problem
        text = f"{finding.column}{finding.written}{finding.problem}{finding.expected}"
        assert text.encode() and "http" not in text.replace(finding.written, "") and len(text) < 2000


def assert_answers(store: ox.Store, vocabulary: Vocabulary, swap_too: bool) -> None:
    """Questions are answered, or it is said why not."""
    catalogue = build_catalogue(store, vocabulary)

    def ask_swap() -> None:
        places = Places(catalogue.find("layout", catalogue.find("vehicle", VEHICLE).layout))
        request = read_request(catalogue, places, want=[WISH])
        plan_swap(catalogue, VEHICLE, request, alternatives=0, reasons=False)

    questions = [
        lambda: judge_parts(catalogue, ["ROWAN-201", "ROWAN-241"]),
        lambda: judge_parts(catalogue, ["ALDER-212"], on="tansy-mk-b"),
        lambda: show_part(catalogue, "LARCH-201"),
        *([ask_swap] if swap_too else []),
    ]
    for question in questions:
        try:
            question()
        except TOLD as error:
            assert str(error)


def test_there_are_many_ways() -> None:
    assert len(WAYS) > 30 and "rows_that_disagree" in WAYS


def told(files: Folder, done: Broken, root: Path, swap_too: bool) -> tuple[Finding, ...]:
    """The findings of a broken folder, everything that must hold checked."""
    store, vocabulary, findings = read_graph(folder_of(files, root))
    if done.harmless:
        assert findings == () and rows_in(store, vocabulary) == rows_of_the_whole(), done
    if done.where:
        assert any((f.file, f.row, f.column) == done.where and f.set_aside for f in findings), (done, findings)
    assert_well_told(findings)
    if not done.takes_rows:
        lost = rows_of_the_whole() - rows_in(store, vocabulary)
        assert len(lost) <= rows_set_aside(findings), (done, sorted(lost)[:5])
    assert_answers(store, vocabulary, swap_too)
    return findings


@pytest.mark.parametrize("seed", range(len(WAYS)), ids=WAYS)
def test_each_fault_is_named_and_the_rest_loads(seed: int, tmp_path: Path) -> None:
    files, done = broken(seed)
    told(files, done, tmp_path, swap_too=seed % 6 == 0)


@pytest.mark.parametrize("way", ["nul", "set_in_itself", "other_order"])
def test_the_exit_status_of_a_check_says_it(way: str, tmp_path: Path) -> None:
    files, done = broken(WAYS.index(way))
    answer = check_records(folder_of(files, tmp_path))
    assert (answer.set_aside == 0) is done.harmless
    assert_well_told(answer.findings)


def test_the_whole_world_is_not_changed_by_breaking_it() -> None:
    before = dict(whole())
    for seed in range(len(WAYS)):
        broken(seed)
    assert whole() == before
