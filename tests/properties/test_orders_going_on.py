"""An order that goes on: whatever comes of a placed order, nothing that is there or still to come is bought again, and
with the next order every line is supplied. The sums are made here once more, from the events and the tables alone."""

from __future__ import annotations

import csv
import tempfile
from collections import Counter
from pathlib import Path

import pytest
from msgspec.structs import replace

from knockon.graph.jobs.events import Ordered, Planned, Received
from knockon.graph.jobs.store import Job
from knockon.graph.records import load
from knockon.queries.buy.order import OrderAnswer, OrderBought
from knockon.queries.job.ordering import lines_of, order_for
from tests.oracle.layouts import Seeded
from tests.properties.test_oracle_orders import plain_world

ROUNDS = 3


def ordered_of(job: Job) -> Counter[tuple[str, str]]:
    """How many of each number each supplier was asked to send."""
    found: Counter[tuple[str, str]] = Counter()
    for event in job.events:
        if isinstance(event, Ordered):
            for line in event.lines:
                for number, n in line.holds.items() if line.kit else [(line.part, line.pack)]:
                    found[line.supplier, number] += n * line.quantity
    return found


def judged(job: Job, verdict: str) -> Counter[tuple[str, str]]:
    """How many of each number of each supplier were accepted, or rejected."""
    found: Counter[tuple[str, str]] = Counter()
    for e in job.events:
        if isinstance(e, Received) and e.verdict == verdict:
            found[e.supplier, e.part] += e.quantity
    return found


def received(job: Job, choose: Seeded) -> Job:
    """Something comes of every line: each part at most once, so that no word is taken back."""
    waiting = ordered_of(job)
    waiting.subtract(judged(job, "accept"))
    waiting.subtract(judged(job, "reject"))
    for (supplier, number), n in sorted(waiting.items()):
        verdict = ("accept", "accept", "reject", "ask", "")[choose.below(5)]
        if n > 0 and verdict:
            some = 1 + choose.below(n)
            job = replace(job, events=(*job.events, Received("m1", "t", number, some, verdict, supplier)))
    return job


def needed(folder: Path, one: OrderBought) -> Counter[str]:
    """How many of each number a plan has, by the table of positions."""
    with (folder / "positions.csv").open(encoding="utf-8", newline="") as stream:
        quantity = {row["position"]: int(row["quantity"]) for row in csv.DictReader(stream)}
    found: Counter[str] = Counter()
    for place, number in one.chosen.items():
        found[number] += quantity[place.removeprefix("left ").removeprefix("right ")]
    return found


def check(folder: Path, job: Job, answer: OrderAnswer) -> None:
    """Hold one answer to what must be so."""
    about = answer.of_plan
    assert about is not None
    refused = {key for key, n in judged(job, "reject").items() if n}
    kept: Counter[str] = Counter()
    for (_, number), n in (ordered_of(job) - judged(job, "reject")).items():
        kept[number] += n
    for stand in about.stands:
        key = stand.supplier, stand.part
        counts = ordered_of(job)[key], judged(job, "accept")[key], judged(job, "reject")[key]
        assert (stand.ordered, stand.accepted, stand.rejected) == counts
        assert stand.outstanding == counts[0] - counts[1] - counts[2]
    for one in answer.orders:
        need, come = needed(folder, one), Counter[str]()
        packs: Counter[str] = Counter()
        for line in one.lines:
            held = dict(_kit(folder, line.kit)) if line.kit else {line.part: line.pack}
            for number, n in held.items():
                come[number] += n * line.quantity
                assert about.same_again or (line.supplier, number) not in refused
            if line.part:
                packs[line.part] += 1
                short = need[line.part] - kept[line.part]
                assert (line.quantity - 1) * line.pack < short, "what is there is bought again"
            else:
                wanted = [(line.quantity - 1) * n < need[number] - kept[number] for number, n in held.items()]
                assert any(wanted), "a kit of which nothing is needed"
        shelf = Counter({t.part: 0 for t in one.from_shelf})
        for taken in one.from_shelf:
            shelf[taken.part] += taken.quantity
        lacks = {p.part: p.quantity for p in one.lacks}
        for number, n in need.items():
            have = kept[number] + come[number] + shelf[number]
            assert have + lacks.get(number, 0) >= n, f"{number} is not supplied"
            assert not lacks or not answer.complete
        over = {p.part: p.quantity for p in one.left_over}
        for number, n in kept.items():
            assert over.get(number, 0) >= n - need[number], f"{number} is left over, and nobody says so"


def _kit(folder: Path, kit: str) -> list[tuple[str, int]]:
    with (folder / "kit_lines.csv").open(encoding="utf-8", newline="") as stream:
        return [(row["part"], int(row["quantity"])) for row in csv.DictReader(stream) if row["kit"] == kit]


@pytest.mark.parametrize("seed", range(15))
def test_nothing_is_bought_twice_and_every_line_is_supplied(seed: int) -> None:
    choose = Seeded(7000 + seed)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        plain_world(folder, 500 + seed)
        catalogue = load(folder).catalogue
        job = Job("cart", (Planned("m1", "t", "mine"),))
        for _ in range(ROUNDS):
            answer = order_for(catalogue, job)
            check(folder, job, answer) if job.orders else None
            chosen = answer.orders[choose.below(len(answer.orders))] if answer.orders else None
            if chosen is None:
                return
            if chosen.lines:
                event = Ordered("m1", "t", chosen.name, chosen.total, lines_of(catalogue, chosen), dict(chosen.chosen))
                job = replace(job, events=(*job.events, event))
            if job.orders:
                job = received(job, choose)
                check(folder, job, order_for(catalogue, job))
