"""Which of several maxima is taken for a wave."""

from __future__ import annotations

import numpy as np
import pytest
from tests.unit.waves.conftest import FloatArray

from couchside.waves.smooth_waves import pick_peak

TIMES = np.arange(200)
FIRST, LAST = np.array([10]), np.array([190])


def hump(middle: float, height: float, width: float) -> FloatArray:
    humped: FloatArray = height * np.exp(-0.5 * ((TIMES - middle) / width) ** 2)
    return humped


def pick(power: FloatArray, likely: FloatArray) -> int:
    middle, found = pick_peak(power[None], FIRST, LAST, likely[None])
    assert found[0]
    return int(middle[0])


@pytest.mark.parametrize(("expected_at", "taken"), [(60.0, 60), (140.0, 140)])
def test_of_two_maxima_the_likelier_is_taken(expected_at: float, taken: int) -> None:
    power = hump(60, 10.0, 8.0) + hump(140, 10.0, 8.0)
    assert pick(power, hump(expected_at, 1.0, 40.0)) == taken


def test_a_broad_late_maximum_is_not_moved_to_where_it_is_expected() -> None:
    """A low T wave late in the beat: where it is expected rises steeply against its own slope."""
    power = hump(140, 10.0, 30.0)
    likely = hump(60, 1.0, 25.0)
    assert pick(power, likely) == 140
    assert pick(power * likely, np.ones(200)) < 100


def test_a_slope_is_no_maximum() -> None:
    _, found = pick_peak(TIMES[None].astype(float), FIRST, LAST)
    assert not found[0]
