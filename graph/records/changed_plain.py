"""Rows of plain tables put into a prepared copy: offers, claims, sources and parts.

Of offers and claims all that is said of the parts of rows that changed is read anew. Nothing else names such rows, and
what they name is looked for as the reader of tables does. Sources may come, and parts; of a part that was there its
texts may be other, and nothing by which others are drawn, paired or sorted.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable

import msgspec

from knockon.graph.files.shelf import Keyed, edited, numbers
from knockon.graph.model import names
from knockon.graph.model.build import grouped, paired
from knockon.graph.model.schema import Table
from knockon.graph.model.things import Claim, Offer, Part, Source
from knockon.graph.records.difference import Base, Difference, Features, NotAlone
from knockon.graph.records.kept import KeptClaims, fields_of
from knockon.graph.records.made_of import THING
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import Names, Row, in_circles, one_sided
from knockon.graph.tables.stated import FromTables, ReadTables

Written = dict[str, bytes]
_encode = msgspec.msgpack.Encoder().encode


def _gathered(base: Base, rows: list[Row]) -> FromTables:
    vocabulary = base.catalogue.vocabulary
    return FromTables(ReadTables(vocabulary, rows, [], [], Names({}, {}), FeaturesAt(vocabulary)))


def _shape(base: Base, table: str) -> Table:
    """The shape of a table whose rows nothing else names. Raises NotAlone."""
    tables = base.catalogue.vocabulary.tables
    shape = tables[table]
    if any(table in c.refers_to or c.names_in == table for other in tables.values() for c in other.columns):
        raise NotAlone
    if any(c.names_in or c.no_circle_from or c.mutual for c in shape.columns):
        raise NotAlone
    return shape


def offers_now(base: Base, difference: Difference, drawn: Keyed[Features]) -> Written:
    """The pieces of the offers. Raises NotAlone."""
    shape, things, at = _shape(base, "offers"), difference.things(drawn), difference.at
    rows = base.rows(difference, shape, lambda cells: cells[at] in things)
    found = grouped(_gathered(base, rows).records("offers", Offer), lambda offer: offer.part)
    offer = fields_of(Offer)
    changes = {p: _encode([offer(o) for o in found[p]]) if p in found else None for p in things}
    return edited(base.pieces, "offers", changes)[0]


def claims_now(base: Base, difference: Difference, drawn: Keyed[Features]) -> Written:
    """The pieces of the claims. Raises NotAlone."""
    shape, things, at = _shape(base, "claims"), difference.things(drawn), difference.at
    rows = base.rows(difference, shape, lambda cells: cells[at] in things)
    claims = KeptClaims(base.pieces)
    data, order = bytearray(base.pieces["claims data"]), base.pieces["claims at"].cast("Q").tolist()
    on = Keyed(base.pieces, "claims on", msgspec.msgpack.Decoder(tuple[int, ...]).decode)
    claim = fields_of(Claim)
    stands: dict[int, Claim] = {}
    gone: set[int] = set()
    numbers_of: set[str] = set()
    for thing in things:
        gone |= {where for where in on.get(thing) or () if claims.standing_at(where).part == thing}
    for where in gone:
        numbers_of |= {claims.standing_at(where).part, claims.standing_at(where).other_part}
    for said in _gathered(base, rows).records("claims", Claim):
        stands[len(data)] = said
        numbers_of |= {said.part, said.other_part}
        blob = _encode(claim(said))
        data += len(blob).to_bytes(4, "little") + blob

    def place(where: int) -> str:
        found = stands.get(where) or claims.standing_at(where)
        return names.quoted((found.part, found.claim, found.vehicle, found.other_part))

    if len({place(where) for where in stands}) < len(stands):
        raise NotAlone
    order = [where for where in order if where not in gone]
    for where in sorted(stands, key=place):
        order.insert(bisect_left(order, place(where), key=place), where)
    changes: dict[str, bytes | None] = {}
    for number in sorted(numbers_of - {""}):
        named = [where for where in on.get(number) or () if where not in gone]
        named += [w for w, said in stands.items() if number in (said.part, said.other_part)]
        changes[number] = _encode(sorted(named, key=place)) if named else None
    pieces, _ = edited(base.pieces, "claims on", changes)
    return pieces | {"claims data": bytes(data), "claims at": numbers(order)}


def sources_come(base: Base, difference: Difference) -> None:
    """Put new sources into the base. Raises NotAlone where one is gone, or other."""
    if difference.has_lost:
        raise NotAlone
    shape = base.catalogue.vocabulary.tables["sources"]
    if any(c.names_in or c.refers_to or c.no_circle_from or c.mutual for c in shape.columns):
        raise NotAlone
    rows = base.rows(difference, shape, difference.is_new)
    for source in _gathered(base, rows).records("sources", Source):
        if source.source in base.sources:
            raise NotAlone
        base.sources[source.source] = source


def parts_come(base: Base, difference: Difference, drawn: Keyed[Features]) -> frozenset[str]:
    """Put new parts into the base, and those that are other; which are new. Raises NotAlone."""
    shape, things = base.catalogue.vocabulary.tables["parts"], difference.things(drawn)
    if any(c.names_in for c in shape.columns):
        raise NotAlone
    if not difference.things_gone(drawn) <= difference.things_come:
        raise NotAlone
    new = frozenset(things - base.catalogue.parts.keys())
    # nothing else is called so: no item, no set's member, nothing that somebody has recorded features of
    if any(number in drawn for number in new):
        raise NotAlone
    base.parts |= dict.fromkeys(new, Part("", "", "", "", False))  # they may name each other
    at = difference.at
    rows = base.rows(difference, shape, lambda cells: cells[at] in things)
    came = [row for row in rows if row.cells[THING] in new]
    if any(True for found in (in_circles(came), one_sided(came)) for _ in found):
        raise NotAlone
    read = {part.part: part for part in _gathered(base, rows).records("parts", Part)}
    fresh = paired({number: read[number] for number in sorted(new, key=lambda n: names.quoted((n,)))})
    if any(part.mirror_of and part.mirror_of not in new for part in fresh.values()):
        raise NotAlone
    base.parts |= fresh
    for number in things - new:
        base.parts[number] = _as_before(read[number], base.catalogue.parts[number], difference)
    return new


def _as_before(part: Part, before: Part, difference: Difference) -> Part:
    """A part whose texts are other; its mirror as it was. Raises NotAlone where more is other."""
    if (part.part_type, part.drawn_as) != (before.part_type, before.drawn_as):
        raise NotAlone
    if part.mirror_of == before.mirror_of:
        return part
    if part.mirror_of or "mirror of" not in difference.raw.header:
        raise NotAlone
    at, by = difference.at, difference.raw.header.index("mirror of")
    other = [cells for _, cells in difference.raw.rows if cells[at] == before.mirror_of]
    if len(other) != 1 or difference.is_new(other[0]) or other[0][by] != part.part:
        raise NotAlone
    return msgspec.structs.replace(part, mirror_of=before.mirror_of)


def parts_now(base: Base, new: Iterable[str]) -> Written:
    """The pieces of the parts, and of the numbers of each type."""
    fields = fields_of(Part)
    changes: dict[str, bytes | None] = {number: _encode(fields(part)) for number, part in base.parts.items()}
    pieces, _ = edited(base.pieces, "parts", changes, lambda number: names.quoted((number,)))
    of_type: dict[str, list[str]] = {}
    for number in new:
        of_type.setdefault(base.parts[number].part_type, []).append(number)
    known = base.catalogue.numbers_of_type
    types: dict[str, bytes | None] = {t: _encode(sorted([*known.get(t, ()), *more])) for t, more in of_type.items()}
    return pieces | edited(base.pieces, "types", types)[0]
