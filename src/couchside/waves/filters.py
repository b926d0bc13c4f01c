"""Zero-phase filtering for analysis only: one Fourier transform in, any number of bands out.

Filters here never touch what is stored, shown or printed. All analysis runs at one rate or at half
of it, so that every duration in this package is one whole number of samples, whatever the
recorder's rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import count as count_from
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Recording
from couchside.waves.gaps import bridge_gaps
from couchside.waves.model import FloatArray

ANALYSIS_RATE_HZ = 500
"""Rate advised for analysis [AHA2007-I]; slower recordings are interpolated up to it."""

SOFT_RATE_HZ = 250
"""P and T, and the bands in which beats are found and told apart, hold nothing that a lower rate
would lose."""
HALVING = ANALYSIS_RATE_HZ // SOFT_RATE_HZ

MARGIN_S = 1.5
"""Mirrored on at each end, longer than the ringing of any band used here."""
_CANDIDATES = 40

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Passband:
    """What a band holds: all that is faster than one edge and slower than the other.

    Parameters
    ----------
    above_hz : float
        Where `high_pass_gain` is a half; 0: nothing is taken away.
    below_hz : float
        Half-power frequency of `low_pass_gain`.
    """

    above_hz: float = 0.0
    below_hz: float = np.inf


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """A recording in the frequency domain, ready to be cut into bands.

    Parameters
    ----------
    coefficients : complex array of shape (lead, frequency)
        Of the recording, mirrored at both ends; all zero for a lead without signal.
    rate_hz : float
        Of the recording.
    usable : bool array of shape (lead,)
        False where a lead holds no samples or never moves.
    padded_count : int
        Samples at the analysis rate with the margins.
    margin, sample_count : int
        Samples at the analysis rate of the margin and of the recording itself.
    step : float
        Recorded samples for each sample at the analysis rate.
    recorded_padded, recorded_margin, recorded_count : int
        The same three counts at the recording's own rate.
    """

    coefficients: NDArray[np.complex128]
    rate_hz: float
    usable: BoolArray
    padded_count: int
    margin: int
    sample_count: int
    step: float
    recorded_padded: int
    recorded_margin: int
    recorded_count: int


def transform(recording: Recording) -> Spectrum:
    """Fourier transform of a recording, missing samples bridged by straight lines.

    Parameters
    ----------
    recording : Recording
        Any length, leads and rate.

    Returns
    -------
    Spectrum
    """
    missing = np.isnan(recording.microvolts)
    bridged = bridge_gaps(recording.microvolts, missing)
    margin = round(MARGIN_S * recording.rate_hz)
    count = find_fast_length(recording.sample_count + 2 * margin, recording.rate_hz)
    padded = _mirror(bridged, margin, count)
    coefficients = np.fft.rfft(padded, axis=1)
    analysis_count = HALVING * round(count * SOFT_RATE_HZ / recording.rate_hz)
    step = count / analysis_count
    return Spectrum(
        coefficients=coefficients,
        rate_hz=recording.rate_hz,
        usable=np.ptp(bridged, axis=1) > 0,
        padded_count=analysis_count,
        margin=round(margin / step),
        sample_count=int(np.ceil(recording.sample_count / step)),
        step=step,
        recorded_padded=count,
        recorded_margin=margin,
        recorded_count=recording.sample_count,
    )


def band(spectrum: Spectrum, passband: Passband) -> FloatArray:
    """One band of a recording at the analysis rate, without phase shift.

    Parameters
    ----------
    spectrum : Spectrum
        From `transform`.
    passband : Passband
        What to keep.

    Returns
    -------
    array of shape (lead, sample)
        In µV.
    """
    whole = _go_back(spectrum, passband, spectrum.padded_count)
    return whole[:, spectrum.margin : spectrum.margin + spectrum.sample_count]


def soft_band(spectrum: Spectrum, passband: Passband) -> FloatArray:
    """Every second sample of `band`, in half its time: where it holds nothing faster."""
    whole = _go_back(spectrum, passband, spectrum.padded_count // HALVING)
    margin = spectrum.margin // HALVING
    return whole[:, margin : margin + -(-spectrum.sample_count // HALVING)]


def band_as_recorded(spectrum: Spectrum, passband: Passband) -> FloatArray:
    """The same as `band` at the recording's own rate."""
    whole = _go_back(spectrum, passband, spectrum.recorded_padded)
    return whole[:, spectrum.recorded_margin : spectrum.recorded_margin + spectrum.recorded_count]


