"""Windows and spans."""

from __future__ import annotations

import numpy as np

from couchside.quality.windows import join_windows, window_range, window_starts


def test_a_short_rest_joins_the_last_window() -> None:
    assert window_starts(10, 4).tolist() == [0, 4]
    assert window_starts(3, 4).tolist() == [0]


def test_range_is_highest_less_lowest() -> None:
    assert window_range(np.array([[1.0, -2.0, 5.0, 5.0]]), 2).tolist() == [[3.0, 0.0]]


def test_neighbouring_windows_become_one_span() -> None:
    marked = np.array([True, True, False, False, False, True])
    assert join_windows(marked, 250, 500.0, 3.1) == ((0.0, 1.0), (2.5, 3.1))


def test_nearly_all_windows_are_told_as_all_through() -> None:
    assert join_windows(np.array([True] * 9 + [False]), 250, 500.0, 5.0) == ()
