"""Levels and covariances from sums over windows are those of the samples."""

from __future__ import annotations

import numpy as np

from couchside.quality.moments import Selection, measure_moments


def test_rms_counts_only_what_is_kept() -> None:
    signal = np.array([[3.0, 100.0, 3.0, 3.0, 5.0, 5.0, 5.0, 5.0]])
    kept = np.array([True, False, True, True, True, True, True, True])
    assert measure_moments(signal, Selection.of(kept, 4)).rms_uv.tolist() == [[3.0, 5.0]]


def test_a_window_without_samples_is_unknown() -> None:
    kept = np.array([False] * 4 + [True] * 4)
    rms_uv = measure_moments(np.ones((1, 8)), Selection.of(kept, 4)).rms_uv
    assert np.isnan(rms_uv[0, 0])
    assert rms_uv[0, 1] == 1.0


def test_covariance_and_sums_of_leads_are_those_of_the_samples() -> None:
    """Three windows of 40 samples, the last with 7 more; one of five leads is left out."""
    chance = np.random.default_rng(4)
    signal, kept = chance.normal(size=(5, 127)), chance.random(127) < 0.6
    rows, weights = [0, 2, 3, 1], chance.normal(size=(2, 4))
    chosen = measure_moments(signal, Selection.of(kept, 40)).among(rows)
    last_two = kept & (np.arange(127) >= 40)
    np.testing.assert_allclose(
        chosen.covariance(np.array([False, True, True])),
        signal[rows][:, last_two] @ signal[rows][:, last_two].T / last_two.sum(),
    )
    whole = signal[rows][:, kept]
    np.testing.assert_allclose(chosen.covariance(), whole @ whole.T / kept.sum())
    np.testing.assert_allclose(
        chosen.rms_of_sums_uv(weights),
        measure_moments(weights @ signal[rows], Selection.of(kept, 40)).rms_uv,
    )


def test_without_samples_the_covariance_is_0() -> None:
    moments = measure_moments(np.ones((2, 8)), Selection.of(np.zeros(8, dtype=bool), 4))
    assert not moments.covariance().any()
