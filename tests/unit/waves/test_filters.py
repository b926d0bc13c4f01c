from __future__ import annotations

import numpy as np
import pytest

from couchside.recording import Recording
from couchside.waves.filters import (
    Passband,
    band,
    band_as_recorded,
    high_pass_gain,
    low_pass_gain,
    soft_band,
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
    found = band(spectrum, Passband())[0]
    times_s = np.arange(found.shape[0]) * spectrum.step / rate_hz
    expected = 100.0 * np.sin(2 * np.pi * 7.0 * times_s)
    assert 1.0 / (spectrum.step / rate_hz) == pytest.approx(500.0, rel=1e-3)
    inside = (times_s > 0.5) & (times_s < 9.5)
    # Half a sample at 100 Hz is where a band-limited curve is least certain near mirrored ends.
    assert np.abs(found - expected)[inside].max() < 1.0


def test_the_recorded_rate_comes_back_unchanged() -> None:
    recording = sine(360.0, 7.0)
    spectrum = transform(recording)
    found = band_as_recorded(spectrum, Passband())
    expected = recording.microvolts - recording.microvolts[:, :1]
    assert np.abs(found - expected).max() < 1e-9


def test_gains_are_half_where_they_say() -> None:
    frequencies_hz = np.array([0.0, 0.4, 40.0])
    assert low_pass_gain(frequencies_hz, 40.0)[2] ** 2 == pytest.approx(0.5)
    assert high_pass_gain(frequencies_hz, 0.4)[:2] == pytest.approx([0.0, 0.5])


def test_leads_that_never_move_are_not_usable_and_all_zero() -> None:
    samples = np.array([np.sin(np.arange(500) / 9.0), np.full(500, np.nan), np.full(500, 2.0)])
    samples[0, 100:200] = np.nan
    spectrum = transform(Recording(leads=("I", "II", "V1"), microvolts=samples, rate_hz=500.0))
    assert spectrum.usable.tolist() == [True, False, False]
    assert np.abs(spectrum.coefficients[0]).max() > 1.0
    assert not spectrum.coefficients[1:].any()


@pytest.mark.parametrize("rate_hz", [100.0, 250.0, 360.0, 500.0, 2000.0])
def test_a_soft_band_is_every_second_sample(rate_hz: float) -> None:
    spectrum = transform(sine(rate_hz, 7.0))
    passband = Passband(above_hz=2.0, below_hz=20.0)
    whole, soft = band(spectrum, passband), soft_band(spectrum, passband)
    assert np.abs(soft - whole[:, ::2]).max() < 1e-3
