"""No mistake of a user, no fault of records or of the surroundings ends in a trace; exit status 2 and one message."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.running import SWAP, demo, real, run
from tests.commands.tiny import write_tiny

RUN = (sys.executable, "-m", "knockon")


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (("part", "ROWAN-2O1"), "no part 'ROWAN-2O1' in these records.\nNearest: "),
        (("fits", "ROWAN-201", "ROWAN-24"), "ROWAN-241"),
        (("fits", "ROWAN-201", "ROWAN-241", "--at", "flange on stup"), "Nearest: flange on stub"),
        (("fits", "ROWAN-201", "ROWAN-241", "--on", "tansy"), "tansy-mk-a"),
        (("fits", "ROWAN-201"), "Name two parts or more"),
        (("partners", "nothing-like-it"), "no part 'nothing-like-it'"),
        (("swap", "tansy-m08", "--want", "rotor=LARCH-201"), "Nearest: tansy-m080"),
        (("swap", "tansy-m080", "--want", "rotr=LARCH-201"), "no position 'rotr' in these records.\nNearest: rotor"),
        (
            ("swap", "tansy-m080", "--want", "rotor"),
            "'rotor' is a position. Write rotor=PART or rotor.DIMENSION>=VALUE",
        ),
        (("swap", "tansy-m080", "--want", "rotor.diameter>=190"), "Enter a length with its unit"),
        (("swap", "tansy-m080", "--want", "rotor.diametre>=190 mm"), "outside diameter"),
        (("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--avoid", "Dunmalow"), "Dunmalow"),
        (("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--prefer", "colour"), "colour"),
        (("swap", "tansy-m080"), "Say what you want"),
        (("kit", "K9", "--for", "tansy-m080", "--want", "rotor=LARCH-201"), "no kit 'K9'"),
        (("kit", "K1", "--want", "rotor=LARCH-201"), "--for"),
        (("combinations", "rear axle"), "tansy front axle"),
        (("check", "--records", "/no/such/folder"), "/no/such/folder is not a folder of records"),
        (("swpa",), "There is no command 'swpa'. Nearest: swap"),
        (("part", "ROWAN-201", "--jsn"), "No such option"),
    ],
    ids=str,
)
def test_one_message_and_exit_status_2(arguments: tuple[str, ...], told: str) -> None:
    ran = demo(*arguments)
    assert (ran.status, ran.out) == (2, "")
    assert told in ran.err
    assert "Traceback" not in ran.err


def test_an_empty_folder_and_one_that_is_not_tables(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    ran = run("check", "--records", str(tmp_path / "empty"))
    assert (ran.status, "contains no record tables" in " ".join(ran.err.split())) == (2, True)
    (tmp_path / "file").write_bytes(b"\x00\xff" * 40)
    assert run("check", "--records", str(tmp_path / "file")).status == 2


def test_tables_that_cannot_be_decoded_are_findings(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    (folder / "features" / "journal.csv").write_bytes(b"part,feature\n\xff\xfe\x00broken")
    ran = run("check", "--records", str(folder))
    assert ran.status == 1
    assert "ontains characters that are not text. Expected: text in UTF-8" in ran.flowing


def test_turtle_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path)
    (folder / "club.ttl").write_text("this is not Turtle", encoding="utf-8")
    ran = run("check", "--records", str(folder))
    assert ran.status == 1
    assert "CLUB.TTL" in ran.out and "is not Turtle, so that nothing of the file is used" in ran.flowing
    assert "line 1" in ran.flowing


def test_control_characters_of_records_do_not_reach_the_terminal(tmp_path: Path) -> None:
    folder = write_tiny(tmp_path, parts='STUB-E,"evil \x1b[31m\x07stub",outer joint,either,no,drawings\n')
    out = run("part", "STUB-E", "--records", str(folder)).out
    assert "evil" in out
    assert "\x1b" not in out and "\x07" not in out


@pytest.mark.parametrize("arguments", [SWAP, (*SWAP, "--json"), ("check",)], ids=" ".join)
def test_a_reader_that_closes_the_pipe_is_no_mistake(arguments: tuple[str, ...]) -> None:
    with subprocess.Popen([*RUN, *arguments], stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        errors = process.stderr.read()
        assert (process.wait(60), errors) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is always full")
def test_a_full_disk_is_told() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run([*RUN, "part", "ROWAN-201"], stdout=full, stderr=subprocess.PIPE, timeout=60, check=False)
    assert done.returncode == 2
    assert done.stderr.startswith(b"knockon: the answer could not be written")
    assert b"Traceback" not in done.stderr


def test_a_closed_standard_output_is_told() -> None:
    done = subprocess.run(
        ["sh", "-c", '"$@" >&-', "sh", *RUN, "part", "ROWAN-201"], stderr=subprocess.PIPE, timeout=60, check=False
    )
    assert (done.returncode, done.stderr) == (2, b"knockon: the standard output is closed\n")


@pytest.mark.skipif(os.name != "posix", reason="signals as Unix has them")
def test_interrupted_it_stops_without_a_trace() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:  # takes the question and never answers it
        server.settimeout(60)
        with subprocess.Popen(
            [*RUN, "ask", "failures", "--server", f"http://127.0.0.1:{server.getsockname()[1]}/sparql"],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            # tests run in the background of a shell ignore interruptions, and so would their children
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 (no threads here)
        ) as process:
            try:
                asked, _ = server.accept()
                process.send_signal(signal.SIGINT)
                out, errors = process.communicate(timeout=60)
            finally:
                process.kill()
        asked.close()
    assert (process.returncode, out, errors.strip()) == (2, b"", b"knockon: stopped")


def test_real_command_gives_the_exit_status_and_the_text() -> None:
    ran = real("fits", "ROWAN-301", "ROWAN-241")
    assert (ran.status, ran.out, ran.err) == (1, demo("fits", "ROWAN-301", "ROWAN-241").out, "")
    assert real("part", "ROWAN-2O1").status == 2


@pytest.mark.parametrize(
    ("question", "said"),
    [
        (("--want", "rotor.diameter>=190"), "unit missing"),
        (("--want", "outer joint=ALDER-211"), "It stands in inner bearing, outer bearing"),
        (("--want", "caliper=LARCH-203L", "--avoid", "Kettlewray Brakes"), "no part or supplier 'Kettlewray Brakes'"),
        (("--want", "left caliper=LARCH-203R"), "LARCH-203R is for the right. The left one is LARCH-203L"),
    ],
)
def test_a_mistake_is_told_within_the_screen(question: tuple[str, ...], said: str) -> None:
    ran = demo("swap", "--full", "tansy-m080", *question)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert max(len(line) for line in ran.err.splitlines()) <= 100
