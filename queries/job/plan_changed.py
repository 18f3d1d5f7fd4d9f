"""What changed since a named plan was made or ordered, and does it hit the plan? Answers are compared, not rows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from knockon.graph.jobs.events import Answered
from knockon.graph.jobs.store import Job, JobRefused
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.buy.placed import Today
from knockon.queries.job.answers_kept import answers_of
from knockon.queries.job.ordering import today_of
from knockon.queries.job.parcels import stands
from knockon.queries.plan.line_changes import LineChange
from knockon.queries.plan.solving.patience import Patience


class Became(msgspec.Struct, frozen=True):
    """What was one thing and is another; blank: nothing, or not on the list."""

    what: str
    before: str
    after: str


class KitBecame(msgspec.Struct, frozen=True):
    """A kit, and each order group whose state in it is another one; blank where the kit holds nothing of the plan."""

    kit: str
    groups: tuple[Became, ...]


class PlanChangedAnswer(Answer, frozen=True):
    """What differs for a named plan. ``since``: when the answers were kept that are compared (UTC), blank where they
    are those of older records. ``planned``: whether there is a plan, before and after.

    What hits it: ``lines`` and ``places`` that differ, ``checks`` of the plan and what is ``wrong`` on the vehicle as
    it stands with another verdict, ``ordered`` parts that the plan does not use any more and that are not rejected, and
    ``ticked`` steps that are not on the card any more. So does the ``total`` of the cheapest order where none supplies
    every line any more; else it is a remark, as are ``kits``, ``steps`` that came or went, and the placed order as it
    would be ``today``."""

    plan: str
    vehicle: str
    since: str
    planned: tuple[bool, bool]
    lines: tuple[LineChange, ...] = ()
    places: tuple[Became, ...] = ()
    checks: tuple[Became, ...] = ()
    wrong: tuple[Became, ...] = ()
    ordered: tuple[str, ...] = ()
    ticked: tuple[str, ...] = ()
    currency: str = ""
    total: Became | None = None
    kits: tuple[KitBecame, ...] = ()
    steps: tuple[Became, ...] = ()
    today: Today | None = None
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_unsupplied(self) -> bool:
        """Whether an order supplied every line before, and none does now."""
        return self.planned[1] and self.total is not None and not self.total.after

    @property
    def is_hit(self) -> bool:
        """Whether something hits the plan."""
        told = (self.lines, self.places, self.checks, self.wrong, self.ordered, self.ticked)
        return any(told) or self.is_unsupplied or self.planned[0] != self.planned[1] or not self.planned[1]

    @property
    def is_quiet(self) -> bool:
        """Whether nothing differs at all."""
        is_dearer = self.today is not None and bool(self.today.lines)
        return not (self.is_hit or self.total or self.kits or self.steps or is_dearer)


def plan_changed(
    catalogue: Catalogue, job: Job, older: Catalogue | None = None, patience: Patience | None = None
) -> PlanChangedAnswer:
    """Compare the plan's answers with those that were kept last, or with those of ``older`` records.

    Raises JobRefused where none were kept and no older records are given.
    """
    then = answers_of(older, job, patience=patience) if older is not None else job.answered
    if then is None:
        raise JobRefused(
            f"no answers of plan {job.name} were kept. Give a folder of older records, or keep today's answers with "
            "--from-now and --by"
        )
    is_now = answers_of(catalogue, job, patience=patience)
    used = {*then.lines, *then.chosen.values()} - {*is_now.lines, *is_now.chosen.values()}
    coming = (x.part for x in stands(job.events) if x.accepted or x.outstanding)
    ticked = {f"{side} {step}".strip() for step, side in job.ticked}
    return PlanChangedAnswer(
        plan=job.name,
        vehicle=job.planned.vehicle,
        since="" if older is not None else then.at,
        planned=(then.planned, is_now.planned),
        lines=tuple(
            LineChange(b.what, int(b.before or 0), int(b.after or 0)) for b in _differing(then.lines, is_now.lines)
        ),
        places=tuple(_differing(then.chosen, is_now.chosen)),
        checks=tuple(_differing(then.checks, is_now.checks)),
        wrong=tuple(_differing(then.wrong, is_now.wrong)),
        ordered=tuple(sorted({p for p in coming if p in used})) if is_now.planned else (),
        ticked=tuple(sorted(ticked - {*is_now.steps})) if is_now.planned else (),
        currency=is_now.currency or then.currency,
        total=Became("", then.total, is_now.total) if then.total != is_now.total else None,
        kits=tuple(_kits(then, is_now)),
        steps=tuple(_differing(dict.fromkeys(then.steps, "on"), dict.fromkeys(is_now.steps, "on"))),
        today=today_of(catalogue, job, patience) if job.orders else None,
        cautions=short_cautions_on(catalogue),
    )


def _differing(before: Mapping[str, object], after: Mapping[str, object]) -> Iterator[Became]:
    for what in sorted({*before, *after}):
        one, two = before.get(what, ""), after.get(what, "")
        if one != two:
            yield Became(what, str(one), str(two))


def _kits(then: Answered, is_now: Answered) -> Iterator[KitBecame]:
    for kit in sorted({*then.kits, *is_now.kits}):
        groups = tuple(_differing(then.kits.get(kit, {}), is_now.kits.get(kit, {})))
        if groups:
            yield KitBecame(kit, groups)
