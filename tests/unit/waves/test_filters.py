from __future__ import annotations

import numpy as np
import pytest

from couchside.recording import Recording
from couchside.waves.filters import (
    band,
    band_as_recorded,
    bridge_missing,
    high_pass_gain,
    low_pass_gain,
    smooth_rows,
    soften,
    transform,
)


def sine(rate_hz: float, frequency_hz: float, duration_s: float = 10.0) -> Recording:
    times_s = np.arange(round(duration_s * rate_hz)) / rate_hz
    return Recording(
        leads=("II",),
        microvolts=100.0 * np.sin(2 * np.pi * frequency_hz * times_s)[None],
        rate_hz=rate_hz,
    )


@pytest.mark.parametrize("rate_hz", [100.0, 128.0, 250.0, 257.0, 360.0, 500.0, 1000.0, 2000.0])
def test_a_band_comes_at_the_analysis_rate_without_delay(rate_hz: float) -> None:
    spectrum = transform(sine(rate_hz, 7.0))
    found = band(spectrum, np.ones_like(spectrum.frequencies_hz))[0]
    times_s = np.arange(found.shape[0]) * spectrum.step / rate_hz
    expected = 100.0 * np.sin(2 * np.pi * 7.0 * times_s)
    assert 1.0 / (spectrum.step / rate_hz) == pytest.approx(500.0, rel=1e-3)
    inside = (times_s > 0.5) & (times_s < 9.5)
    # Half a sample at 100 Hz is where a band-limited curve is least certain near mirrored ends.
    assert np.abs(found - expected)[inside].max() < 1.0


def test_the_recorded_rate_comes_back_unchanged() -> None:
    recording = sine(360.0, 7.0)
    spectrum = transform(recording)
    found = band_as_recorded(spectrum, np.ones_like(spectrum.frequencies_hz))
    expected = recording.microvolts - np.median(recording.microvolts)
    assert np.abs(found - expected).max() < 1e-9


def test_gains_are_half_where_they_say() -> None:
    frequencies_hz = np.array([0.0, 0.4, 40.0])
    assert low_pass_gain(frequencies_hz, 40.0)[2] ** 2 == pytest.approx(0.5)
    assert high_pass_gain(frequencies_hz, 0.4)[:2] == pytest.approx([0.0, 0.5])


def test_missing_samples_are_bridged_by_straight_lines() -> None:
    samples = np.array([[0.0, np.nan, np.nan, 3.0, 4.0], [np.nan] * 5, [2.0] * 5])
    bridged, usable = bridge_missing(samples)
    assert (bridged[0] - bridged[0, 0]).tolist() == [0.0, 1.0, 2.0, 3.0, 4.0]
    assert bridged[1:].tolist() == [[0.0] * 5] * 2
    assert usable.tolist() == [True, False, False]


def test_smoothing_keeps_a_straight_line() -> None:
    line = np.linspace(-50.0, 80.0, 200)[None]
    assert np.abs(smooth_rows(line, 12.0, 250.0) - line).max() < 1e-6


def test_softening_keeps_slow_waves_and_halves_the_rate() -> None:
    times_s = np.arange(4001) / 500.0
    soft = soften(100.0 * np.sin(2 * np.pi * 2.0 * times_s)[None], 25.0)
    assert soft.shape == (1, 2001)
    expected = 100.0 * np.sin(2 * np.pi * 2.0 * times_s[::2])
    # The Gaussian edge at 25 Hz leaves 99.8 % at 2 Hz.
    assert np.abs(soft[0] - expected)[100:-100].max() < 0.5
