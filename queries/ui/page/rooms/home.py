"""The home room: dangers first, then what to change, the vehicles and the plans in work."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.queries.job.overview import OverviewAnswer
from knockon.queries.ui.page.addresses import BY_NAME, address
from knockon.queries.ui.page.pieces import Button, Field, Form, Go, Heading, Link, Notice, Piece
from knockon.queries.ui.sentences import job as job_say
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.terminal.blocks import BAD
from knockon.queries.ui.terminal.outlet import Answered
from knockon.queries.ui.texts.job.overview import how_far, named, wrong_said


def home_room(found: Answered, command: str) -> tuple[str, list[Piece]]:
    """(title, pieces)."""
    return say.HOME, list(_room(found))


def _room(found: Answered) -> Iterator[Piece]:
    answer: OverviewAnswer = found.answer
    vehicles = [v for v in answer.vehicles if not v.as_made]
    for vehicle in vehicles:
        for text in wrong_said(found.catalogue, vehicle):
            yield Notice((text,), BAD)
    yield Form(
        "change",
        (
            Field(
                "vehicle", say.ON_VEHICLE, "choice", choices=tuple(v.vehicle for v in answer.vehicles), required=True
            ),
            Field("want", say.WISH, hint=say.WISH_HINT),
        ),
        (Button(say.SHOW_PLAN), Button(say.COMPARE, "side-by-side", "on")),
        address="/change",
        title=say.ASK_TITLE,
    )
    if answer.plans:
        yield Heading(job_say.PLANS)
        yield Go(tuple(Link(p.plan, address_of_plan(p.plan), how_far(p)) for p in answer.plans))
    yield Heading(job_say.VEHICLES)
    yield Go(tuple(Link(named(v.title, v.vehicle), address(BY_NAME["vehicle"], {"vehicle": v.vehicle}, {}))
                   for v in answer.vehicles))  # fmt: skip


def address_of_plan(plan: str) -> str:
    """Where a named plan is."""
    return address(BY_NAME["order-of-plan"], {"plan": plan}, {}).removesuffix("/order")
