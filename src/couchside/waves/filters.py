"""Zero-phase filtering for analysis only: one Fourier transform in, any number of bands out.

Filters here never touch what is stored, shown or printed. All analysis runs at one rate, so that
every duration in this package is one whole number of samples, whatever the recorder's rate.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import count as count_from
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from couchside.recording import Recording
from couchside.waves.gaps import bridge_gaps
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray

ANALYSIS_RATE_HZ = 500
"""Rate advised for analysis [AHA2007-I]; slower recordings are interpolated up to it."""

SOFT_RATE_HZ = 250
"""P and T hold nothing that a lower rate would lose."""

MARGIN_S = 1.5
_CANDIDATES = 40
"""Mirrored on at each end, longer than the ringing of any band used here."""

BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spectrum:
    """A recording in the frequency domain, ready to be cut into bands.

    Parameters
    ----------
    coefficients : complex array of shape (lead, frequency)
        Of the recording, mirrored at both ends; all zero for a lead without signal.
    frequencies_hz : array of shape (frequency,)
        Frequency of each coefficient.
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
    frequencies_hz: FloatArray
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
    bridged, usable = bridge_missing(recording.microvolts)
    margin = round(MARGIN_S * recording.rate_hz)
    count = _find_fast_length(recording.sample_count + 2 * margin, recording.rate_hz)
    padded = _mirror(bridged, margin, count)
    coefficients = np.fft.rfft(padded, axis=1)
    analysis_count = round(count * ANALYSIS_RATE_HZ / recording.rate_hz)
    step = count / analysis_count
    return Spectrum(
        coefficients=coefficients,
        frequencies_hz=_frequencies(count, recording.rate_hz),
        usable=usable,
        padded_count=analysis_count,
        margin=round(margin / step),
        sample_count=int(np.ceil(recording.sample_count / step)),
        step=step,
        recorded_padded=count,
        recorded_margin=margin,
        recorded_count=recording.sample_count,
    )


def band(spectrum: Spectrum, gain: FloatArray) -> FloatArray:
    """One band of a recording at the analysis rate, without phase shift.

    Parameters
    ----------
    spectrum : Spectrum
        From `transform`.
    gain : array of shape (frequency,)
        Real gain of each frequency.

    Returns
    -------
    array of shape (lead, sample)
        In µV.
    """
    kept = min(spectrum.coefficients.shape[1], spectrum.padded_count // 2 + 1)
    scaled = spectrum.coefficients[:, :kept] * (gain[:kept] / spectrum.step)
    whole = np.fft.irfft(scaled, n=spectrum.padded_count, axis=1)
    return whole[:, spectrum.margin : spectrum.margin + spectrum.sample_count]


def band_as_recorded(spectrum: Spectrum, gain: FloatArray) -> FloatArray:
    """The same as `band` at the recording's own rate."""
    whole = np.fft.irfft(spectrum.coefficients * gain, n=spectrum.recorded_padded, axis=1)
    return whole[:, spectrum.recorded_margin : spectrum.recorded_margin + spectrum.recorded_count]


def smooth_rows(rows: FloatArray, edge_hz: FloatArray | float, rate_hz: float) -> FloatArray:
    """Gaussian low-pass of short rows, mirrored at both ends.

    Parameters
    ----------
    rows : array of shape (…, sample)
        At least 40 samples.
    edge_hz : float, or array that broadcasts with the rows
        Half-power frequency.
    rate_hz : float
        Rate of the rows.

    Returns
    -------
    array of the same shape, or of that to which it broadcasts with the edges
    """
    kept = rows.shape[-1]
    count = _find_fast_length(kept + 2 * _SMOOTH_MARGIN, rate_hz)
    tail = _SMOOTH_MARGIN + kept
    padded = np.empty((*rows.shape[:-1], count))
    padded[..., _SMOOTH_MARGIN:tail] = rows
    padded[..., :_SMOOTH_MARGIN] = 2 * rows[..., :1] - rows[..., _SMOOTH_MARGIN:0:-1]
    padded[..., tail:] = 2 * rows[..., -1:] - rows[..., -2 : -2 - (count - tail) : -1]
    gain = low_pass_gain(_frequencies(count, rate_hz), edge_hz)
    smooth = np.fft.irfft(np.fft.rfft(padded, axis=-1) * gain, n=count, axis=-1)
    return smooth[..., _SMOOTH_MARGIN:tail]


_SMOOTH_MARGIN = 32
"""Samples mirrored on: beyond them even 8 Hz at 250 samples a second weigh under 1e-12."""


def soften(samples: FloatArray, edge_hz: float) -> FloatArray:
    """Low-pass from the analysis rate to `SOFT_RATE_HZ`, ends repeated.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        At the analysis rate.
    edge_hz : float
        Half-power frequency.

    Returns
    -------
    array of shape (lead, half as many samples, rounded up)
    """
    margin = round(0.1 * ANALYSIS_RATE_HZ)
    kept = samples.shape[1]
    count = _find_fast_length(kept + 2 * margin, ANALYSIS_RATE_HZ)
    count += count % 2
    padded = np.empty((samples.shape[0], count))
    padded[:, margin : margin + kept] = samples
    padded[:, :margin], padded[:, margin + kept :] = samples[:, :1], samples[:, -1:]
    spectrum = np.fft.rfft(padded, axis=1)[:, : count // 4 + 1]
    gain = low_pass_gain(_frequencies(count, ANALYSIS_RATE_HZ)[: count // 4 + 1], edge_hz)
    soft = np.fft.irfft(spectrum * (0.5 * gain), n=count // 2, axis=1)
    return soft[:, margin // 2 : margin // 2 + (kept + 1) // 2]


def _frequencies(count: int, rate_hz: float) -> FloatArray:
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


def bridge_missing(microvolts: FloatArray) -> tuple[FloatArray, BoolArray]:
    """Straight lines over missing samples, and the lead's median set to zero.

    Parameters
    ----------
    microvolts : array of shape (lead, sample)
        NaN where missing.

    Returns
    -------
    array of shape (lead, sample)
        Without NaN; zero for a lead that has no samples at all.
    bool array of shape (lead,)
        False where a lead has no samples or never moves.
    """
    bridged = bridge_gaps(microvolts, np.isnan(microvolts))
    centred: FloatArray = bridged - median_of_rows(bridged)[:, None]
    return centred, np.ptp(centred, axis=1) > 0


def _mirror(samples: FloatArray, margin: int, count: int) -> FloatArray:
    """Odd reflection at both ends, so that a drifting lead has no step where it is joined."""
    length = samples.shape[1]
    reach = min(margin, length - 1)
    padded = np.empty((samples.shape[0], count))
    padded[:, margin : margin + length] = samples
    padded[:, margin - reach : margin] = 2 * samples[:, :1] - samples[:, reach:0:-1]
    padded[:, : margin - reach] = padded[:, margin - reach, None]
    tail = margin + length
    mirrored = 2 * samples[:, -1:] - samples[:, -2 : -2 - reach : -1]
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
def _find_fast_length(minimum: int, rate_hz: float) -> int:
    """A length without large prime factors, whole at the analysis rate too where that is near."""
    smooth = list(islice(filter(_is_smooth, count_from(minimum)), _CANDIDATES))
    for count in smooth:
        other = count * ANALYSIS_RATE_HZ / rate_hz
        if other == round(other) and _is_smooth(round(other)):
            return count
    return smooth[0]


def _is_smooth(number: int) -> bool:
    for factor in (2, 3, 5, 7):
        while number % factor == 0:
            number //= factor
    return number == 1
