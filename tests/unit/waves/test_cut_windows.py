"""Windows at any place of a recording, against one sample after the other."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.cut_windows import cut_windows

SAMPLES = np.arange(40.0).reshape(2, 20) ** 2


@pytest.mark.parametrize("width", [1, 5, 20, 33])
def test_windows_repeat_the_ends_beyond_them(width: int) -> None:
    starts = np.array([-40, -3, 0, 4, 18, 19, 25])
    expected = [
        SAMPLES[:, [min(max(start + step, 0), 19) for step in range(width)]]
        for start in starts.tolist()
    ]
    np.testing.assert_array_equal(cut_windows(SAMPLES, starts, width), np.stack(expected))


def test_windows_are_a_copy() -> None:
    windows = cut_windows(SAMPLES, np.array([2]), 5)
    windows += 1.0
    assert SAMPLES[0, 2] == 4.0
