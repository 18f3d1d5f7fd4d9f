"""The swap with what its cheapest order costs in all: a plan's own price knows offers, no kits and no postage."""

from __future__ import annotations

from typing import Unpack

from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.as_typed import RequestError
from knockon.queries.buy.order import OrderAnswer, order
from knockon.queries.buy.search import CHEAPEST
from knockon.queries.plan.cheapest_order import CheapestOrder
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.request import TypedRequest
from knockon.queries.plan.swap import Plan, SwapAnswer


def priced(
    catalogue: Catalogue, answer: SwapAnswer, patience: Patience | None = None, **typed: Unpack[TypedRequest]
) -> SwapAnswer:
    """The answer with its cheapest order, found anew over all fillings as good as its plan; as it is where there is no
    plan, nothing to buy, no order in the time, or offers in two currencies, which the order itself refuses."""
    if answer.plan is None or not any(line.offer for g in answer.plan.groups for line in g.lines):
        return answer
    try:
        found = order(catalogue, answer.vehicle, patience=patience, names=(CHEAPEST,), **typed)
    except RequestError:
        return answer
    return replace(answer, order=in_short(found, answer.plan)) if found.orders else answer


def in_short(found: OrderAnswer, plan: Plan) -> CheapestOrder:
    """The cheapest of the orders, in short, beside the plan."""
    one = next(o for o in found.orders if o.name == CHEAPEST)
    new = {filled.place: filled.number for filled in plan.filled if not filled.stays}
    return CheapestOrder(
        total=one.total,
        goods=one.goods,
        postage=one.postage,
        surcharges=one.surcharges,
        tax=one.tax,
        parcels=one.parcels,
        optimal=one.optimal,
        currency=found.currency,
        kits=tuple(line.kit for line in one.lines if line.kit),
        lacks=tuple(left.part for left in one.lacks),
        differs=tuple((p, n, one.chosen[str(p)]) for p, n in new.items() if one.chosen.get(str(p), n) != n),
    )
