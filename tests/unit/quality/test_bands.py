"""Each kind of noise falls into its own band, with its power."""

from __future__ import annotations

import numpy as np
import pytest

from couchside.quality.bands import split_bands

RATE_HZ = 500.0
TIME_S = np.arange(5000) / RATE_HZ


def _sine(hertz: float) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return 100.0 * np.sin(2 * np.pi * hertz * TIME_S)[None, :]


@pytest.mark.parametrize(
    ("hertz", "band"),
    [(0.3, "wander"), (5.0, "beats"), (12.0, "beats"), (35.0, "muscle"), (90.0, "muscle")],
)
def test_a_sine_keeps_its_power_in_its_band_alone(hertz: float, band: str) -> None:
    bands = split_bands(_sine(hertz), RATE_HZ)
    # 100 µV of height are 70.7 µV rms; the ends are continued by mirror images, hence 6 %
    assert getattr(bands, band).std() == pytest.approx(70.7, rel=0.06)
    for other in {"wander", "beats", "muscle", "mains"} - {band}:
        assert getattr(bands, other).std() < 8.0


@pytest.mark.parametrize("mains_hz", [50.0, 60.0])
@pytest.mark.parametrize("rate_hz", [250.0, 500.0, 1000.0])
def test_mains_is_told_by_its_frequency(mains_hz: float, rate_hz: float) -> None:
    time_s = np.arange(int(10 * rate_hz)) / rate_hz
    noise = np.random.default_rng(1).normal(0.0, 5.0, (2, len(time_s)))
    hum = 20.0 * np.sin(2 * np.pi * (mains_hz + 0.04) * time_s)
    bands = split_bands(noise + hum, rate_hz)
    assert bands.mains_hz == mains_hz
    assert bands.mains[0].std() == pytest.approx(20.0 / np.sqrt(2), rel=0.1)


def test_noise_alone_is_no_mains() -> None:
    noise = np.random.default_rng(2).normal(0.0, 30.0, (12, 5000))
    bands = split_bands(noise, RATE_HZ)
    assert bands.mains_hz == 0.0
    assert not bands.mains.any()


def test_a_rate_too_low_for_mains_has_none() -> None:
    assert split_bands(np.random.default_rng(2).normal(0, 9.0, (3, 500)), 80.0).mains_hz == 0.0
