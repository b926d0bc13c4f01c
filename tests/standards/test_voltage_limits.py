"""Published voltage limits, in the units in which they were published: millimetres at 10 mm/mV.

Sokolow–Lyon 35 mm, Cornell 28 mm for men and 20 mm for women, Cornell product 2440 mm·ms with 8 mm
added for women: table of an open review, PMC4750022, which prints ≥. Low voltage: QRS below 5 mm in
every limb lead (PMC2637596) and below 10 mm in every chest lead (from memory). The numbers are
exact, so that the tolerance is that of floating point.
"""

from __future__ import annotations

import pytest

from couchside.measures.voltages import (
    CORNELL_MV,
    CORNELL_PRODUCT_MV_MS,
    LEAST_CHEST_MV,
    LEAST_LIMB_MV,
    SOKOLOW_LYON_MV,
    WOMEN_ADD_MV,
)
from couchside.recording import Sex

MM_PER_MV = 10.0


@pytest.mark.parametrize(
    ("limit_mv", "published_mm"),
    [
        (SOKOLOW_LYON_MV, 35.0),
        (CORNELL_MV[Sex.MALE], 28.0),
        (CORNELL_MV[Sex.FEMALE], 20.0),
        (WOMEN_ADD_MV, 8.0),
        (CORNELL_PRODUCT_MV_MS, 2440.0),
        (LEAST_LIMB_MV, 5.0),
        (LEAST_CHEST_MV, 10.0),
    ],
)
def test_limit_is_the_published_one(limit_mv: float, published_mm: float) -> None:
    assert limit_mv * MM_PER_MV == pytest.approx(published_mm)
