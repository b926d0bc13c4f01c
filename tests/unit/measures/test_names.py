from __future__ import annotations

import pytest

from couchside.measures import Limits, MeasureName
from couchside.measures.model import Trust
from couchside.measures.names import SENTENCE_NAMES, TABLE_NAMES


@pytest.mark.parametrize("names", [TABLE_NAMES, SENTENCE_NAMES])
def test_every_measure_has_a_name_of_its_own_in_the_order_of_printing(
    names: dict[MeasureName, str],
) -> None:
    assert list(names) == list(MeasureName)
    assert len(set(names.values())) == len(names)


@pytest.mark.parametrize(
    ("trust", "told"),
    [(Trust.SEEN, "Example2001"), (Trust.FROM_MEMORY, "Example2001, from memory, not checked")],
)
def test_a_source_in_short_says_where_it_was_not_seen(trust: Trust, told: str) -> None:
    limits = Limits(
        low=None, high=1.0, population="adults", source="Example2001, 98th centile", trust=trust
    )
    assert limits.short_source == told
