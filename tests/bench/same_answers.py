"""Whether a change of the program changed any answer: two states of it asked the same, compared byte for byte.

    python -m tests.bench.same_answers COMMIT_OR_FOLDER --worlds 2000 --seed 1

asks the state of a commit, or of a checkout in a folder, and this checkout (``--after``: another one) about the demo
world and about random worlds (those of tests/oracle): swaps, combinations, kits and what is disputed, each as text with
all details and as JSON. It prints every difference and how many answers were compared; the exit status is 1 where any
differs. Worlds and questions are written down once, by this checkout, and read by both. What each state said is kept in
``--out``; with ``--again`` a state that was asked before is not asked again. Where the later state says more than the
earlier did, ``--new`` names those lines, so that the rest is compared. Or ``--more`` compares, in the JSON alone, what
the earlier state says, value for value, and ``--but`` names the values that may be others, by where they stand (/how).
"""

from __future__ import annotations

import argparse
import difflib
import io
import json
import os
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from importlib import import_module
from itertools import islice
from pathlib import Path
from typing import Any

HERE = Path(__file__).parents[2]
TOGETHER = 25
"""Worlds of one records folder: it is read once."""
WISHES = ("rotor=LARCH-201", "rotor=LARCH-301", "wheel=MAPLE-301", "brake drum=LARCH-101", "disc", "drum",
          "rotor.diameter>=230 mm", "rotor.diameter>=400 mm")  # fmt: skip
LAYOUT = "tansy front axle"
TEXT = ("--full",)
ALL_DETAILS: dict[str, tuple[str, ...]] = {"combinations": ("--others",), "disputes": ()}
MOST_LINES = 12
"""Lines of a difference that are printed."""

Question = dict[str, Any]
"""``folder`` (blank: the demo world), ``world`` (what its names begin with), and the words of the ``command``."""


# ---- what is asked


def of_the_demo() -> Iterator[Question]:
    """Questions about the demo world."""
    from knockon.graph.records import load

    catalogue = load(HERE / "data_demo").catalogue
    commands = [["swap", vehicle, "--want", wish] for vehicle in catalogue.vehicles for wish in WISHES]
    commands += [["kit", kit, "--for", "tansy-m080", "--want", WISHES[0]] for kit in catalogue.kits]
    commands += [["combinations", LAYOUT, *given] for given in ((), ("--with", WISHES[0]), ("--with", WISHES[3]))]
    commands += [["disputes"], ["swap", "tansy-m080", "--want", "disc", "--side-by-side"]]
    yield from ({"folder": "", "world": "", "command": command} for command in commands)


def of_worlds(first: int, worlds: int, folder: Path) -> Iterator[Question]:
    """Questions about random worlds, whose records are written into a folder."""
    from tests.oracle.apart import named_apart
    from tests.oracle.generate import case_from_seed
    from tests.oracle.kits import kit_of
    from tests.oracle.records import write_records

    for begin in range(first, first + worlds, TOGETHER):
        seeds = range(begin, min(begin + TOGETHER, first + worlds))
        cases = {seed: named_apart(case_from_seed(seed), f"W{seed}") for seed in seeds}
        write_records(folder / str(begin), *(case.world for case in cases.values()))
        for seed, case in cases.items():
            kit = ", ".join(f"{number} x{count}" for number, count in kit_of(case, seed).items())
            for command in _asked(case, kit):
                yield {"folder": str(folder / str(begin)), "world": f"W{seed}-", "command": command}


def _asked(case: Any, kit: str) -> Iterator[list[str]]:
    request, vehicle = case.request, case.vehicle.name
    wants = [f"{position}={part}" for position, part in request.wants] + list(request.arrangements)
    for one in request.properties:
        size = f">={one.window.low}" if one.window.low is not None else f"<={one.window.high}"
        wants.append(f"{one.position}.{one.dimension}{size} mm")
    options = {"--want": wants, "--keep": request.keep, "--avoid": request.avoid, "--renew": request.renew}
    words = [word for option, values in options.items() for value in values for word in (option, value)]
    yield ["swap", vehicle, *words, *(w for level in request.prefer for w in ("--prefer", level))]
    yield ["kit", kit, "--for", vehicle, *words]
    yield ["combinations", case.world.layout, *(w for want in wants for w in ("--with", want))]


# ---- one state, asked


def ask(asked: Path, said: Path) -> None:
    """Write down what the program on the path says to each question."""
    done = sum(1 for _ in said.open(encoding="utf-8")) if said.exists() else 0
    with asked.open(encoding="utf-8") as lines, said.open("a", encoding="utf-8") as out:
        for line in islice(lines, done, None):
            question = json.loads(line)
            out.write(json.dumps([_told(question, *form) for form in (TEXT, ("--json",))]) + "\n")
            out.flush()


