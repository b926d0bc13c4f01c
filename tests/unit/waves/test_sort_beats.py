"""Beats sorted sample by sample, against NumPy's own sort."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.sort_beats import mean_of_planes, middle_of_sorted, sort_beats


@pytest.mark.parametrize("count", [*range(1, 26), 61])
def test_any_number_of_beats_is_sorted(count: int) -> None:
    windows = np.random.default_rng(count).integers(-9, 9, (2, count, 40)).astype(np.float64)
    as_given = windows.copy()
    planes = sort_beats(windows)
    np.testing.assert_array_equal(np.stack(planes, axis=1), np.sort(as_given, axis=1))
    np.testing.assert_array_equal(windows, as_given)


@pytest.mark.parametrize("count", [1, 2, 11, 12, 30])
def test_medians_and_means_are_those_of_numpy(count: int) -> None:
    windows = np.random.default_rng(count).normal(size=(3, count, 50))
    planes = sort_beats(windows)
    np.testing.assert_allclose(middle_of_sorted(planes), np.median(windows, axis=1))
    np.testing.assert_allclose(mean_of_planes(planes), windows.mean(axis=1), atol=1e-12)
