"""One recording parted into the bands in which noise is weighed, by one Fourier transform."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import count

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.waves.medians import median_of_rows

FloatArray = NDArray[np.float64]

_GAINS_KEPT = 8
_TINY = 1e-9
PADDING_S = 1.0
"""Each end is continued by its own mirror image for this long, so that the ends make no jump."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bands:
    """Signals of shape (lead, sample) in µV, band by band.

    Parameters
    ----------
    wander : array
        Below 0.6 Hz, about the median of each lead.
    beats : array
        Between wander and muscle: where the heart is, and movement.
    muscle : array
        Above 22 Hz without the mains and its harmonics.
    mains : array
        A narrow band about `mains_hz` and its harmonics; zero where there is no line.
    mains_hz : float
        50 or 60, whichever line stands out; 0 where neither does.
    high_over_low : array of shape (lead,)
        Power density at 70-95 Hz over that at 25-35 Hz, the whole signal with its beats; NaN for a
        lead without any, or where the spectrum ends below.
    """

    wander: FloatArray
    beats: FloatArray
    muscle: FloatArray
    mains: FloatArray
    mains_hz: float
    high_over_low: FloatArray


def split_bands(microvolts: FloatArray, rate_hz: float) -> Bands:
    """Part signals of shape (lead, sample) into bands; no sample may be NaN."""
    sample_count = microvolts.shape[1]
    padded, before = _pad(microvolts - median_of_rows(microvolts)[:, None], rate_hz)
    spectrum = np.fft.rfft(padded, axis=1)
    length = padded.shape[1]
    mains_hz = _find_mains(spectrum, length, rate_hz)
    kept = slice(before, before + sample_count)
    wander, beats, muscle, mains = (
        _cut_band(spectrum, gain, length)[:, kept]
        for gain in _band_gains(length, rate_hz, mains_hz)
    )
    return Bands(
        wander=wander,
        beats=beats,
        muscle=muscle,
        mains=mains,
        mains_hz=mains_hz,
        high_over_low=_high_over_low(spectrum, length, rate_hz),
    )


def _high_over_low(spectrum: NDArray[np.complex128], length: int, rate_hz: float) -> FloatArray:
    """Free of mains by choice of the bands: no harmonic of 50 or 60 Hz lies in either."""
    low, high = (
        _mean_power(spectrum, band_hz, length / rate_hz)
        for band_hz in (thresholds.FILTERED_LOW_HZ, thresholds.FILTERED_HIGH_HZ)
    )
    ratio: FloatArray = np.divide(high, low, out=np.full(len(low), np.nan), where=low > _TINY)
    return ratio


def _mean_power(
    spectrum: NDArray[np.complex128], band_hz: tuple[float, float], length_s: float
) -> FloatArray:
    """Mean over the coefficients of a band; NaN where the spectrum holds none or ends below.

    Under a Hann window, in which the kinks at the mirrored ends weigh next to nothing.
    """
    first, last = (round(edge_hz * length_s) for edge_hz in band_hz)
    if not 0 < first < last < spectrum.shape[1] - 1:
        return np.full(spectrum.shape[0], np.nan)
    part = spectrum[:, first:last] - 0.5 * (
        spectrum[:, first - 1 : last - 1] + spectrum[:, first + 1 : last + 1]
    )
    power: FloatArray = np.mean(part.real**2 + part.imag**2, axis=1)
    return power


def _cut_band(spectrum: NDArray[np.complex128], gain: FloatArray, length: int) -> FloatArray:
    """One band; real and imaginary parts are weighed as twice as many real numbers."""
    if not gain.any():
        return np.zeros((spectrum.shape[0], length))
    parts = spectrum.view(np.float64) * gain
    band: FloatArray = np.fft.irfft(parts.view(np.complex128), length, axis=1)
    return band


@lru_cache(maxsize=_GAINS_KEPT)
def _band_gains(length: int, rate_hz: float, mains_hz: float) -> tuple[FloatArray, ...]:
    """Gains of wander, beats, muscle and mains; recordings of one length share them.

    Each stands twice, for the real and the imaginary part of its coefficient.
    """
    frequencies_hz = _frequencies(length, rate_hz)
    line = _mains_gain(frequencies_hz, mains_hz)
    gains = (
        _edge_down(frequencies_hz, thresholds.WANDER_BAND_HZ[1], thresholds.WANDER_EDGE_HZ),
        _edge_up(frequencies_hz, thresholds.MOVEMENT_BAND_HZ[0], thresholds.WANDER_EDGE_HZ)
        * _edge_down(frequencies_hz, thresholds.MOVEMENT_BAND_HZ[1], thresholds.MOVEMENT_EDGE_HZ),
        _edge_up(frequencies_hz, thresholds.MUSCLE_BAND_HZ[0], thresholds.MUSCLE_LOW_EDGE_HZ)
        * _edge_down(frequencies_hz, thresholds.MUSCLE_BAND_HZ[1], thresholds.MUSCLE_HIGH_EDGE_HZ)
        * (1.0 - line),
        line,
    )
    return tuple(np.repeat(gain, 2) for gain in gains)


