"""RDF that is made to cost, or to steer: refused in bounded time, with the file named."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pyoxigraph as ox
import pytest

from knockon.graph.exchange.server import NotAnswered, Server
from knockon.graph.rdf.canonical import NotRdf, canonical, from_bytes
from tests.exchange.world import write_world

DEEP = 32_000


def complete(nodes: int) -> bytes:
    lines = (f"_:a{i} <x:p> _:a{j} ." for i in range(nodes) for j in range(nodes) if i != j)
    return "\n".join(lines).encode()


@pytest.mark.parametrize("form", ["nq", "ttl", "trig"])
def test_nested_triple_terms_are_refused(form: str) -> None:
    text = "<x:s> <x:p> " + "<<( <x:a> <x:b> " * DEEP + " <x:c> " + ")>> " * DEEP + " ."
    with pytest.raises(NotRdf, match="file: nested more than 64 deep"):
        from_bytes(text.encode(), form, "file")


def test_nested_objects_of_json_are_refused() -> None:
    text = '{"@id":"x:s","x:p":' * DEEP + "1" + "}" * DEEP
    with pytest.raises(NotRdf, match="nested more than 64 deep"):
        from_bytes(text.encode(), "jsonld", "file")


def test_signs_in_a_text_are_no_nesting() -> None:
    text = '<x:s> <x:p> "' + "<<" * 500 + '" .\n'
    assert len(from_bytes(text.encode(), "nq", "file")) == 1


def test_look_alike_blank_nodes_are_refused_in_bounded_time() -> None:
    began = time.process_time()
    with pytest.raises(NotRdf, match="9 blank nodes are so alike"):
        from_bytes(complete(9), "nq", "file")
    assert time.process_time() - began < 5  # of this process: the naming is done in another, which the system ends


def test_few_look_alike_blank_nodes_get_the_names_of_the_standard() -> None:
    ring = "\n".join(f"_:n{i} <x:p> _:n{(i + 1) % 4} ." for i in range(4)).encode()
    turned = "\n".join(f"_:m{(i + 2) % 4} <x:p> _:m{(i + 3) % 4} ." for i in range(4)).encode()
    found = from_bytes(ring, "nq", "file")
    assert found == from_bytes(turned, "nq", "file")
    dataset = ox.Dataset(ox.parse(ring, format=ox.RdfFormat.N_QUADS))
    dataset.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    assert set(found) == set(dataset) == set(canonical(dataset))


def answering(content: bytes) -> Server:
    return Server("http://localhost/sparql", lambda fields, accept: content)


@pytest.mark.parametrize("count", ["many", "", "-1", "1e3", "9" * 400])
def test_a_server_whose_count_is_no_number(count: str) -> None:
    answer = f'{{"head":{{"vars":["n"]}},"results":{{"bindings":[{{"n":{{"type":"literal","value":"{count}"}}}}]}}}}'
    with pytest.raises(NotAnswered, match="asked for the number of its statements"):
        answering(answer.encode()).quads()


def test_a_server_that_nests_its_answer() -> None:
    opened = '{"type":"triple","value":{"subject":{"type":"uri","value":"x:s"},'
    opened += '"predicate":{"type":"uri","value":"x:p"},"object":'
    answer = '{"head":{"vars":["o"]},"results":{"bindings":[{"o":' + opened * DEEP
    answer += '{"type":"uri","value":"x:o"}' + "}}" * DEEP + "}]}}"
    with pytest.raises(NotAnswered, match="nested more than 64 deep"):
        answering(answer.encode()).select("SELECT * {}")


def test_no_escape_reaches_the_terminal_through_a_message(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "records")
    evil = "\x1b]0;evil\x07\x1b[31m"
    for arguments in (
        ("fits", evil, "S-1"), ("part", evil), ("swap", evil), ("import", evil), ("merge", evil + ".trig"),
        ("ask", evil), (evil,), ("fits", "--" + evil), ("calculate", evil),
        ("note", "withdraw", evil, "--member", "m1"),
        ("quarantine", "--accept", evil), ("ask", "offers-of", "--seconds", "nan"), ("export", evil + "/x.nq"),
    ):  # fmt: skip
        command = [sys.executable, "-m", "knockon", *arguments, "--records", str(folder)]
        done = subprocess.run(command, capture_output=True, check=False, timeout=60)
        assert done.returncode == 2, arguments
        assert b"\x1b" not in done.stdout + done.stderr and b"\x07" not in done.stdout + done.stderr, arguments
        assert b"Traceback" not in done.stderr


def test_a_vocabulary_that_nests_is_told_by_check(tmp_path: Path) -> None:
    folder = write_world(tmp_path / "records")
    text = "<x:s> <x:p> " + "<<( <x:a> <x:b> " * DEEP + " <x:c> " + ")>> " * DEEP + " ."
    (folder / "own.ttl").write_text(text, encoding="utf-8")
    command = [sys.executable, "-m", "knockon", "check", "--json", "--records", str(folder)]
    done = subprocess.run(command, capture_output=True, check=False, timeout=60)
    assert done.returncode == 1 and b"nested more than 64 deep" in done.stdout