def _told(question: Question, *form: str) -> list[Any]:
    """The exit status, and what was printed."""
    from knockon.queries.ui import command_line

    command, *words = question["command"]
    _answer_once(command_line.COMMANDS[command][0], question["folder"], question["world"])
    said = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", write_through=True)
    beside = io.StringIO()
    if form == TEXT:
        form = ALL_DETAILS.get(command, form)
    with redirect_stdout(said), redirect_stderr(beside):
        status = command_line.main([command, *words, *form])
    assert isinstance(said.buffer, io.BytesIO)
    printed = said.buffer.getvalue().decode()
    return [status, printed.replace(question["folder"], "FOLDER") if question["folder"] else printed, _last(beside)]


def _last(beside: io.StringIO) -> str:
    lines = beside.getvalue().strip().splitlines()
    return lines[-1] if lines else ""


_plain: dict[str, dict[str, Callable[..., Any]]] = {}


def _answer_once(command: str, folder: str, world: str) -> None:
    """Let a command plan once for both forms, on the records of one world: what it calls to plan keeps its answer."""
    module = vars(import_module(f"knockon.queries.ui.commands.{command}"))
    if command not in _plain:
        named = {name: value for name, value in module.items() if callable(value) and not isinstance(value, type)}
        plans = {name: value for name, value in named.items() if _plans(getattr(value, "__module__", "") or "")}
        _plain[command] = {**plans, "load": module["load"]}
    for name, work in _plain[command].items():
        module[name] = _kept(work, (folder, world))
    module["load"] = (lambda settings: _records(folder, world)) if folder else _plain[command]["load"]


def _plans(module: str) -> bool:
    return module.startswith(("knockon.queries.plan.", "knockon.queries.club.disputes"))


_last_answer: dict[str, tuple[object, Any]] = {}


def _kept(work: Callable[..., Any], records: tuple[str, str]) -> Callable[..., Any]:
    def answered(catalogue: Any, *words: Any, **options: Any) -> Any:
        key = (work.__name__, records, repr(words), repr({k: v for k, v in options.items() if k != "patience"}))
        if _last_answer.get(work.__name__, (None,))[0] != key:
            _last_answer[work.__name__] = key, work(catalogue, *words, **options)
        return _last_answer[work.__name__][1]

    return answered


@cache
def _records(folder: str, world: str) -> Any:
    """The records of one world of a folder."""
    from msgspec.structs import replace

    from tests.oracle.folders import part_of

    records = _folder(folder)
    return replace(records, catalogue=part_of(records.catalogue, world))


@cache
def _folder(folder: str) -> Any:
    from knockon.graph.records import load

    return load(Path(folder))


# ---- two states


def state(named: str, scratch: Path) -> Path:
    """A folder in which the package ``knockon`` is that of a checkout, or of a commit, which is unpacked."""
    folder = Path(named)
    if not folder.is_dir():
        folder = scratch / "checkout"
        folder.mkdir(parents=True)
        tree = subprocess.run(["git", "-C", str(HERE), "archive", named], stdout=subprocess.PIPE, check=True).stdout
        subprocess.run(["tar", "-x", "-C", str(folder)], input=tree, check=True)
    package = scratch / "package"
    (package / "knockon").mkdir(parents=True)
    shell = [
        *(folder / "queries" / "knockon").iterdir(),
        *(folder / room for room in ("graph", "queries", "data_demo")),
    ]
    for one in shell:
        (package / "knockon" / one.name).symlink_to(one.resolve())
    return package


def asked_of(package: Path, asked: Path, said: Path, scratch: Path) -> None:
    """Ask the program of a package, in a process of its own."""
    environment = dict(os.environ, PYTHONPATH=f"{package}{os.pathsep}{HERE}", KNOCKON_CACHE=str(scratch / "copies"),
                       PYTHONPYCACHEPREFIX=str(scratch / "compiled"), COLUMNS="100")  # fmt: skip
    command = [sys.executable, "-P", str(Path(__file__).resolve()), "--ask", str(asked), str(said)]
    subprocess.run(command, env=environment, check=True, cwd=HERE)


def compared(
    asked: Path, before: Path, after: Path, differ: Callable[[Sequence[Any], Sequence[Any]], list[str]]
) -> Iterator[tuple[Question, list[str]]]:
    """Each question with the lines that differ, none where all is the same."""
    with asked.open(encoding="utf-8") as lines, before.open(encoding="utf-8") as ones, after.open() as others:
        for line, one, other in zip(lines, ones, others, strict=True):
            yield (
                json.loads(line),
                [d for a, b in zip(json.loads(one), json.loads(other), strict=True) for d in differ(a, b)],
            )


