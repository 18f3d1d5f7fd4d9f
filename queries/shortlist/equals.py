"""Parts that are equal in all that is recorded of them but name, maker and source: the cheapest stands for all.

Proof that no best plan is lost. Let m be equal to r: same part type, hand and one-use, the same sizes computing on the
same standing, the same features said to be there or not, and no claim, note, kit, item, vehicle, set, mirror or drawing
that names either. Then every check says of both the same, and r may stand wherever m may. Put r in the place of m
everywhere in a plan: it stays consistent, no check and no change counts otherwise, and it has no more lines that nobody
offers. r is offered if m is, and costs no more, in whole hundredths and without a surcharge on either, so the price
does not rise. If r costs less, or m is not offered and r is, the plan is better. Else r has the lesser number and comes
first among ties. So no best plan has m, and no other plan that is better on some level needs it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import reduce
from typing import Any

from knockon.queries.shortlist.engines import Columns

ALIKE = ("part_type", "hand", "one_use", "key")
SAID = ("feature", "dimension", "lower", "upper", "nominal", "code", "unknown", "contested", "rank", "of_number")
PRESENT = ("feature", "kind", "presence", "some_say_absent")
CENTS = 1e-6
"""So far a price may be from whole hundredths, by the way numbers are kept."""


def stood_for(columns: Columns, numbers: Any, apart: Sequence[str], avoided: Iterable[str]) -> Any:
    """Of some parts (a table with ``part``) those that another stands for: ``part``, and ``by`` which.

    ``apart``: numbers that are named somewhere and are none of these. ``avoided``: suppliers not to buy from.
    """
    plain = _plain(columns, numbers, apart)
    priced = _left(plain, _prices(columns, avoided), "part")
    priced = priced.mutate(unoffered=priced.price.isnull(), price=priced.price.fill_null(0.0))
    priced = priced.filter(priced.in_cents.fill_null(True))
    keyed = _left(priced, _keys(columns, plain), "part")
    keyed = keyed.mutate(key=keyed.key.fill_null(""))
    window = columns.layer.window(group_by=list(ALIKE), order_by=["unoffered", "price", "part"])
    first = keyed.mutate(by=keyed.part.first().over(window))
    return first.filter(first.by != first.part).select("part", "by")


def _plain(columns: Columns, numbers: Any, apart: Sequence[str]) -> Any:
    """The parts that nothing names: no claim, mirror, drawing or set, and nothing of ``apart``."""
    parts, claims, things = columns.parts, columns.claims, columns.things
    named = [
        parts.filter(parts.mirror_of != "").select(part="mirror_of"),
        parts.filter(parts.drawn_as != "").select(part="drawn_as"),
        claims.select("part"),
        claims.select(part="other_part"),
        columns.shared.select(part="thing"),
        things.filter(things["is"] != "part").select("part"),
        things.filter((things["is"] != "part") & (things.drawn_as != "")).select(part="drawn_as"),
        parts.filter((parts.mirror_of != "") | (parts.drawn_as != "") | (parts.not_accepted != "")).select("part"),
    ]
    if apart:
        named.append(columns.table(part=list(apart)))
    found = parts.semi_join(numbers, "part").select("part", "part_type", "hand", "one_use")
    return reduce(lambda left, table: left.anti_join(table, "part"), named, found)


def _prices(columns: Columns, avoided: Iterable[str]) -> Any:
    """The least price of each part that is offered; whether all its prices are whole hundredths without surcharge."""
    offers = columns.offers
    avoid = sorted(avoided)
    left = offers.filter(~offers.supplier.isin(avoid)) if avoid else offers
    cents = left.price * 100
    plain = ((cents - cents.round()).abs() < CENTS) & (left.exchange_surcharge == 0)
    return left.group_by("part").agg(price=left.price.min(), in_cents=plain.all())


def _keys(columns: Columns, plain: Any) -> Any:
    """All that is recorded of each part, as a text (``part``, ``key``)."""
    f, s = columns.features, columns.sizes
    said = s.filter(s.used | s.unknown)
    texts = [
        table.select(part="thing", text=_text(table, names)).semi_join(plain, "part").distinct()
        for table, names in ((f, PRESENT), (said, SAID))
    ]
    every = texts[0].union(texts[1])
    return every.group_by("part").agg(key=every.text.collect().sort().join(";"))


def _text(table: Any, names: Sequence[str]) -> Any:
    return reduce(lambda a, b: a + "," + b, (table[n].cast("string").fill_null("-") for n in names))


def _left(first: Any, second: Any, on: str) -> Any:
    joined = first.left_join(second, on)
    return joined.drop(*(c for c in joined.columns if c.endswith("_right")))
