"""Sliding windows, against those of scipy.ndimage."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.ndimage import maximum_filter1d, uniform_filter1d

from couchside.waves.sliding import slide, sliding_maximum, sliding_mean

ROWS = np.random.default_rng(4).normal(0.0, 900.0, (3, 700))


@pytest.mark.parametrize("width", [1, 2, 7, 40, 250])
def test_the_mean_is_that_of_the_window_with_ends_repeated(width: int) -> None:
    expected = uniform_filter1d(ROWS, width, axis=1, mode="nearest")
    np.testing.assert_allclose(sliding_mean(ROWS, width), expected, atol=1e-9)


@pytest.mark.parametrize(("before", "after"), [(0, 0), (20, 19), (95, 95), (0, 6)])
def test_the_maximum_is_that_of_the_window_cut_short_at_the_ends(before: int, after: int) -> None:
    expected = [
        ROWS[:, max(place - before, 0) : place + after + 1].max(axis=1)
        for place in range(ROWS.shape[1])
    ]
    np.testing.assert_array_equal(sliding_maximum(ROWS, before, after).T, expected)


def test_an_even_window_of_maxima_is_that_of_scipy() -> None:
    expected = maximum_filter1d(ROWS, 40, axis=1)
    np.testing.assert_array_equal(sliding_maximum(ROWS, 20, 19), expected)


def test_a_row_shorter_than_the_window_is_taken_whole() -> None:
    row = np.array([1.0, 4.0, 2.0])
    assert sliding_maximum(row, 9, 9).tolist() == [4.0, 4.0, 4.0]
    np.testing.assert_allclose(
        sliding_mean(row, 9), uniform_filter1d(row, 9, mode="nearest"), atol=1e-12
    )


def test_a_product_with_the_moved_rows_correlates() -> None:
    wide, template = ROWS[:, :50], ROWS[:, 300:344]
    found = np.matmul(wide[:, None, :], slide(template, 7))[:, 0]
    expected = [np.correlate(one, other) for one, other in zip(wide, template, strict=True)]
    np.testing.assert_allclose(found, expected)
