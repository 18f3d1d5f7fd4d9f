"""Mistakes that a newcomer makes: each is answered in a few lines, with what to type instead."""

from __future__ import annotations

import contextlib
import io
import shlex
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import knockon
from knockon.queries.opened import Opened, RecordsError, RequestError, UnknownNameError
from tests.commands.running import run
from tests.docs.following import follow

ROOT = Path(__file__).parents[2]
WISH = 'swap tansy-m080 --want "{}"'
ROTOR = "swap tansy-m080 --want rotor=LARCH-201"

WRONG = [
    # commands and options
    ("swop tansy-m080", "Nearest: swap"),
    ("order tansy-m080", "Say what you want"),
    ("search rotor", "Nearest: list"),
    ("help swap", "knockon swap --help"),
    ("swap tansy-m080 --wants rotor=LARCH-201", "--want"),
    ('fits ROWAN-201 ROWAN-241 --joint "flange on stub"', "Options: --at"),
    ("swap tansy-m080 --want hub nut=ROWAN-252", 'quotation marks ("hub nut=PART")'),
    ("swap tansy-m080 --want rotor = LARCH-201", "leave no blanks beside the sign"),
    ("kit K1 --want rotor=LARCH-201", "Type --for VEHICLE"),
    ("vehicle", "knockon list vehicles"),
    (f"{ROTOR} --plans lots", "not a whole number"),
    ("disputes ROWAN-201", "takes no name. Leave it out"),
    # words of the trade
    (WISH.format("CV joint=ROWAN-201"), "'CV joint' can mean outer joint or inner joint"),
    (WISH.format("brake line=HAZEL-211"), "HAZEL-211 is a front hose. It stands in front hose"),
    (f'{ROTOR} --avoid "CV joint"', "knockon list parts --type 'outer joint'"),
    (f'{ROTOR} --renew "wheel bearings"', "inner bearing"),
    ("list cars", "Write vehicles"),
    ("list part", "Write parts"),
    # parts, positions, vehicles, kits
    ("part ROWAN-2O1", "Nearest: ROWAN-201"),
    ("part rotor", "Enter the number of a part, such as LARCH-201"),
    ("fits rotor ROWAN-241", "Enter the number of a part, such as LARCH-201"),
    (WISH.format("LARCH-201=rotor"), "a position is expected. Write rotor"),
    (WISH.format("LARCH-201"), 'Write "rotor=LARCH-201"'),
    ("fits ROWAN-201,ROWAN-241", "with a blank between them"),
    ('fits ROWAN-201 ROWAN-241 --at "spline"', "flange on stub"),
    ('swap "the tansy van" --want rotor=LARCH-201', "Nearest: tansy-m080"),
    ('kit "disc conversion" --for tansy-m080 --want rotor=LARCH-201', "Nearest: K1"),
    # sizes and wishes
    (WISH.format("rotor.outside diameter>=190"), "Did you mean 190 ±0.5 mm or 190 in?"),
    (WISH.format("rotor.outside diameter>=190,5 mm"), "Did you mean 190.5 mm?"),
    (WISH.format("rotor.outside diameter>=7 1/2"), "7 1/2 mm or 7 1/2 in"),
    (WISH.format("rotor.size>=190 mm"), "Nearest: outside diameter"),
    (WISH.format("rotor.outside diameter=>190 mm"), "with one sign: =, >= or <="),
    (WISH.format("rotor==LARCH-201"), "with one sign: =, >= or <="),
    (WISH.format("rotor.outside diameter over 190 mm"), "POSITION.DIMENSION>=VALUE"),
    (WISH.format("rotor"), "rotor=PART or rotor.DIMENSION>=VALUE"),
    # notes, queries, arithmetic
    ("note list --outcome works", "'worked', 'failed'"),
    ('--records mine note add --text "it fits" --outcome worked', "--member"),
    ("note add --vehicle tansy-m080", "--records DIR"),
    ('ask "SELECT ?x WHERE { ?x ?y ?z"', "knockon ask query.rq"),
    ("ask failure", "Nearest: failures"),
    ("calculate wheel", "Choose one of these"),
    ("calculate fit 25 H7/g6", "quotation marks"),
    # folders and files
    ("check mine", "--records mine"),
    ("swap mine --want rotor=R-120", "Nearest: tansy"),
    ("--records mien check", "Nearest: mine"),
    ("--records mine/parts.csv check", "name the folder that it is in"),
    ("--records mine/features check", "Name the folder mine"),
    ("--records empty check", "Begin with parts.csv"),
    ("--records books check", "knockon import parts.xlsx"),
    ("--records mine import sheets/parts.xlsx", "Name it with its folder"),
    ("--records mine import books/parts.xlsx", "Save it as .xlsx or .csv"),
]
"""What is typed wrongly, and what the answer must say to type instead; exit status 2."""

TAKEN = [
    (WISH.format("axle nut=ROWAN-252"), "axle nut", "hub nut"),
    (WISH.format("brake disc=LARCH-201"), "brake disc", "rotor"),
    (WISH.format("disk=LARCH-201"), "disk", "rotor"),
    (WISH.format("stub axle=ROWAN-201"), "stub axle", "outer joint"),
    (WISH.format("upright=ALDER-201L"), "upright", "knuckle"),
    ('list parts --type "brake disc"', "brake disc", "rotor"),
    (f'{ROTOR} --why "axle nut"', "axle nut", "hub nut"),
]
"""What is typed in a word of the trade that has one meaning, and the name that it counts as."""

