"""Medians of rows, against NumPy's own."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.medians import median_of_rows


@pytest.mark.parametrize("shape", [(1, 1), (3, 2), (12, 4999), (12, 5000), (2, 3, 10)])
def test_the_median_of_each_row_is_found(shape: tuple[int, ...]) -> None:
    values = np.random.default_rng(1).integers(-9, 9, shape).astype(np.float64)
    np.testing.assert_array_equal(median_of_rows(values), np.median(values, axis=-1))


def test_the_values_stay_where_they_are() -> None:
    values = np.array([[3.0, 1.0, 2.0]])
    median_of_rows(values)
    assert values.tolist() == [[3.0, 1.0, 2.0]]
