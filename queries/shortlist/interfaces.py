"""Folding: things whose interface is the same at one end of a joint are one class, and classes are judged, not things.

All ends of a layout are folded in one expression. A class is known by its ``key``: all that the joint reads of it, as a
text. Its rows are what may be believed of it, as ``knockon.graph.judge.conditions.Side`` spreads it out: of sizes that
equal sources contradict each is one belief, of those that overlap each is one row of the same belief.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from functools import reduce
from typing import Any, NamedTuple

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Joint
from knockon.graph.model.rules import FitRule
from knockon.queries.shortlist.conditions import dimensions, is_no
from knockon.queries.shortlist.engines import Columns

SIZE = ("low", "high", "nominal", "code", "contested", "there")
"""What a row of a class holds of each dimension, with the dimension's number behind it."""


class End(NamedTuple):
    """One end of a joint of the layout: its number among all ends, and that of its joint; the kind as a word."""

    end: int
    joint: int
    position: str
    feature: str
    kind: str


class Folded(msgspec.Struct, frozen=True):
    """What is folded: the class of each thing at each end (``end``, ``thing``, ``cls``), the number of things of each
    class (``end``, ``cls``, ``things``), and its rows (``end``, ``cls``, ``count`` of its rows, ``belief``,
    ``absent``, and SIZE of each dimension)."""

    things: Any
    classes: Any
    rows: Any

    def torn(self) -> frozenset[int]:
        """The ends at which some class has more than one row."""
        found = self.rows.filter(self.rows["count"] > 1).select("end").distinct().to_pyarrow()
        return frozenset(found["end"].to_pylist())


def ends_of(catalogue: Catalogue, joints: Sequence[Joint]) -> tuple[End, ...]:
    """Both ends of each joint, numbered."""
    kinds, rules = catalogue.vocabulary.kinds, catalogue.vocabulary.rules
    return tuple(
        End(2 * n + on.number, n, end.position, end.feature, kinds[on.kind].label)
        for n, joint in enumerate(joints)
        for end, on in zip(joint.ends, rules[joint.rule].ends, strict=True)
    )


def fold(columns: Columns, catalogue: Catalogue, joints: Sequence[Joint], candidates: Any) -> Folded:
    """The classes of candidates (a table with ``position`` and ``thing``) at the ends of these joints."""
    ends = ends_of(catalogue, joints)
    reads = [
        (end.end, n, dimension)
        for end in ends
        for n, dimension in enumerate(dimensions(catalogue.vocabulary.rules[joints[end.joint].rule], end.end % 2))
    ]
    most = max((n + 1 for _, n, _ in reads), default=0)
    there = columns.settled(_presence(columns, ends, candidates))
    sizes = columns.settled(_sizes(columns, reads, there))
    said = (
        sizes.mutate(text=_text(sizes)).group_by("end", "thing").agg(sizes=lambda t: t.text.collect().sort().join(";"))
    )
    keyed = _left(there, said, ("end", "thing"))
    keyed = keyed.mutate(key=keyed.presence + "|" + keyed.sizes.fill_null(""))
    classes = keyed.group_by("end", "key").agg(
        things=lambda t: t.count(), thing=lambda t: t.thing.min(), presence=lambda t: t.presence.min()
    )
    number = columns.layer.row_number().over(order_by=["end", "key"])
    classes = columns.settled(classes.mutate(cls=number))
    of_things = keyed.inner_join(classes.select("end", "key", "cls"), ["end", "key"]).select("end", "thing", "cls")
    first = sizes.inner_join(classes.select("end", "thing", "cls"), ["end", "thing"])
    rows = _spread(columns, classes.select("end", "cls", "presence"), first, most)
    return Folded(columns.settled(of_things), classes.select("end", "cls", "things"), columns.settled(rows))


def _presence(columns: Columns, ends: Sequence[End], candidates: Any) -> Any:
    """Each thing at each end (``end``, ``feature``, ``thing``), and whether it has what the joint reads there: a
    feature of another kind has sizes of the same names and says nothing, unless it is said to be absent."""
    told = columns.table(**{name: [getattr(e, name) for e in ends] for name in ("end", "position", "feature", "kind")})
    at = candidates.select("position", "thing").distinct().inner_join(told, "position").drop("position")
    f = columns.features
    of = f.select("thing", "feature", "presence", "some_say_absent", recorded=f.kind)
    every = _left(at, of, ("thing", "feature"))
    is_of_it = ((every.recorded == every.kind) | every.some_say_absent).fill_null(False)
    presence = columns.layer.cases((is_of_it, every.presence), else_="not recorded")
    return every.mutate(presence=presence).select("end", "feature", "thing", "presence")


