"""Beats without their extremes, against NumPy's own sort."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.waves.trim_beats import median_of_beats, trim_beats, trimmed_mean


def _write_beats(count: int) -> np.ndarray:
    return np.random.default_rng(count).integers(-9, 9, (count, 2, 40)).astype(np.float64)


@pytest.mark.parametrize("count", [*range(1, 26), 61])
@pytest.mark.parametrize("share", [0.0, 0.2, 0.25, 0.49])
def test_extremes_are_left_out_of_any_number_of_beats(count: int, share: float) -> None:
    windows, cut = _write_beats(count), int(share * count)
    kept = np.stack(trim_beats(list(windows), cut))
    expected = np.sort(windows, axis=0)[cut : count - cut]
    np.testing.assert_array_equal(np.sort(kept, axis=0), expected)
    if cut:
        np.testing.assert_array_equal(kept[[0, -1]], expected[[0, -1]])
    np.testing.assert_allclose(trimmed_mean(list(windows), cut), expected.mean(axis=0), atol=1e-12)
    np.testing.assert_array_equal(windows, _write_beats(count))


@pytest.mark.parametrize("count", [1, 2, 11, 12, 30])
def test_medians_are_those_of_numpy(count: int) -> None:
    windows = np.random.default_rng(count).normal(size=(count, 3, 50))
    np.testing.assert_allclose(median_of_beats(list(windows)), np.median(windows, axis=0))