def _go_back(spectrum: Spectrum, passband: Passband, count: int) -> FloatArray:
    """One band as so many samples, margins included."""
    kept = min(spectrum.coefficients.shape[1], count // 2 + 1)
    gain = _find_gain(passband, spectrum.recorded_padded, spectrum.rate_hz)
    scaled = spectrum.coefficients[:, :kept] * (gain[:kept] * (count / spectrum.recorded_padded))
    whole: FloatArray = np.fft.irfft(scaled, n=count, axis=1)
    return whole


@lru_cache(maxsize=8)
def _find_gain(passband: Passband, count: int, rate_hz: float) -> FloatArray:
    frequencies_hz = find_frequencies(count, rate_hz)
    gain = high_pass_gain(frequencies_hz, passband.above_hz) if passband.above_hz else 1.0
    return gain * low_pass_gain(frequencies_hz, passband.below_hz)


def find_frequencies(count: int, rate_hz: float) -> FloatArray:
    """Frequency of each coefficient of a real transform, Hz."""
    return np.arange(count // 2 + 1, dtype=np.float64) * (rate_hz / count)


def low_pass_gain(frequencies_hz: FloatArray, edge_hz: FloatArray | float) -> FloatArray:
    """Gaussian low-pass, half power at the edge: it neither rings nor delays."""
    gain: FloatArray = np.exp(-0.5 * np.log(2.0) * (frequencies_hz / edge_hz) ** 2)
    return gain


def high_pass_gain(frequencies_hz: FloatArray, edge_hz: float) -> FloatArray:
    """Second-order Butterworth magnitude applied forward and back, half amplitude at the edge."""
    ratio = np.square(np.square(frequencies_hz / edge_hz))
    gain: FloatArray = ratio / (1.0 + ratio)
    return gain


def _mirror(samples: FloatArray, margin: int, count: int) -> FloatArray:
    """Odd reflection at both ends, so that a drifting lead has no step where it is joined.

    Each lead counts from its first sample, so that a lead that never moves is all zero.
    """
    length = samples.shape[1]
    reach, tail = min(margin, length - 1), margin + length
    padded = np.empty((samples.shape[0], count))
    centred = padded[:, margin:tail]
    np.subtract(samples, samples[:, :1], out=centred)
    padded[:, margin - reach : margin] = -centred[:, reach:0:-1]
    padded[:, : margin - reach] = padded[:, margin - reach, None]
    mirrored = 2 * centred[:, -1:] - centred[:, -2 : -2 - reach : -1]
    padded[:, tail : tail + reach] = mirrored
    padded[:, tail + reach :] = padded[:, tail + reach - 1, None]
    _join_ends(padded, tail + reach)
    return padded


def _join_ends(padded: FloatArray, tail: int) -> None:
    """Lead the last samples over to the first in a straight line: the transform is periodic."""
    count = padded.shape[1] - tail
    if count > 0:
        rise = np.arange(1, count + 1) / (count + 1)
        last, first = padded[:, tail - 1, None], padded[:, :1]
        padded[:, tail:] = last + (first - last) * rise


@cache
def find_fast_length(minimum: int, rate_hz: float) -> int:
    """A length of many small factors, at the analysis rate too where such a one is near."""
    lengths = list(islice(filter(_is_smooth, count_from(minimum)), _CANDIDATES))
    for count in lengths:
        other = count * SOFT_RATE_HZ / rate_hz
        if other == round(other) and _is_smooth(HALVING * round(other)):
            return count
    return lengths[0]


def _is_smooth(number: int) -> bool:
    """A multiple of four without factors above five: of these the transform is quickest."""
    if number % 4:
        return False
    for factor in (2, 3, 5):
        while number % factor == 0:
            number //= factor
    return number == 1
