"""The order list: what a filling needs that is not there, grouped as it is ordered, for the whole axle."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from typing import Self

from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.queries.answers import BestOffer, OrderGroup, OrderLine
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.changes import Change
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import to_be_proven


def best_offer(problem: Problem, number: str, old_part: bool = False) -> BestOffer | None:
    """The cheapest offer of one unit, by price then supplier; ``old_part``: one is handed in for it."""
    best = problem.offered.cheapest(number, old_part)
    if best is None:
        return None
    surcharge = 0.0 if old_part else best.exchange_surcharge
    return BestOffer(best.supplier, float(problem.offered.price_of_one(best, old_part)), surcharge)


def units_exchanged(problem: Problem, filling: Filling) -> dict[str, int]:
    """For how many units of a number an old part is handed in: each that leaves serves one bought unit of its part
    type, where that saves most (of equals in the layout's order)."""
    positions = problem.places.positions
    old: Counter[str] = Counter()
    for place in problem.places.all:
        if place in filling.movement.gone:
            old[positions[place.position].part_type] += problem.old_parts(place)
    bought: dict[tuple[str, str], int] = {}
    uses: set[tuple[str, str]] = set()
    for place in problem.places.all:
        chosen = filling.chosen.get(place)
        if chosen is None or chosen.stays or chosen.set_use in uses or chosen.number not in problem.offered.savings:
            continue
        uses |= {chosen.set_use} if chosen.set_use else set()
        key = chosen.number, positions[place.position].part_type
        bought[key] = bought.get(key, 0) + (1 if chosen.set_use else positions[place.position].quantity)
    served: Counter[str] = Counter()
    for (number, part_type), units in sorted(bought.items(), key=lambda b: -problem.offered.savings[b[0][0]]):
        given = min(units, old[part_type])
        old[part_type] -= given
        served[number] += given
    return dict(served)


class GroupName(str):
    """An order group with its hand: ``knuckle left``."""

    __slots__ = ("group", "hand")
    group: str
    hand: str

    def __new__(cls, group: str, hand: str) -> Self:
        """Of a group, and the hand of its parts where they are handed."""
        text = super().__new__(cls, f"{group} {hand}".strip())
        text.group, text.hand = group, hand
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[str, str]]:  # to be copied
        return type(self), (self.group, self.hand)


def group_key(problem: Problem, candidate: Candidate) -> tuple[str, str]:
    """(order group, hand): the hand only where the part itself is handed."""
    part = problem.checks.catalogue.parts.get(candidate.number)
    hand = part.hand if part is not None and candidate.set_use is None and part.hand != "either" else ""
    return problem.places.positions[candidate.place.position].group, hand


def order_groups(problem: Problem, filling: Filling, changes: Sequence[Change] = ()) -> tuple[OrderGroup, ...]:
    """All lines of the order by group, in the layout's order. A set stands in the first group that it serves.
    ``changes`` tell why they are ordered."""
    why: dict[tuple[str, str], list[str]] = defaultdict(list)
    lines: dict[tuple[str, str], dict[str, list[Candidate]]] = defaultdict(lambda: defaultdict(list))
    status = {c.place: c.cause or c.status for c in changes}
    for place in problem.places.all:
        candidate = filling.chosen.get(place)
        if candidate is not None and not candidate.stays:
            key = group_key(problem, candidate)
            lines[key][candidate.number].append(candidate)
            if place in status and status[place] not in why[key]:
                why[key].append(status[place])
    counted: set[tuple[str, str]] = set()
    exchanged = units_exchanged(problem, filling)
    unproven = set(to_be_proven(problem, filling))
    groups = []
    for key, numbers in lines.items():
        made = tuple(
            _line(problem, number, candidates, counted, exchanged) for number, candidates in sorted(numbers.items())
        )
        made = tuple(replace(line, to_prove=not unproven.isdisjoint(line.places)) for line in made)
        groups.append(OrderGroup(key[0], key[1], "; ".join(why[key]), made))
    return tuple(groups)


def _line(
    problem: Problem,
    number: str,
    candidates: list[Candidate],
    counted: set[tuple[str, str]],
    exchanged: dict[str, int],
) -> OrderLine:
    quantity = 0
    for candidate in candidates:
        if candidate.set_use is None:
            quantity += problem.places.positions[candidate.place.position].quantity
        elif candidate.set_use not in counted:
            counted.add(candidate.set_use)
            quantity += 1
    served = min(quantity, exchanged.get(number, 0))
    if served:
        exchanged[number] -= served
    if candidates[0].to_be_found:
        part_type = problem.places.positions[candidates[0].place.position].part_type
        return OrderLine(
            number="", name=part_type, quantity=quantity, places=tuple(c.place for c in candidates), recorded=False
        )
    part = problem.checks.catalogue.parts.get(number)
    return OrderLine(
        number=number,
        name=part.name if part else "",
        quantity=quantity,
        places=tuple(c.place for c in candidates),
        one_use=bool(part and part.one_use),
        offer=best_offer(problem, number, old_part=0 < served == quantity),
        exchanged=served,
        exchange=best_offer(problem, number, old_part=True) if 0 < served < quantity else None,
    )


def consumables_of(problem: Problem, filling: Filling) -> tuple[OrderLine, ...]:
    """Workshop consumables for the work that the filling makes: a block of their own beside the order."""
    renewed = {p.position for p in filling.movement.new}
    wanted: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for consumable in problem.places.layout.consumables:
        if consumable.with_position in renewed:
            wanted[consumable.part_type].append((consumable.with_position, consumable.quantity))
    lines = []
    for part_type, uses in sorted(wanted.items()):
        catalogue = problem.checks.catalogue
        numbers = [p for p in catalogue.parts.values() if catalogue.vocabulary.is_a(p.part_type, part_type)]
        numbers.sort(key=lambda p: (p.part not in problem.offered.offers, problem.offered.price(p.part), p.part))
        quantity, places = max(q for _, q in uses), tuple(Place(u) for u, _ in uses)
        if not numbers:
            lines.append(OrderLine(number="", name=part_type, quantity=quantity, places=places, recorded=False))
            continue
        part = numbers[0]
        offer = best_offer(problem, part.part)
        lines.append(OrderLine(part.part, part.name, quantity, places, part.one_use, offer))
    return tuple(lines)
