from __future__ import annotations

import numpy as np

from couchside.waves.smoothing import smooth_rows, soften


def test_smoothing_keeps_a_straight_line() -> None:
    line = np.linspace(-50.0, 80.0, 200)[None]
    assert np.abs(smooth_rows(line, (8.0, 12.0), 250.0) - line).max() < 1e-6


def test_softening_keeps_slow_waves_and_halves_the_rate() -> None:
    times_s = np.arange(4001) / 500.0
    soft = soften(100.0 * np.sin(2 * np.pi * 2.0 * times_s)[None], 25.0)
    assert soft.shape == (1, 2001)
    expected = 100.0 * np.sin(2 * np.pi * 2.0 * times_s[::2])
    # The Gaussian edge at 25 Hz leaves 99.8 % at 2 Hz.
    assert np.abs(soft[0] - expected)[100:-100].max() < 0.5