def _pad(microvolts: FloatArray, rate_hz: float) -> tuple[FloatArray, int]:
    sample_count = microvolts.shape[1]
    before = min(round(PADDING_S * rate_hz), sample_count - 1)
    length = _find_fast_length(sample_count + 2 * before)
    tail = before + sample_count
    mirrored = min(length - tail, sample_count - 1)
    padded = np.empty((microvolts.shape[0], length))
    padded[:, before:tail] = microvolts
    padded[:, :before] = microvolts[:, :before][:, ::-1]
    padded[:, tail : tail + mirrored] = microvolts[:, sample_count - mirrored :][:, ::-1]
    padded[:, tail + mirrored :] = padded[:, tail + mirrored - 1, None]
    return padded, before


@lru_cache(maxsize=_GAINS_KEPT)
def _find_fast_length(minimum: int) -> int:
    """The next length without prime factors above 5: such a number divides a power of 30."""
    return next(length for length in count(minimum) if pow(30, 64, length) == 0)


def _find_mains(spectrum: NDArray[np.complex128], length: int, rate_hz: float) -> float:
    ratios = [
        _line_ratio(spectrum, _around_line(length, rate_hz, line_hz))
        for line_hz in thresholds.MAINS_HZ
    ]
    strongest = int(np.argmax(ratios))
    return thresholds.MAINS_HZ[strongest] if ratios[strongest] > thresholds.MAINS_RATIO else 0.0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _AroundLine:
    """Coefficients near a line; `weights` give the mean in it and beside it, (coefficient, 2)."""

    near: slice
    weights: FloatArray


def _line_ratio(spectrum: NDArray[np.complex128], around: _AroundLine | None) -> float:
    """Power density in the line over that beside it, in the lead where it stands out most."""
    if around is None:
        return 0.0
    part = spectrum[:, around.near]
    line_power, beside_power = ((part.real**2 + part.imag**2) @ around.weights).T
    return float(np.max(line_power / np.maximum(beside_power, _TINY)))


@lru_cache(maxsize=_GAINS_KEPT)
def _around_line(length: int, rate_hz: float, line_hz: float) -> _AroundLine | None:
    """Where to look for a line; None where it lies beyond the spectrum or has nothing beside it."""
    frequencies_hz = _frequencies(length, rate_hz)
    distance_hz = np.abs(frequencies_hz - line_hz)
    near = np.flatnonzero(distance_hz <= thresholds.MAINS_NEIGHBOURS_HZ)
    line = distance_hz[near] <= thresholds.MAINS_HALF_WIDTH_HZ
    beside = distance_hz[near] > 2 * thresholds.MAINS_HALF_WIDTH_HZ
    if frequencies_hz[-1] < line_hz + 1 or not line.any() or not beside.any():
        return None
    weights = np.stack((line / line.sum(), beside / beside.sum()), axis=1)
    return _AroundLine(near=slice(int(near[0]), int(near[-1]) + 1), weights=weights)


def _frequencies(length: int, rate_hz: float) -> FloatArray:
    """Frequency of each coefficient of a real transform, Hz."""
    frequencies_hz: FloatArray = np.fft.rfftfreq(length, 1.0 / rate_hz).astype(np.float64)
    return frequencies_hz


def _mains_gain(frequencies_hz: FloatArray, mains_hz: float) -> FloatArray:
    if mains_hz == 0.0:
        return np.zeros_like(frequencies_hz)
    harmonic = np.maximum(np.round(frequencies_hz / mains_hz), 1.0)
    distance_hz = np.abs(frequencies_hz - harmonic * mains_hz)
    return np.clip(2.0 - distance_hz / thresholds.MAINS_HALF_WIDTH_HZ, 0.0, 1.0)


def _edge_down(frequencies_hz: FloatArray, edge_hz: float, width_hz: float) -> FloatArray:
    position = np.clip((frequencies_hz - edge_hz) / width_hz, 0.0, 1.0)
    gain: FloatArray = 0.5 * (1.0 + np.cos(np.pi * position))
    return gain


def _edge_up(frequencies_hz: FloatArray, edge_hz: float, width_hz: float) -> FloatArray:
    return 1.0 - _edge_down(frequencies_hz, edge_hz - width_hz, width_hz)
