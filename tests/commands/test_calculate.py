"""Calculations as a restorer asks them: odd units, wrong names, nothing, zero, below zero, huge, the wrong way round.

Each is asked as text and as JSON. Nothing ends in a trace, a mistake says what was expected, and a document has the
published shape.
"""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from tests.commands.running import demo, full

SCHEMA = json.loads((Path(__file__).parents[2] / "docs" / "answers" / "calculate.json").read_text(encoding="utf-8"))
BALANCE = (
    'balance --made-front-cylinder "15/16 in" --made-front-drum "7 in" --made-rear-cylinder "3/4 in" '
    '--made-rear-drum "7 in" --planned-radius "3.0 in" --planned-rear-cylinder "3/4 in" --planned-rear-drum "7 in"'
)
PRESS = 'press-fit --bore "25 mm" --hub "50 mm" --length "20 mm"'
PINS = 'spline-size "25T 24/48" --over-pins "29 mm"'

# command, exit status, what its text says
ASKED: tuple[tuple[str, int, str], ...] = (
    # odd units, all read
    ('fit "1 in H7/g6"', 0, "25.4"),
    ('fit "25,4 H7 / g6"', 0, "A clearance fit"),
    ('limits "25.4mm k6"', 0, "25.402 to 25.415 mm"),
    ('limits "1 1/8 in H7"', 0, "28.575"),
    ('pedal --force "100 lbf" --ratio 5 --master ".700 in"', 0, "8.958 MPa"),
    ('pedal --force "45.36 kgf" --ratio 5 --master "17.78 mm"', 0, "8.958 MPa"),
    ('pedal --pressure "89.58 bar" --ratio 5 --master "0.700 in"', 0, "lbf"),
    ('bolt 3/8-24 --grade "SAE 5" --torque "300 lbf in" --source "a book"', 0, "proof load"),
    ('rim "13 in"', 0, "330 mm"),
    ("rim 10,5", 0, "267 mm"),
    ('hose "3/16 in"', 0, "4 to 5 mm"),
    ('uncertainty --part jaws "±0.02 mm" --part eye "+-0.002 in" --part table "0.01 mm"', 0, "k = 2"),
    ('bearing "6 205"', 0, "52 mm"),
    ('threads "3/8 UNF" "M10x1"', 1, "binds after about 5 turns"),
    ('track --face "3.2 mm" --offset "-3 mm"', 0, "12.4 mm"),
    # wrong names
    ('fit "25 ZZ9/g6"', 2, "no holes ZZ"),
    ('fit "25 g6/H7"', 2, "hole first"),
    ('limits "5 apples H7"', 2, "a size with its class, such as 25 H7"),
    ("bearing abc", 2, "such as 6205 or 32005X"),
    ("bearing 6230", 2, "By its bore code (ISO 15, common numbering) its bore would be 150 mm"),
    ("thread M10", 2, "write M10x1.5 or M10x1.25"),
    ('thread "3/8-24 UNF" --class 9Z', 2, "1A, 2A, 3A"),
    ('thread "M10x1" --class 2A', 2, "6g or 6H"),
    ('threads "3/8 UNF" "10 mm"', 2, "such as M10x1"),
    ('spline "25T 24/48" --form rubbish', 2, "30 flat side"),
    ('spline "14T module 2" --din "30 mm" --production carved', 2, "hobbed"),
    ('bolt M10x1.5 --grade ""', 2, "8.8"),
    ('bolt M10x1.5 --grade 8.8 --torque "50 N m"', 2, "printed"),
    ('bolt M10x1.5 --grade 8.8 --preload "25 kN"', 2, "printed"),
    ("next-slot 3/4-16 --slots 7", 2, "4, 6, 8, 10 or 12"),
    ("rim wide", 2, "such as 13"),
    ('residual "10 psi"', 2, "--discs or --drums"),
    ("no-such-subject", 2, "There is no command"),
    # nothing
    ('fit ""', 2, "25 H7/g6"),
    ('thread ""', 2, "no thread is written"),
    ('bearing ""', 2, "such as 6205"),
    ("stack", 2, "at least one dimension"),
    ("bolt-circle --holes 4", 2, "at least one reading"),
    ("balance", 2, "neither axle has a brake"),
    ('pedal --ratio 5 --master "1 in"', 2, "one of --force and --pressure"),
    ('pad --torque "1 N m" --friction 0.3 --inner "9 mm" --outer "10 mm"', 2, "one of --angle and --pressure"),
    (f"{PRESS} --friction 0.1", 2, "one of --interference, --fit and --pressure"),
    ('spline-size "25T 24/48"', 2, "--jaws"),
    # zero
    ('fit "0 H7/g6"', 2, "over 0 up to 500 mm"),
    (f'{PRESS} --friction 0 --interference "0.02 mm"', 2, "must be above 0"),
    ('bearing-float --spacer "0 mm" --web "11 mm" --inner "17 mm" "16 mm"', 2, "must be above 0"),
    ('threads 3/8-24 M10x1 --engaged "0 mm"', 2, "must be above 0"),
    ('spline "0T 24/48"', 2, "no teeth"),
    ('spline "5T 24/48"', 2, "6 to 100"),
    ('spline "25T 0/0"', 2, "fraction over zero"),
    (f'{PINS} --pin "0 mm"', 2, "must be above 0"),
    (f'{PINS} --pin "0.1 mm"', 2, "too small to rest on the flanks"),
    ('bolt M10x1.5 --grade 8.8 --torque "50 N m" --source x --factor 0', 2, "must be above 0"),
    ('pedal --force "100 lbf" --ratio 5 --master "0 in"', 2, "must be above 0"),
    ('volume --master "0.7 in" --stroke "0 in" --ratio 5 --pistons front 4 "1 in" "1 mm"', 2, "must be above 0"),
    ('volume --master "0.7 in" --stroke "1 in" --ratio 5 --pistons front 0 "1 in" "1 mm"', 2, "not in the range"),
    ('bolt-circle --holes 4 --centres "0 mm"', 2, "must be above 0"),
    ('bolt-circle --holes 4 --outside "10 mm" --hole "20 mm"', 2, "must be above 0"),
    ('shims --gap "0.068 in" --shim "0 mm"', 2, "must be above 0"),
    ('pad-radius "0 mm" "0 mm"', 2, "must be above 0"),
    ('decide "26 mm" "26 mm" --instrument "0.05 mm"', 1, "No measurement of this size tells them apart"),
    # below zero
    ('fit "-5 H7/g6"', 2, "over 0 up to 500 mm"),
    ('residual "-3 psi" --drums', 2, "must not reach below 0"),
    ('flare "-6 mm"', 2, "must be above 0"),
    ("rim -5", 2, "8 to 30"),
    (f'{BALANCE} --planned-piston "-1.75 in"', 2, "must not reach below 0"),
    ('spline-size "25T 24/48" --jaws "-5 mm"', 2, "must be above 0"),
    ('decide "26 mm" "27 mm" --instrument "-0.05 mm"', 2, "must not reach below 0"),
    ('uncertainty --part a "0.02 mm" --coverage -2', 2, "not in the range"),
    (f'{PRESS} --friction 0.1 --interference "-0.02 mm"', 1, "nothing holds it"),
    ('stud 3/8-24 --stand-out "1 in" --seat "2 in" --nut "0.5 in"', 1, "does not reach the thread"),
    # huge, or not a number
    ('limits "1e308 H7"', 2, "up to 500 mm"),
    ('limits "nan H7"', 2, "up to 500 mm"),
    ("rim 1e400", 2, "8 to 30"),
    ("thread M1000x1", 2, "not a metric thread size"),
    ('hose "1e9 mm"', 2, "a length with its unit"),
    ('uncertainty --part a "0.02 mm" --coverage nan', 2, "not a number"),
    ('shims --gap "10 m" --shim "0.002 in"', 1, "No stack from this box comes near"),
    ('template --holes 4 --circle "100000 m" --hole "10 mm" sheet.svg', 2, "too large"),
    (f'{PINS} --pin "2 mm" --angle "90 deg"', 2, "outside 14 to 50"),
    ('axle-loads --wheelbase "2 m" --ahead "1 m" --height "3 m" --grip 0.9', 2, "rear axle would lift"),
    ('pad --torque "9900 N m" --friction 0.3 --inner "90 mm" --outer "99 mm" --pressure "10 bar"', 1, "No pad covers"),
    ('shrink-ring --diameter "20 mm" --thickness "10 mm" --cooling 50', 2, "thin rings"),
    # the wrong way round
    ('bearing-float --spacer "9 mm" --web "8 mm" --inner "17 mm" "16 mm" --window "0.1..0 mm"', 2, "backwards"),
    ('pad-radius "100 mm" "90 mm"', 2, "smaller than the outer"),
    ('pad-radius "60..80 mm" "79..90 mm"', 2, "smaller than the outer"),
    ('press-fit --bore "25..60 mm" --hub "50 mm" --length "2 mm" --friction 0.1 --fit H7/p6', 2, "one in the other"),
    ('shims --gap "0.020 in" --shim "0.002 in"', 2, "smaller than what the common rule takes off"),
    ('bolt-circle --holes 3 --skip-one "70 mm"', 2, "do not lie across"),
    ('volume --master "1 in" --stroke "1 in" --ratio 5' + ' --pistons front 4 "1 in" "1 mm"' * 2, 2, "piston once"),
    ('pedal --force "9 N" --ratio 5 --master "1 in"' + ' --piston front "1 in"' * 2, 2, "piston once"),
    ('within "27 mm" "26.0..26.2 mm"', 1, "outside the window"),
    ('fit - --hole "25 mm"', 2, "--hole and --shaft"),
)


