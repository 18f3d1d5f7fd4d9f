"""Answers speak of brakes, steering, wheels and driveline: each carries its cautions, and none gives a torque."""

from __future__ import annotations

import ast
import importlib
import inspect
import json
import pkgutil
import re
from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, get_args, get_type_hints

import msgspec
import pytest

import knockon.queries
import knockon.queries.workshop
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.records import Records
from knockon.queries.answers import CAUTION, LOCAL_RULES, RULES, OrderLine
from knockon.queries.club.disputes import find_disputes
from knockon.queries.fits.checking.evidence import Value
from knockon.queries.fits.part import show_part
from knockon.queries.fits.partners import partners_of
from knockon.queries.plan.combinations import combinations
from knockon.queries.ui.document import encode
from tests.demo.demo import AS_FOUND, LAYOUT, demo, judged, kitted, swapped

TORQUE = re.compile(
    r"\d\s*(?:N\s?[·.]?\s?m\b|lbf?[\s./·-]*ft|ft[\s./·-]*lbf?|kgf?\s?[·.]?\s?m\b|foot[- ]pounds?)", re.IGNORECASE
)


def is_record(cls: object) -> bool:
    """Whether something is a class of records."""
    return isinstance(cls, type) and issubclass(cls, msgspec.Struct)


def answer_classes() -> Iterator[type[Any]]:
    """Every answer of a question module, found by looking into all of them (``queries.ui`` has none of its own)."""
    for found in pkgutil.walk_packages(knockon.queries.__path__, "knockon.queries."):
        if found.ispkg or found.name.startswith("knockon.queries.ui."):
            continue
        module = importlib.import_module(found.name)
        for name, cls in inspect.getmembers(module, is_record):
            if name.endswith("Answer") and cls.__module__ == module.__name__:
                assert isinstance(cls, type)
                yield cls


def speaks_of_parts(cls: type[Any], seen: frozenset[type[Any]] = frozenset()) -> bool:
    """Whether a verdict, an order line or a part's sizes stand somewhere in an answer."""
    if cls in (Verdict, OrderLine, Value):
        return True
    if not is_record(cls) or cls in seen:
        return False
    inner = (t for hint in get_type_hints(cls).values() for t in types_in(hint))
    return any(speaks_of_parts(t, seen | {cls}) for t in inner)


def types_in(hint: Any) -> Iterator[type[Any]]:
    """The classes in an annotation such as ``tuple[Evidence, ...] | None``."""
    if isinstance(hint, type) and not get_args(hint):
        yield hint
    for argument in get_args(hint):
        yield from types_in(argument)


def test_every_answer_that_speaks_of_parts_is_cautious() -> None:
    cautious = [cls for cls in answer_classes() if speaks_of_parts(cls)]
    assert {cls.__name__ for cls in cautious} >= {
        *("SwapAnswer", "FitsAnswer", "PartnersAnswer", "PartAnswer", "KitAnswer", "CombinationsAnswer"),
        *("DisputesAnswer",),
    }
    for cls in cautious:
        defaults = {f.name: f.default for f in msgspec.structs.fields(cls)}
        cautions: Any = defaults.get("cautions", ())
        assert CAUTION in cautions, cls.__name__
        assert LOCAL_RULES in cautions, cls.__name__


def test_the_cautions_say_what_they_must() -> None:
    assert CAUTION == "Geometry only. Says nothing about strength, material, wear or approval."
    assert LOCAL_RULES == "Local rules and licensed practice may apply. The maker's manual overrides this answer."
    assert of_a_vehicle().startswith("Local rules differ: a brake change")
    assert "licensed" in of_a_vehicle()
    assert "insurer" in of_a_vehicle()


def of_a_vehicle() -> str:
    """What is said of local rules where there are brakes, wheels or steering."""
    (text,) = [c.text for c in demo().vocabulary.cautions if c.order == RULES]
    return text