NO = [
    ("nocolumns", "FITTINGS.CSV", "PARTS.CSV", "part"),
    ("notable", "FITTINGS.CSV", "PARTS.CSV", ""),
    ("nounit", "", "JOURNAL.CSV", "Perhaps '52 ±0.5 mm'"),
    ("comma", "", "JOURNAL.CSV", "Perhaps '52.5 mm'"),
    ("trade", "", "PARTS.CSV", "'outer joint'"),
    ("standing", "FITTINGS.CSV", "SOURCES.CSV", "drawing"),
    ("verdict", "", "CLAIMS.CSV", "listed for, goes with"),
]
"""A folder of records with a fault, the file that only suffers from it, the file of the fault, and what helps."""

PYTHON: list[tuple[str, Callable[[Opened], Any], str]] = [
    ("open", lambda k: knockon.open("mien"), "Nearest: mine"),
    ("part", lambda k: k.part("ROWAN-2O1"), "ROWAN-201"),
    ("position as part", lambda k: k.part("rotor"), "give a part number. rotor: LARCH-201"),
    (
        "want as dict",
        lambda k: k.swap("tansy-m080", {"rotor": "LARCH-201"}),  # type: ignore[arg-type]
        "rotor=PART",
    ),
    ("list", lambda k: k.list("cars"), "vehicles"),
]


def _written(folder: Path, name: str, table: str, change: Callable[[str], str]) -> None:
    shutil.copytree(folder / "mine", folder / name)
    path = folder / name / table
    path.write_text(change(path.read_text(encoding="utf-8") if path.exists() else ""), encoding="utf-8")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the records of docs/start.md in ``mine``, and others beside it that have a fault each."""
    folder = tmp_path_factory.mktemp("newcomer")
    with contextlib.chdir(folder):
        follow(folder, lambda command: run(*shlex.split(command)[1:]), until="knockon --records mine import mine")
    fittings = folder / "mine" / "fittings.csv"
    text = fittings.read_text(encoding="utf-8")
    fittings.write_text(text.replace("mine,outer joint,,,,", "mine,outer joint,,J-20,,sound"), encoding="utf-8")
    (folder / "empty").mkdir()
    (folder / "books").mkdir()
    (folder / "books" / "parts.xlsx").write_bytes(b"\x00\xff\x13\x00" * 40)
    seat = "part,feature,diameter,source\nJ-25,journal,{},book\n"
    bearings = "features/journal.csv"
    _written(folder, "nocolumns", "parts.csv", lambda _: "name,part type\nknuckle,knuckle\n")
    _written(folder, "notable", "parts.csv", lambda _: "")
    _written(folder, "nounit", bearings, lambda _: seat.format("52"))
    _written(folder, "comma", bearings, lambda _: seat.format('"52,5 mm"'))
    _written(folder, "trade", "parts.csv", lambda t: t.replace("J-25,outer joint,outer joint", "J-25,joint,CV joint"))
    _written(folder, "standing", "sources.csv", lambda t: t.replace(",drawing\n", ",very good\n"))
    _written(folder, "verdict", "claims.csv", lambda _: "part,claim,other part,source\nJ-25,fit,F-25,book\n")
    return folder


@pytest.mark.parametrize(("typed", "instead"), WRONG, ids=[typed for typed, _ in WRONG])
def test_a_mistake_is_answered_with_what_to_type(
    typed: str, instead: str, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    monkeypatch.setattr("sys.stdin", io.StringIO())
    ran = run(*shlex.split(typed))
    assert (ran.status, ran.out) == (2, "")
    assert instead in " ".join(ran.err.split())
    assert "Traceback" not in ran.err
    assert len(ran.err.splitlines()) <= 6


def _as_said(text: str, word: str, name: str) -> str:
    """An answer without what a longer word changes: where lines end, and quotation marks."""
    return " ".join(text.replace(word, name).replace("\\\n", " ").replace("'", "").replace('"', "").split())


@pytest.mark.parametrize(("typed", "word", "name"), TAKEN, ids=[typed for typed, *_ in TAKEN])
def test_a_word_of_the_trade_with_one_meaning_counts_as_the_name(typed: str, word: str, name: str) -> None:
    ran, named = run(*shlex.split(typed)), run(*shlex.split(typed.replace(word, name)))
    assert ran.status == named.status and ran.status in (0, 1)
    assert _as_said(ran.out, word, name) == _as_said(named.out, word, name)


@pytest.mark.parametrize(("folder", "after", "file", "instead"), NO, ids=[name for name, *_ in NO])
def test_the_cause_of_a_fault_in_records_is_on_the_first_page(
    folder: str, after: str, file: str, instead: str, place: Path
) -> None:
    ran = run("--records", str(place / folder), "check")
    assert (ran.status, ran.err) == (1, "")
    assert file in ran.out and instead in ran.flowing
    assert not after or after not in ran.out or ran.out.index(file) < ran.out.index(after)


@pytest.mark.parametrize("typed", ["part ROWAN201", "part rowan-201", 'part "rowan 201"', "vehicle TANSY_M080"])
def test_a_name_written_in_another_way_is_understood(typed: str) -> None:
    assert run(*shlex.split(typed)).status in (0, 1)


def test_records_of_the_first_version_are_read_and_told_how_to_go_on() -> None:
    ran = run("--records", str(ROOT / "tests" / "upgrade" / "first_version"), "check")
    assert (ran.status, "knockon upgrade" in ran.flowing) == (0, True)


@pytest.mark.parametrize(("ask", "instead"), [p[1:] for p in PYTHON], ids=[p[0] for p in PYTHON])
def test_a_mistake_in_python_is_answered_too(
    ask: Callable[[Opened], Any], instead: str, place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(place)
    with pytest.raises((RecordsError, RequestError, UnknownNameError)) as caught:
        ask(knockon.open())
    assert instead in str(caught.value)
