"""Which peaks of the activity curve are beats."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.pick_beats import pick_beats

EVERY, SMALL_ONE = 250, 5


@pytest.mark.parametrize(
    ("height", "lead_count", "is_found"),
    [(0.21, 1, True), (0.21, 12, False), (0.4, 12, True), (0.1, 1, False)],
)
def test_a_gap_is_searched_again_and_less_deeply_where_leads_are_many(
    *, height: float, lead_count: int, is_found: bool
) -> None:
    heights = np.ones(10)
    heights[SMALL_ONE] = height
    centres = EVERY * (0.5 + np.arange(10))
    times = np.arange(10 * EVERY)
    activity = heights @ np.exp(-0.5 * ((times - centres[:, None]) / 7.5) ** 2)
    beats = pick_beats(activity, lead_count)
    assert (np.abs(beats - centres[SMALL_ONE]).min() <= 1) is np.bool_(is_found)
    assert beats.size == 9 + is_found