@cache
def documents() -> dict[str, dict[str, Any]]:
    """One document of every sort of answer over the demo world."""
    records = Records(demo(), ())
    discs = "rotor=LARCH-201"
    answers: dict[str, Any] = {
        "swap": swapped(AS_FOUND, discs),
        "swap without a plan": swapped(AS_FOUND, discs, keep=("outer joint",)),
        "kit": kitted("K1", AS_FOUND, discs),
        "kit of pattern parts": kitted("K2", AS_FOUND, discs),
        "combinations": combinations(demo(), LAYOUT, [discs], first=1),
        "disputes": find_disputes(demo()),
    }
    answers |= {f"partners of {n}": partners_of(demo(), n) for n in ("ROWAN-252", "LARCH-203L", "ALDER-201L")}
    answers |= {f"part {n}": show_part(demo(), n) for n in ("ROWAN-252", "ROWAN-352", "MAPLE-110")}
    answers |= {
        f"fits {' '.join(parts)}": judged(*parts, on=on)
        for parts, on in (
            (("ROWAN-252", "ROWAN-201"), ""),  # note N24 on it names a torque
            (("ROWAN-352", "ROWAN-201"), ""),  # note N08 too
            (("LARCH-203L", "ALDER-201L"), "tansy-mk-b"),
            (("ALDER-141L",), "tansy-mk-b"),
            (("MAPLE-101",), "tansy-mk-b"),
        )
    }
    return {name: json.loads(encode(name, answer, 0, records, True)) for name, answer in answers.items()}


def test_every_document_carries_caution_and_local_rules() -> None:
    for name, document in documents().items():
        cautions = document["result"]["cautions"]
        assert CAUTION in cautions, name
        assert of_a_vehicle() in cautions, name


def texts_in(value: Any, where: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from texts_in(inner, f"{where}.{key}")
    elif isinstance(value, list):
        for inner in value:
            yield from texts_in(inner, where)
    elif isinstance(value, str):
        yield where, value


def test_no_document_gives_a_torque() -> None:
    cited = set()
    for name, document in documents().items():
        cited |= {n["note"] for n in document["notes"]}
        for where, text in texts_in(document):
            assert not TORQUE.search(text), (name, where, text)
    assert cited >= {"N08", "N24"}  # the notes that name one were there to be quoted


def _read_whole(part: Any) -> Any:
    """A table of a prepared copy, which is read when it is touched."""
    return dict(part) if isinstance(part, Mapping) else list(part)


def test_the_torques_are_in_the_records_as_a_notes_own_text_only() -> None:
    named = {n.note for n in demo().notes.values() if TORQUE.search(n.text)}
    assert named == {"N08", "N24"}
    assert "without a source" in demo().notes["N24"].says
    elsewhere = msgspec.to_builtins(msgspec.structs.replace(demo(), notes={}), enc_hook=_read_whole)
    assert not [x for x in texts_in(elsewhere) if TORQUE.search(x[1])]
    assert not any("torque" in c.name for k in demo().vocabulary.kinds.values() for c in k.columns)


@pytest.mark.parametrize("text", ["150 lb ft", "80 lb/ft", "60 Nm", "203 N m", "120 ft-lb", "12 kgm", "110 lbf ft"])
def test_a_torque_would_be_found(text: str) -> None:
    assert TORQUE.search(f"tighten to {text} dry")


@pytest.mark.parametrize("text", ["14 ft", "10 mm", "500 g", "0.7 bar", "4 mm no more"])
def test_other_sizes_are_no_torques(text: str) -> None:
    assert not TORQUE.search(text)


def test_every_calculation_is_cautious() -> None:
    """Every workshop answer is made with the cautions; the arithmetic of measuring speaks of no part at all."""
    made = 0
    for found in pkgutil.iter_modules(knockon.queries.workshop.__path__):
        if found.name == "measuring":
            continue
        module = importlib.import_module(f"knockon.queries.workshop.{found.name}")
        for call in ast.walk(ast.parse(inspect.getsource(module))):
            if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id == "Calculation":
                cautions = next((k.value for k in call.keywords if k.arg == "cautions"), None)
                assert cautions is not None, (found.name, call.lineno)
                assert "SHORT_CAUTIONS" in ast.unparse(cautions), (found.name, call.lineno)
                made += 1
    assert made > 15
