"""Least costs in a network of variables, exact on trees of it: what any choice costs that has a certain value.

A network costs the sum of what its values cost and of what joined ones pay together. A tree of its edges forgets the
others, so it costs no more. On a tree two passes give, for every value, the least cost of all choices with it: from
the leaves to the root what the branches behind a variable cost at least, and back from the root the same of all that
is not behind it. Several trees, each of the edges that were used least before: of what they say the greatest holds,
and a value that one tree rules out is left out of the next.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property

from knockon.queries.plan.solving.classes import JointClasses

NEVER = 1 << 400
"""More than any choice costs."""
TREES = 3
Signature = tuple[tuple[int, bool], ...]
"""Of a value at an edge: for each of its joints the class of what stands at this end (-1: nothing), whether it
stays."""


class Edge:
    """All joints between two variables, and what two values pay for them, by their signatures.

    ``joints``: each with whether it is turned, its first end at the second variable; ``signatures``: of the values at
    each end; ``cost_of``: what a verdict costs, by its name. What stays beside what stays is not judged.
    """

    def __init__(
        self,
        variables: tuple[int, int],
        joints: Sequence[tuple[JointClasses, bool]],
        signatures: tuple[Sequence[Signature], Sequence[Signature]],
        cost_of: Mapping[str, int],
    ) -> None:
        self.variables, self._joints, self._cost_of = variables, joints, cost_of
        known: tuple[dict[Signature, int], dict[Signature, int]] = ({}, {})
        self.of_value = tuple(
            [of.setdefault(s, len(of)) for s in signed] for of, signed in zip(known, signatures, strict=True)
        )
        """For each end the number of each value's signature."""
        self._signatures = tuple(list(of) for of in known)
        self._costs: dict[tuple[int, int], int] = {}

    @cached_property
    def closeness(self) -> float:
        """How much its joints rule out: the share of pairs of classes that are a no, of the joint where it is
        greatest."""
        return max(joint.share_of_no for joint, _ in self._joints)

    def cost(self, first: int, second: int) -> int:
        """What two signatures pay, the second one of the second variable."""
        key = first, second
        found = self._costs.get(key)
        if found is None:
            found = self._costs[key] = self._paid(self._signatures[0][first], self._signatures[1][second])
        return found

    def _paid(self, first: Signature, second: Signature) -> int:
        cost = 0
        for (joint, turned), (a, a_stays), (b, b_stays) in zip(self._joints, first, second, strict=True):
            if a < 0 or b < 0 or (a_stays and b_stays):
                continue
            cost += self._cost_of[joint.name_of(b, a) if turned else joint.name_of(a, b)]
        return cost

    def across(self, least: Sequence[int], end: int, beside: Sequence[int]) -> list[int]:
        """What each signature of the other end pays at least for the joints and what stands at this end, whose values
        cost ``least``; what costs ``NEVER`` there, ``beside``, is not asked."""
        cheapest, other_costs = self._cheapest(least, end), self._cheapest(beside, 1 - end)
        order = sorted((s for s, cost in enumerate(cheapest) if cost < NEVER), key=cheapest.__getitem__)
        found = [NEVER] * len(other_costs)
        for other, cost_there in enumerate(other_costs):
            if cost_there >= NEVER:
                continue
            best = NEVER
            for signature in order:
                own = cheapest[signature]
                if own >= best:  # nothing is paid back: no later one is cheaper
                    break
                best = min(best, own + (self.cost(other, signature) if end else self.cost(signature, other)))
            found[other] = best
        return found

    def _cheapest(self, costs: Sequence[int], end: int) -> list[int]:
        """For each signature of an end the least cost of its values."""
        cheapest = [NEVER] * len(self._signatures[end])
        for signature, cost in zip(self.of_value[end], costs, strict=True):
            if cost < cheapest[signature]:
                cheapest[signature] = cost
        return cheapest


Costs = Mapping[int, Sequence[int]]
"""For each variable, by its number, a cost for each of its values."""


class Network:
    """The least costs of a network; ``variables``: what each value of each costs by itself.

    ``with_each``: of any choice with each of the values; ``least``: of any choice.
    """

    def __init__(self, variables: Costs, edges: Sequence[Edge], trees: int = TREES) -> None:
        self.least = 0
        self._trees: list[_Tree] = []
        found = {v: [0] * len(own) for v, own in variables.items()}
        used = dict.fromkeys(range(len(edges)), 0)
        costs = {v: list(own) for v, own in variables.items()}
        for _ in range(trees):
            chosen = _spanning(variables, edges, used)
            if self._trees and not any(used[e] == 0 for e in chosen):
                break  # no joint that is not told of by now
            tree = _Tree(costs, [edges[e] for e in chosen])
            self._trees.append(tree)
            for e in chosen:
                used[e] += 1
            self.least = max(self.least, tree.least)
            for v, of_tree in tree.with_each.items():
                here, own = found[v], costs[v]
                for i, cost in enumerate(of_tree):
                    if cost > here[i]:
                        here[i] = cost
                    if cost >= NEVER:
                        own[i] = NEVER
            if self.least >= NEVER:
                break
        self.with_each: Costs = found

    def choice_with(self, variable: int, value: int) -> dict[int, int]:
        """For each variable the number of its value in a choice with this one, the cheapest of a tree."""
        tree = max(self._trees, key=lambda one: one.with_each[variable][value])
        return tree.choice_with(variable, value)


