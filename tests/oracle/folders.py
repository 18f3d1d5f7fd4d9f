"""Many random worlds in one records folder, read once and then asked one by one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, TypeVar

from msgspec.structs import replace

from tests.oracle.apart import named_apart
from tests.oracle.engine import loaded
from tests.oracle.generate import Case, case_from_seed

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue

T = TypeVar("T")


def folder(first: int, last: int) -> Iterator[tuple[int, Case, Catalogue]]:
    """Seeds from `first` to `last` - 1 with their cases and catalogues.

    The first catalogue holds the records of all, so that worlds are seen not to meddle with each other; the others
    only their own, which is much quicker to ask.
    """
    cases = {seed: named_apart(case_from_seed(seed), f"W{seed}") for seed in range(first, last)}
    catalogue = loaded(*(case.world for case in cases.values()))
    for seed, case in cases.items():
        yield seed, case, catalogue if seed == first else part_of(catalogue, f"W{seed}-")


def part_of(catalogue: Catalogue, prefix: str) -> Catalogue:
    """The records of the world whose names begin with `prefix`."""

    def own(named: Mapping[str, T]) -> dict[str, T]:
        return {name: record for name, record in named.items() if name.startswith(prefix)}

    return replace(
        catalogue,
        parts=own(catalogue.parts),
        claims=tuple(claim for claim in catalogue.claims if claim.part.startswith(prefix)),
        set_members=own(catalogue.set_members),
        set_checks=own(catalogue.set_checks),
        layouts=own(catalogue.layouts),
        vehicles=own(catalogue.vehicles),
        items=own(catalogue.items),
        kits=own(catalogue.kits),
        offers=own(catalogue.offers),
        features=own(catalogue.features),
    )
