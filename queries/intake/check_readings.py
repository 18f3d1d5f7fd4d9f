"""Readings that ``check`` points out: those whose thing nobody knows, and sizes unlike all others of their kind."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.judge.sense import unlike_the_others
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Unbound
from knockon.graph.records import Finding

MOST_PLACES = 6


def unbound_readings(catalogue: Catalogue) -> Iterator[Finding]:
    """A finding for each reading "on the item" of which nobody knows on which thing it was made, with what to do."""
    notes = {n.source for n in catalogue.notes.values()}
    for unbound in catalogue.unbound:
        if not unbound.feature:
            yield _of_item(unbound)
            continue
        kinds = {f.kind for n, f in catalogue.features_of(unbound.thing).items() if n == unbound.feature}
        tables = [catalogue.vocabulary.kinds[k].table for k in kinds if k in catalogue.vocabulary.kinds]
        file = "notes" if unbound.source in notes or not tables else f"features/{tables[0]}.csv"
        where = ", ".join(x for x in (unbound.thing, unbound.feature, unbound.source) if x)
        problem = f"{unbound.thing} {unbound.problem}. The reading counts as worn, of the part number"
        yield Finding(
            file=file,
            column=where,
            written="on the item",
            problem=problem,
            expected=_what_to_do(unbound),
            set_aside=False,
        )


def _of_item(unbound: Unbound) -> Finding:
    problem = f"{'; '.join(unbound.places)}: {unbound.problem}"
    expected = "the place where it stands now, or none"
    return Finding(
        file="items.csv", column="vehicle", written=unbound.thing, problem=problem, expected=expected, set_aside=False
    )


def _what_to_do(unbound: Unbound) -> str:
    places = "; ".join(unbound.places[:MOST_PLACES])
    stands = f" (it is here: {places})" if places else ""
    return f"the one thing that was read{stands}, by a name that items.csv has with its vehicle and place"


def unlike_sizes(catalogue: Catalogue) -> Iterator[Finding]:
    """A finding for each recorded size outside what the others of its kind and dimension make usual."""
    for size in unlike_the_others(catalogue.features, catalogue.vocabulary):
        where = f"{size.thing}, {size.feature}: {size.dimension}"
        problem = f"is outside the usual sizes of this kind, {size.low:.4g} to {size.high:.4g}"
        by = f" (source {size.source})" if size.source else ""
        expected = f"a usual size, or check this one and leave it{by}"
        yield Finding(
            file=f"features/{size.table}.csv",
            column=where,
            written=size.written,
            problem=problem,
            expected=expected,
            set_aside=False,
        )