def _spanning(variables: Iterable[int], edges: Sequence[Edge], used: Mapping[int, int]) -> list[int]:
    """The edges of a spanning forest: those used least before, of these those that rule out most."""
    root = {v: v for v in variables}

    def find(v: int) -> int:
        while root[v] != v:
            root[v] = v = root[root[v]]
        return v

    chosen = []
    for e in sorted(range(len(edges)), key=lambda e: (used[e], -edges[e].closeness, e)):
        a, b = (find(v) for v in edges[e].variables)
        if a != b:
            root[a] = b
            chosen.append(e)
    return chosen


class _Tree:
    """The least costs on a spanning forest, and the choices that cost so little."""

    def __init__(self, costs: Costs, edges: Sequence[Edge]) -> None:
        self._beside: dict[int, list[tuple[Edge, int]]] = {v: [] for v in costs}
        for edge in edges:
            first, second = edge.variables
            self._beside[first].append((edge, second))
            self._beside[second].append((edge, first))
        self._walk()
        self._behind = {v: list(own) for v, own in costs.items()}
        """For each value what it and the branches behind it cost at least."""
        self._paid: dict[int, list[int]] = {}
        """For each variable what what it hangs on pays for it, by signature."""
        for v in reversed(self._order):
            if (up := self._parent[v]) is not None:
                edge, parent = up
                end = edge.variables.index(v)
                self._paid[v] = edge.across(self._behind[v], end, self._behind[parent])
                _add(self._behind[parent], self._paid[v], edge.of_value[1 - end])
        roots = {v: min(self._behind[v], default=NEVER) for v in self._order if self._parent[v] is None}
        self.least = min(NEVER, sum(roots.values()))
        self._whole = {v: list(of) for v, of in self._behind.items()}
        for v in self._order if self.least < NEVER else ():
            if (up := self._parent[v]) is not None:
                edge, parent = up
                end = edge.variables.index(parent)
                _add(self._whole[v], edge.across(self._without(v), end, self._whole[v]), edge.of_value[1 - end])
        self.with_each: dict[int, list[int]] = {}
        for v, whole in self._whole.items():
            elsewhere = self.least - roots[self._root[v]] if self.least < NEVER else NEVER
            self.with_each[v] = [min(NEVER, cost + elsewhere) for cost in whole]

    def _walk(self) -> None:
        """The variables, each after what it hangs on, with the edge to that and what it is."""
        self._order: list[int] = []
        self._parent: dict[int, tuple[Edge, int] | None] = {}
        self._root: dict[int, int] = {}
        for root in self._beside:
            waiting = [] if root in self._parent else [root]
            self._parent.setdefault(root, None)
            while waiting:
                v = waiting.pop()
                self._root[v] = root
                self._order.append(v)
                for edge, w in self._beside[v]:
                    if w not in self._parent:
                        self._parent[w] = edge, v
                        waiting.append(w)

    def _without(self, v: int) -> list[int]:
        """What the values of what a variable hangs on cost with all but the branch behind that variable."""
        up = self._parent[v]
        assert up is not None
        edge, parent = up
        paid, signatures = self._paid[v], edge.of_value[edge.variables.index(parent)]
        whole = self._whole[parent]
        return [cost - paid[s] if cost < NEVER else NEVER for cost, s in zip(whole, signatures, strict=True)]

    def choice_with(self, variable: int, value: int) -> dict[int, int]:
        """The number of each variable's value in one of the cheapest choices with this one."""
        chosen = {variable: value}
        for start in (variable, *(v for v in self._order if self._parent[v] is None)):
            if start not in chosen:
                if self._root[variable] == start:
                    continue
                chosen[start] = min(range(len(self._behind[start])), key=self._behind[start].__getitem__)
            waiting = [start]
            while waiting:
                v = waiting.pop()
                for edge, w in self._beside[v]:
                    if w not in chosen:
                        chosen[w] = self._cheapest_beside(edge, v, chosen[v], w)
                        waiting.append(w)
        return chosen

    def _cheapest_beside(self, edge: Edge, chosen: int, value: int, variable: int) -> int:
        """Of a variable the value that costs least beside a value of another, with all that is not behind that one."""
        end = edge.variables.index(chosen)
        own, signatures = edge.of_value[end][value], edge.of_value[1 - end]
        up = self._parent[chosen]
        costs = self._without(chosen) if up is not None and up[1] == variable else self._behind[variable]
        return min(
            (i for i, cost in enumerate(costs) if cost < NEVER),
            key=lambda i: costs[i] + (edge.cost(signatures[i], own) if end else edge.cost(own, signatures[i])),
        )


def _add(costs: list[int], paid: Sequence[int], of_value: Sequence[int]) -> None:
    """Add to the costs of values what their signatures pay."""
    for i, signature in enumerate(of_value):
        costs[i] = min(NEVER, costs[i] + paid[signature])
