"""How reasons are told on the demo world: each link behind those it follows from, sizes before claims, whole sets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pytest

from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.plan.reasons.links import Reason, Step, is_claim
from knockon.queries.plan.swap import SwapAnswer
from tests.demo.demo import demo, swapped
from tests.demo.test_reasons import NONE, WISHES

Wish = tuple[str, tuple[str, ...], tuple[str, ...]]
ALL: list[Wish] = [*WISHES, *NONE, ("tansy-mk-b", ("caliper=LARCH-303L",), ())]
AT_ALL = pytest.mark.parametrize("wish", ALL, ids=lambda w: f"{w[0]}: {', '.join(w[1])}, keep {', '.join(w[2])}")


def answer_to(wish: Wish) -> SwapAnswer:
    vehicle, want, keep = wish
    return swapped(vehicle, *want, keep=keep)


def test_there_is_something_to_order() -> None:
    every = [r for wish in ALL for r in reasons(answer_to(wish))]
    assert sum(any(needs(b, a) for a in r.steps for b in r.steps) for r in every) > 20
    assert sum(any(is_claim(s) for s in r.steps) for r in every) > 5


def reasons(answer: SwapAnswer) -> Iterator[Reason]:
    yield from (c.reason for c in answer.changes if c.reason is not None)
    yield from (r for r in (answer.none, answer.unknowns) if r is not None)
    if answer.given_up is not None and answer.given_up.reason is not None:
        yield answer.given_up.reason


def needs(later: Step, earlier: Step) -> bool:
    """Whether the later link speaks of what the earlier one has put there."""
    if later is earlier or earlier.kind not in ("joint", "figure"):
        return False
    if later.kind == "figure":
        assert later.evidence is not None
        return earlier.kind == "joint" and earlier.place in later.evidence.places
    return later.kind == "joint" and earlier.kind == "joint" and later.given_place == earlier.place


def ancestors(steps: tuple[Step, ...], of: Step) -> list[Step]:
    found: list[Step] = [of]
    for one in found:
        found += [s for s in steps if needs(one, s) and s not in found]
    return found[1:]


@AT_ALL
def test_each_link_stands_behind_those_it_follows_from(wish: Wish) -> None:
    for reason in reasons(answer_to(wish)):
        for i, later in enumerate(reason.steps):
            for earlier in ancestors(reason.steps, later):
                if later not in ancestors(reason.steps, earlier):  # in a circle either may come first
                    assert reason.steps.index(earlier) < i, (reason.cites, later.sort, earlier.sort)
        if "arrangement" in reason.cites:
            assert reason.steps[0].kind == "arrangement"


@AT_ALL
def test_what_can_be_measured_stands_before_patterns_and_claims(wish: Wish) -> None:
    for reason in reasons(answer_to(wish)):
        claims = [i for i, s in enumerate(reason.steps) if is_claim(s)]
        for i in claims:
            behind = [s for s in reason.steps[i + 1 :] if s.kind in ("joint", "figure") and not is_claim(s)]
            needed = any(reason.steps[i] in ancestors(reason.steps, s) for s in behind)
            assert needed or not behind, (reason.cites, i)


def test_the_spacer_goes_because_it_is_crushed_and_not_for_its_pattern() -> None:
    change = next(c for c in answer_to(WISHES[0]).changes if c.place == "left bearing spacer")
    assert change.reason is not None
    assert [s.sort for s in change.reason.steps] == ["arrangement", "caliper on lugs", "bearing float"]
    shown = change.reason.steps[-1].evidence
    assert shown is not None and shown.lines[0].margin == pytest.approx(-2.3622)
    assert set(shown.things) == {"ALDER-112", "ALDER-201L", "ALDER-211"}  # no half of the set ALDER-213


def halves(evidence: Evidence, standing: Mapping[str, str]) -> list[str]:
    """The sets of which a member is shown, new, beside something else in the place of another member."""
    torn = []
    for number, members in demo().set_members.items():
        places = [p for p in evidence.places if any(p.endswith(m.position) and p in standing for m in members)]
        shown = {t for t in evidence.things if t.partition("/")[0] == number}
        new = shown - {standing[p] for p in places}
        if new and len(places) > len({t for t in evidence.things if t in shown}) and evidence.kind != "joint":
            torn += [
                number
                for p in places
                if f"{number}/{p.split(' ', 1)[-1]}" not in shown
                and not any(f"{number}/{p.split(' ', 1)[-1]}/{p.split(' ', 1)[0]}" in shown for p in places)
            ]
        if new and evidence.kind == "joint" and len(places) == 2 and len(shown) == 1 and len(evidence.things) == 2:
            torn.append(number)
    return torn


@AT_ALL
def test_no_pair_and_no_sum_takes_half_a_set(wish: Wish) -> None:
    answer = answer_to(wish)
    standing = {str(c.place): c.old for c in answer.changes} or dict.fromkeys(places_of(answer), "")
    shown = [s.evidence for r in reasons(answer) for s in r.steps if s.evidence is not None]
    shown += [e for c in answer.changes for e in (*c.also, *c.evidence)]
    for evidence in shown:
        assert not halves(evidence, standing), (evidence.check, evidence.things)


def places_of(answer: SwapAnswer) -> set[str]:
    return {str(p) for r in reasons(answer) for s in r.steps if s.evidence for p in s.evidence.places}


def test_the_head_names_the_wrong_pin_before_anything_else() -> None:
    from knockon.queries.ui.terminal.blocks import Para
    from knockon.queries.ui.texts.plan.swap.whole import swap_text

    blocks = [b.text for b in swap_text(demo(), answer_to(WISHES[0]))[:3] if isinstance(b, Para)]
    assert "You asked" in blocks[0] and blocks[1].startswith("DO NOT DRIVE") and "ALDER-339" in blocks[1]
    assert "the taper bore of the right lower arm" in blocks[1] and blocks[2].startswith("It can be done")
