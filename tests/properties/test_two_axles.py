"""Two axles of one ready-made layout, put together with prefixes: each is planned as it is alone; nothing crosses."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

import pytest

from knockon.graph.model.layouts import ready_made
from knockon.graph.model.layouts.ready_made import KEYS, ReadyMade
from knockon.graph.records import records_from_text
from knockon.graph.tables import written_out
from knockon.queries.plan.swap import SwapAnswer, swap

ROWS = {
    "layouts": "layout,title,axle\ntrestle,a trestle,\n",
    "arrangements": "layout,arrangement,title,choice\ntrestle,bowl,with a bowl,lid\ntrestle,plate,with a plate,lid\n",
    "positions": "layout,position,level,part type,quantity,arrangement,need,carried by,pressed in,group,order\n"
    "trestle,shaft,corner,outer joint,1,,needed,,no,shafts,1\n"
    "trestle,flange,corner,drive flange,1,,needed,shaft,no,flanges,2\n"
    "trestle,bowl,corner,caliper,1,bowl,needed,,no,lids,3\n"
    "trestle,plate,corner,rotor,1,plate,needed,,no,lids,4\n"
    "trestle,pin,corner,hub split pin,1,,needed,,no,pins,5\n",
    "joints": "layout,joint,position,feature,other position,other feature,rule,arrangement,owns\n"
    "trestle,shaft in flange,shaft,stub spline,flange,flange spline,spline,,\n"
    "trestle,pin in bowl,pin,pin,bowl,hole,fitting place,bowl,\n",
    "in_the_way": "layout,position,in the way of,arrangement,slackened,leaves\n"
    "trestle,bowl,flange,bowl,,\ntrestle,plate,flange,plate,,\n",
}
"""A shaft in a flange, under a bowl that a one-use pin holds, or under a plate."""

TABLES = {
    "sources.csv": "source,standing,title\nbook,drawing,a made-up book\n",
    "parts.csv": "part,name,part type,hand,one use,source\n"
    "S-20,shaft,outer joint,either,no,book\nS-25,shaft,outer joint,either,no,book\n"
    "F-20,flange,drive flange,either,no,book\nF-20A,flange,drive flange,either,no,book\n"
    "F-25,flange,drive flange,either,no,book\nBOWL,bowl,caliper,either,no,book\n"
    "PLATE,plate,rotor,either,no,book\nPIN,pin,hub split pin,either,yes,book\n",
    # each number is offered: one that nobody offers would be one line for both axles
    "suppliers.csv": "supplier,title,postage\nshop,a made-up shop,0\n",
    "offers.csv": "supplier,part,price\n"
    + "".join(f"shop,{part},10\n" for part in ("S-20", "S-25", "F-20", "F-20A", "F-25", "BOWL", "PLATE", "PIN")),
    "claims.csv": "part,claim,other part,source\nPIN,goes with,BOWL,book\n",
    "features/external_spline.csv": "part,feature,teeth,pitch,pressure angle,form,major diameter,source\n"
    + "".join(f"S-{n},stub spline,{n},module 1.0,30 deg,involute flat root,{n}.9 mm,book\n" for n in (20, 25)),
    "features/internal_spline.csv": "part,feature,teeth,pitch,pressure angle,form,minor diameter,major diameter,"
    "source\n"
    + "".join(
        f"{part},flange spline,{n},module 1.0,30 deg,involute flat root,{n - 1}.1 mm,{n + 1}.5 mm,book\n"
        for part, n in (("F-20", 20), ("F-20A", 20), ("F-25", 25))
    ),
}


def rows_of(table: str) -> tuple[tuple[int, dict[str, str]], ...]:
    header, *rows = (line.split(",") for line in ROWS.get(table, "").splitlines()) if table in ROWS else ([],)
    return tuple((i, dict(zip(header, row, strict=True))) for i, row in enumerate(rows, 2))


@pytest.fixture(autouse=True)
def made_up(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    made = ReadyMade("trestle", "", "trestle", {table: rows_of(table) for table in KEYS})
    for module in (ready_made, written_out):
        monkeypatch.setattr(module, "ready_made", lambda: {"trestle": made})
    yield


@dataclass(frozen=True)
class Axle:
    """What stands on one axle, and what is wanted of it: a position and a number, or nothing."""

    lid: str
    flanges: tuple[str, str]
    due: str
    want: str

    @property
    def fittings(self) -> list[tuple[str, str, str, str]]:
        """Position, side, part and condition."""
        lid = [("bowl", "BOWL"), ("pin", "PIN")] if self.lid == "bowl" else [("plate", "PLATE"), ("pin", "PIN")]
        shaft = "S-25" if self.flanges[0] == "F-25" else "S-20"
        found = [(position, "", part) for position, part in (("shaft", shaft), *lid)]
        found += [("flange", side, part) for side, part in zip(("left", "right"), self.flanges, strict=True)]
        return [(p, side, part, "due" if p == self.due else "sound") for p, side, part in found]


def drawn(random: Random) -> Axle:
    """One axle; the hands of some have unlike flanges, which the axle rule settles."""
    return Axle(
        random.choice(("bowl", "plate")),
        random.choice((("F-20", "F-20"), ("F-25", "F-25"), ("F-20", "F-20A"))),
        random.choice(("", "", "flange", "shaft")),
        random.choice(("", "shaft=S-25", "shaft=S-20", "plate=PLATE", "bowl=BOWL", "flange=F-20A")),
    )


def asked(axles: dict[str, Axle]) -> SwapAnswer:
    """The answer for a vehicle with these axles, by prefix; one without is alone."""

    def named(prefix: str, name: str) -> str:
        return f"{prefix} {name}".strip()

    lids = ";".join(named(prefix, axle.lid) for prefix, axle in axles.items())
    fittings = [
        f"mine,{named(prefix, position)},{side},{part},{condition}\n"
        for prefix, axle in axles.items()
        for position, side, part, condition in axle.fittings
    ]
    records = records_from_text(
        {
            **TABLES,
            "layout_uses.csv": "layout,uses,as,without\n" + "".join(f"mine,trestle,{prefix},\n" for prefix in axles),
            "vehicles.csv": f"vehicle,title,layout,arrangement,as made,source\nmine,mine,mine,{lids},no,book\n",
            "fittings.csv": "vehicle,position,side,part,condition\n" + "".join(fittings),
        }
    )
    assert not records.findings
    wants = [named(prefix, axle.want) for prefix, axle in axles.items() if axle.want]
    return swap(records.catalogue, "mine", want=wants)


def told(answer: SwapAnswer, prefix: str) -> dict[tuple[str, str], tuple[str, str, str]]:
    """What becomes of each place of an axle, without its prefix."""
    own = [c for c in answer.changes if c.position.startswith(prefix)]
    return {(c.position.removeprefix(prefix).strip(), c.side): (c.status, c.old, c.new) for c in own}


@pytest.mark.parametrize("seed", range(12))
def test_each_of_two_axles_is_planned_as_it_is_alone(seed: int) -> None:
    random = Random(seed)
    axles = {"front": drawn(random), "rear": drawn(random)}
    both = asked(axles)
    alone = {prefix: asked({"": axle}) for prefix, axle in axles.items()}
    assert (both.plan is None) == any(one.plan is None for one in alone.values())
    if both.plan is None:
        return
    assert {prefix: told(both, prefix) for prefix in axles} == {p: told(one, "") for p, one in alone.items()}
    costs = [one.plan.costs for one in alone.values() if one.plan is not None]
    assert both.plan.costs == {level: sum(one[level] for one in costs) for level in both.plan.costs}


def test_the_axle_rule_holds_on_each_axle_and_not_across() -> None:
    """Unlike hands in front become alike; the rear keeps another number than the front."""
    front, rear = Axle("bowl", ("F-20", "F-20A"), "", ""), Axle("plate", ("F-25", "F-25"), "", "")
    both = asked({"front": front, "rear": rear})
    assert both.plan is not None
    stands = {str(f.place): f.number for f in both.plan.filled}
    assert stands["left front flange"] == stands["right front flange"] in ("F-20", "F-20A")
    assert stands["left rear flange"] == stands["right rear flange"] == "F-25"
    assert {c.status for c in both.changes if c.position.startswith("rear")} == {"kept"}


def test_what_comes_off_on_one_axle_leaves_the_other_alone() -> None:
    front, rear = Axle("bowl", ("F-20", "F-20"), "flange", ""), Axle("bowl", ("F-20", "F-20"), "", "")
    status = {str(c.place): c.status for c in asked({"front": front, "rear": rear}).changes}
    assert {status[f"left front {name}"] for name in ("bowl", "pin")} == {"taken off", "renewed"}
    assert {status[f"left rear {name}"] for name in ("shaft", "flange", "bowl", "pin")} == {"kept"}