def _sizes(columns: Columns, reads: Sequence[tuple[int, int, str]], there: Any) -> Any:
    """The sizes that compute at each end (``end``, ``thing``, the dimension's number ``n``, and SIZE)."""
    told = columns.table(end=[r[0] for r in reads], n=[r[1] for r in reads], dimension=[r[2] for r in reads])
    s = columns.sizes
    used = s.filter(s.used).select(
        "thing", "feature", "dimension", "nominal", "code", "contested", low=s.lower, high=s.upper, there=s.used
    )
    held = there.filter(there.presence.isin(["recorded", "contested"])).inner_join(told, "end")
    found = held.inner_join(used, ["thing", "feature", "dimension"])
    return found.select("end", "thing", "n", *SIZE).distinct()


def _left(first: Any, second: Any, on: Sequence[str]) -> Any:
    joined = first.left_join(second, list(on))
    return joined.drop(*(c for c in joined.columns if c.endswith("_right")))


def _text(sizes: Any) -> Any:
    """A size as a text that is another for each other size."""
    return reduce(lambda a, b: a + "," + b, (sizes[c].cast("string").fill_null("-") for c in ("n", *SIZE)))


def _spread(columns: Columns, classes: Any, sizes: Any, most: int) -> Any:
    """One row for each class and choice among its sizes."""
    there = classes.filter(classes.presence != "absent").mutate(absent=False)
    absent = classes.filter(classes.presence.isin(["absent", "contested"])).mutate(absent=True)
    for n in range(most):
        of = sizes.filter(sizes.n == n)
        there = _left(there, of.select("cls", **{f"{name}_{n}": of[name] for name in SIZE}), ("cls",))
    nothing = {c: columns.layer.null(t) for c, t in there.schema().items() if c not in absent.columns}
    rows = there.union(absent.mutate(**nothing).select(*there.columns))
    torn = columns.layer.cases((rows.presence == "contested", rows.absent.cast("string")), else_="")
    for n in range(most):
        size = reduce(lambda a, b: a + "," + b, (rows[f"{c}_{n}"].cast("string").fill_null("-") for c in SIZE[:4]))
        torn = torn + columns.layer.cases((rows[f"contested_{n}"].fill_null(False), f";{n}:" + size), else_="")
    rows = columns.settled(rows.mutate(belief=torn).drop("presence"))
    return rows.inner_join(rows.group_by("cls").agg(count=lambda t: t.count()), "cls")


def open_pairs(columns: Columns, rule: FitRule, joints: Sequence[int], folded: Folded, torn: Collection[int]) -> Any:
    """The pairs of classes (``first``, ``second``) of some joints of one rule that are not a definite no.

    A pair is a no where it is one whatever is believed, and in a belief where some choice among its sizes makes it one,
    as ``knockon.graph.judge.verdicts.combine`` has it. Most classes have one row: of two such the row decides. ``torn``
    are the ends at which some class has more.
    """
    one, other = (_at(columns, folded.rows, joints, end) for end in (0, 1))
    plain = _pairs(one.filter(one.count1 == 1), other.filter(other.count2 == 1), rule, columns)
    found = [plain.filter(~plain.no).select(first="cls1", second="cls2")]
    several = []
    if any(2 * j in torn for j in joints):
        several.append((one.filter(one.count1 > 1), other))
    if any(2 * j + 1 in torn for j in joints):
        several.append((one.filter(one.count1 == 1), other.filter(other.count2 > 1)))
    for a, b in several:
        pairs = _pairs(a, b, rule, columns)
        believed = pairs.group_by("cls1", "cls2", "belief1", "belief2").agg(no=pairs.no.any())
        found.append(believed.filter(~believed.no).select(first="cls1", second="cls2").distinct())
    return found[0].union(*found[1:]) if several else found[0]


def _at(columns: Columns, rows: Any, joints: Sequence[int], end: int) -> Any:
    """The rows of one end of some joints, the end's number behind each name: ``low_0`` as ``low1_0``."""
    told = columns.table(end=[2 * j + end for j in joints], joint=list(joints))
    held = rows.inner_join(told, "end").drop("end")
    return held.rename({_with_end(name, end + 1): name for name in held.columns if name != "joint"})


def _with_end(name: str, end: int) -> str:
    word, dash, number = name.partition("_")
    return f"{word}{end}{dash}{number}"


def _pairs(first: Any, second: Any, rule: FitRule, columns: Columns) -> Any:
    pairs = first.inner_join(second, "joint")
    return pairs.mutate(no=is_no(rule, pairs, columns.layer))