def asked(command: str, *more: str) -> Any:
    return demo("calculate", *shlex.split(command), *more)


@pytest.mark.parametrize(("command", "status", "says"), ASKED, ids=[c for c, _, _ in ASKED])
def test_a_calculation_by_hand(command: str, status: int, says: str) -> None:
    ran = asked(command)
    assert ran.status == status, ran.out + ran.err
    assert "Traceback" not in ran.out + ran.err
    assert says in " ".join((ran.out + ran.err).split())
    document_of(command, status)


def document_of(command: str, status: int) -> None:
    """The same question as JSON: one document of the published shape, or nothing but a message beside it."""
    ran = asked(command, "--json")
    assert ran.status == status
    if status == 2:
        assert ran.out == ""
        return
    document = json.loads(ran.out, parse_constant=lambda word: pytest.fail(f"{word} is not JSON"))
    jsonschema.validate(document, SCHEMA, cls=jsonschema.Draft202012Validator)
    assert (document["answer"], document["status"]) == ("calculate", status)


def test_there_are_enough_of_them() -> None:
    assert len(ASKED) >= 80
    assert {status for _, status, _ in ASKED} == {0, 1, 2}


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ('fit "25.4 H7/g6"', 'fit "1 in H7/g6"'),
        ('bolt-circle --holes 4 --centres "71.842 mm"', 'bolt-circle --holes 4 --centres "2.82842519685 in"'),
        ('pedal --force "444.82216152605 N" --ratio 5 --master "17.78 mm"', 'pedal --force "100 lbf" --ratio 5 '
         '--master "0.7 in"'),
        ('residual "10 psi" --drums', 'residual "68.94757293168 kPa" --drums'),
        ('shims --gap "1.7272 mm" --shim "0.0508 mm"', 'shims --gap "0.068 in" --shim "0.002 in"'),
        ('bearing-float --spacer "12.6238 mm" --web "11.176 mm" --inner "17.4625 mm" "16.764 mm"',
         'bearing-float --spacer "0.497 in" --web "0.440 in" --inner "0.6875 in" "0.660 in"'),
        ('spline "25T module 1.0583333333"', 'spline "25T 24/48"'),
        ('stack --plus a "25.4 ±0.254 mm"', 'stack --plus a "1.00 ±0.01 in"'),
        ('wheel-room --barrel "114.3 mm" --reach "109.6 mm" --dish "7.62 mm" --face "4 mm"',
         'wheel-room --barrel "4.5 in" --reach "109.6 mm" --dish "0.3 in" --face "4 mm"'),
        ('bolt 3/8-24 --grade "SAE 5" --torque "47.45362819 N m" --source x',
         'bolt 3/8-24 --grade "SAE 5" --torque "35 lbf ft" --source x'),
        ('disc --pressure "70 bar" --piston "44.45 mm" --radius "76.2 mm" --friction 0.38',
         'disc --pressure "7 MPa" --piston "1.75 in" --radius "3 in" --friction 0.38'),
        ('axle-loads --wheelbase "2895.6 mm" --ahead "1219.2 mm" --height "609.6 mm" --grip 0.6',
         'axle-loads --wheelbase "114 in" --ahead "48 in" --height "24 in" --grip 0.6'),
    ],
)  # fmt: skip
def test_the_unit_never_matters(first: str, second: str) -> None:
    numbers = []
    for command in (first, second):
        results = full(asked(command, "--json").out)["result"]["results"]
        wanted = [r for r in results if r["name"] in SHARED] if command.startswith("spline") else results
        numbers.append([(r["name"], pytest.approx(r["value"]["low"], rel=1e-6, abs=1e-6)) for r in wanted])
    assert [n for n, _ in numbers[0]] == [n for n, _ in numbers[1]]
    for (_, one), (_, other) in zip(*numbers, strict=True):
        assert one == other.expected


SHARED = ("pitch diameter", "base diameter", "circular pitch")  # what two standards give alike
