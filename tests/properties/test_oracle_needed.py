"""What a part for a position has to be, against the oracle, on random small worlds.

Every position of every plan: each recorded part comes out as the oracle judges it beside the rest of the plan; what
meets it lies in the windows; a part made to lie in the windows meets it, and one just outside of one does not.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from typing import TYPE_CHECKING

from hypothesis import given, settings

from tests.oracle.engine import loaded
from tests.oracle.generate import Case, cases
from tests.oracle.needed import needed
from tests.properties.test_oracle_engine import WORLDS, differences, each

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue


def _needs(seed: int, case: Case, catalogue: Catalogue) -> Iterable[str]:
    return [said for one in needed(case, catalogue) for said in (*one.differences(), *one.windows_differ())]


@each(max(50, WORLDS // 3))
def test_what_meets_a_specification_fits_and_what_fits_meets_it(first: int, last: int) -> None:
    assert not differences(first, last, _needs)


@settings(max_examples=max(10, WORLDS // 100), deadline=None, derandomize="KNOCKON_EXAMPLES" not in os.environ)
@given(cases())
def test_so_it_is_in_a_world_of_its_own(case: Case) -> None:
    assert not list(_needs(0, case, loaded(case.world)))
