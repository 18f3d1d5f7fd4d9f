"""The orders of the program against those of the oracle, which tries every purchase of every admitted filling."""

from __future__ import annotations

import tempfile
from decimal import Decimal
from pathlib import Path

import pytest

from knockon.graph.records import load
from knockon.queries.buy.order import OrderAnswer, order
from tests.oracle.buying import Bought, Market, Needs, orders
from tests.oracle.generate import Case, case_from_seed
from tests.oracle.layouts import Seeded
from tests.oracle.markets import MarketMaker, admitted, needs_of, work, write, write_market
from tests.oracle.plan import Swap
from tests.oracle.records import write_records

MOST_TRIED = 60_000
KINDS = ("wheel stud", "rotor", "caliper", "wheel bearing", "wheel nut", "drive flange")
"""Part types of the usual vocabulary for the lines of a plain market."""


def answered(folder: Path, vehicle: str, want: list[str], **more: object) -> OrderAnswer:
    """What the program answers on a folder of which every row is read."""
    records = load(folder)
    assert not [f for f in records.findings if f.set_aside], records.findings
    return order(records.catalogue, vehicle, want=want, **more)  # type: ignore[arg-type]


def lines_of(answer: OrderAnswer, name: str) -> tuple[tuple[str, str, str], ...]:
    """An order's own lines, as the rule for ties writes them."""
    one = next(o for o in answer.orders if o.name == name)
    return tuple(sorted((line.supplier, line.part or line.kit, str(line.quantity)) for line in one.lines))


def compare(answer: OrderAnswer, expected: dict[str, Bought], with_unproven: bool = True) -> None:
    """Hold the three orders to the oracle's, to the coin."""
    assert answer.complete == all(b.complete for b in expected.values())
    for one in answer.orders:
        wanted = expected[one.name]
        assert one.optimal
        assert Decimal(one.total) == wanted.total, one.name
        assert one.parcels == wanted.parcels
        if with_unproven:
            assert one.unproven == wanted.unproven
            assert lines_of(answer, one.name) == wanted.lines
            got = Decimal(one.goods), Decimal(one.surcharges), Decimal(one.postage), Decimal(one.tax)
            assert sum(got) == wanted.total
            assert got[0] == wanted.goods
            assert got[2] == wanted.postage


# ---- plain worlds: every line is due, each may be filled by one or two numbers


def plain_world(folder: Path, seed: int) -> tuple[Market, list[Needs]]:
    """Up to six lines of a cart on which all is due, a market of them, and what each of its fillings asks for."""
    choose = Seeded(seed)
    lines = KINDS[: 2 + choose.below(5)]
    quantity = {kind: 1 + choose.below(3) for kind in lines}
    corner = {kind: choose.below(3) == 0 for kind in lines}
    numbers = {kind: [f"{kind.upper()} {n}" for n in range(1 + choose.below(2))] for kind in lines}
    types = {number: kind for kind, own in numbers.items() for number in own}
    market = MarketMaker(choose).market(types)
    write(folder / "sources.csv", "source,title,standing", [("book", "a book", "drawing")])
    write(folder / "parts.csv", "part,name,part type,hand,one use,source", [
        (number, number.lower(), kind, "either", "no", "book") for number, kind in types.items()
    ])  # fmt: skip
    write(folder / "layouts.csv", "layout,title", [("cart", "a cart")])
    write(folder / "positions.csv", "layout,position,level,part type,quantity,need,group,order", [
        ("cart", kind, "corner" if corner[kind] else "vehicle", kind, quantity[kind], "needed", kind, n)
        for n, kind in enumerate(lines, 1)
    ])  # fmt: skip
    write(folder / "vehicles.csv", "vehicle,title,layout,as made", [("mine", "mine", "cart", "no")])
    write(folder / "fittings.csv", "vehicle,position,part,condition", [
        ("mine", kind, numbers[kind][0], "due") for kind in lines
    ])  # fmt: skip
    write_market(folder, market)
    old = {kind: quantity[kind] * (2 if corner[kind] else 1) for kind in lines}
    fillings: list[dict[tuple[str, str], int]] = [{}]
    for kind in lines:
        sides = ("left", "right") if corner[kind] else ("",)
        fillings = [{**one, **{(number, side): quantity[kind] for side in sides}}
                    for one in fillings for number in numbers[kind]]  # fmt: skip
    return market, [Needs(one, old) for one in fillings]


MOST_AGAIN = 50
"""Seeds that are tried for a market small enough."""


@pytest.mark.parametrize("seed", range(60))
def test_three_orders_of_a_plain_market(seed: int) -> None:
    """Packs, stock, kits, the shelf, surcharges, postage, free-over, smallest order, tax: all at once."""
    for again in range(MOST_AGAIN):  # the first market from this seed on that brute force can try
        with tempfile.TemporaryDirectory() as name:
            market, fillings = plain_world(Path(name), seed + 1000 * again)
        if sum(work(market, needs) for needs in fillings) <= MOST_TRIED:
            break
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        market, fillings = plain_world(folder, seed + 1000 * again)
        answer = answered(folder, "mine", [], renew=[], accept=())
        compare(answer, orders(market, fillings))


# ---- random worlds: joints, sets, arrangements, what is carried and disturbed


def _tried(seed: int) -> tuple[Case, Market, dict[str, Needs], int, int] | None:
    """A random world with its market and what its admitted fillings need; None where brute force cannot try them, and
    where a property is asked for, which the market's numbers do not have."""
    case = case_from_seed(seed)
    choose = Seeded(1000 + seed)
    changes, unproven = choose.below(3), choose.below(3)
    types = {p.number: p.part_type for p in case.world.parts}
    for one in case.world.sets:
        filled = {member.position for member in one.members}
        types[one.number] = next(p.part_type for p in case.world.positions if p.name in filled)
    market = MarketMaker(choose).market(types, most_offers=24)
    swap = Swap(*case)
    wanted = {str(needs_of(swap, f)): needs_of(swap, f) for f in admitted(swap, changes, unproven)}
    if case.request.properties or not wanted or sum(work(market, needs) for needs in wanted.values()) > MOST_TRIED:
        return None
    return case, market, wanted, changes, unproven


@pytest.mark.parametrize("seed", range(40))
def test_the_totals_over_all_admitted_fillings_of_a_random_world(seed: int) -> None:
    """What is cheapest, and with fewest parcels, over all fillings as good as the best plan, or a little worse."""
    case, market, wanted, changes, unproven = next(
        found for again in range(MOST_AGAIN) if (found := _tried(seed + 1000 * again)) is not None
    )
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_records(folder, case.world)
        write_market(folder, market)
        request = case.request
        want = [*(f"{position}={number}" for position, number in request.wants), *request.arrangements]
        answer = answered(folder, case.vehicle.name, want, keep=request.keep, renew=request.renew,
                          avoid=[a for a in request.avoid if a not in ("north", "south")],
                          prefer=request.prefer, accept=(f"changes={changes}", f"unproven={unproven}"))  # fmt: skip
        expected = orders(market, wanted.values())
        del expected["safest"]
        answer = type(answer)(**{f: getattr(answer, f) for f in answer.__struct_fields__ if f != "orders"},
                              orders=tuple(o for o in answer.orders if o.name in expected))  # fmt: skip
        compare(answer, expected, with_unproven=False)