def _differ(one: Sequence[Any], other: Sequence[Any]) -> list[str]:
    if one == other:
        return []
    before, after = (
        [f"exit status {status}", *printed.splitlines(), f"beside: {beside}"]
        for status, printed, beside in (one, other)
    )
    found = difflib.unified_diff(before, after, n=0, lineterm="")
    return [line for line in found if not line.startswith(("---", "+++", "@@"))]


def _lost(one: Sequence[Any], other: Sequence[Any]) -> list[str]:
    """The exit status, and what the earlier JSON says and the later one does not, each with where it stands."""
    status = [] if one[0] == other[0] else [f"-exit status {one[0]}, +{other[0]}"]
    if not one[1].startswith("{") or not other[1].startswith("{"):
        return status
    return status + list(_values_lost(json.loads(one[1]), json.loads(other[1]), ""))


def _values_lost(one: Any, other: Any, where: str) -> Iterator[str]:
    if isinstance(one, dict) and isinstance(other, dict):
        for key, value in one.items():
            yield from _values_lost(value, other.get(key, "nothing of this name"), f"{where}/{key}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for i, (value, later) in enumerate(zip(one, other, strict=True)):
            yield from _values_lost(value, later, f"{where}[{i}]")
    elif one != other:
        yield f"{where}: -{one!r} +{other!r}"


def main() -> int:
    """Ask both, print what differs; the exit status."""
    parser = argparse.ArgumentParser(description="Two states of the program, asked the same.")
    parser.add_argument("before", metavar="COMMIT_OR_FOLDER", nargs="?")
    parser.add_argument("--after", default=str(HERE), metavar="COMMIT_OR_FOLDER")
    parser.add_argument("--worlds", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1, help="the first world's seed")
    parser.add_argument("--out", type=Path)
    parser.add_argument("--new", default="", metavar="PATTERN", help="lines that only the later state may have")
    parser.add_argument(
        "--more", action="store_true", help="the later state may say more: compare what both say as JSON"
    )
    parser.add_argument("--but", default="", metavar="PATTERN", help="with --more: values that may be others, by place")
    parser.add_argument("--no-demo", action="store_true", help="random worlds only")
    parser.add_argument("--again", action="store_true", help="keep what --out has of a state")
    parser.add_argument("--ask", nargs=2, type=Path, metavar="FILE", help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.ask:
        ask(*options.ask)
        return 0
    if not options.before:
        parser.error("say which state to compare with")
    with tempfile.TemporaryDirectory() as scratch:
        return _run(options, Path(scratch), options.out or Path(scratch) / "out")


def _run(options: argparse.Namespace, scratch: Path, out: Path) -> int:
    out.mkdir(parents=True, exist_ok=True)
    asked, said = out / "asked.jsonl", {side: out / f"{side}.jsonl" for side in ("before", "after")}
    if not (options.again and asked.exists()):
        demo = () if options.no_demo else of_the_demo()
        found = (*demo, *of_worlds(options.seed, options.worlds, out / "worlds"))
        asked.write_text("".join(json.dumps(one) + "\n" for one in found), encoding="utf-8")
    for side, file in said.items():
        if not options.again:
            file.unlink(missing_ok=True)
        package = state(getattr(options, side), scratch / side)
        asked_of(package, asked, file, scratch / side)
    differing: Counter[str] = Counter()
    number: Counter[str] = Counter()
    new = re.compile(options.new or r"(?!)")
    but = re.compile(options.but or r"(?!)")
    before, after = said.values()
    for question, every in compared(asked, before, after, _lost if options.more else _differ):
        kept = [line for line in every if not but.search(line.split(": ")[0])] if options.more else every
        lines = [line for line in kept if not (line.startswith("+") and new.search(line[1:]))]
        kind = ("world's " if question["folder"] else "demo's ") + question["command"][0]
        number[kind] += 1
        if lines:
            differing[kind] += 1
            print("DIFFERS", question["world"], *question["command"])
            print(*(f"    {line}" for line in lines[:MOST_LINES]), sep="\n")
            if len(lines) > MOST_LINES:
                print(f"    ... {len(lines) - MOST_LINES} more lines")
    for kind, count in sorted(number.items()):
        print(f"{kind}: {count} asked, {differing[kind]} differ")
    return 1 if differing else 0


if __name__ == "__main__":
    sys.exit(main())
