"""Filters for looking at a tracing: asked for by a person, said beside it, kept nowhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from couchside.errors import InvalidInput
from couchside.recording import Recording
from couchside.waves.gaps import bridge_gaps
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray

MARGIN_S = 5.0
"""Taken along at each side of a stretch, ten times longer than the slowest filter rings."""

SLOWEST_HZ = 0.01
"""Slower than anything that is filtered in an ECG; far below, squares of it come to nothing."""

NOTCH_WIDTH_HZ = 2.0
"""Between the two frequencies at which a notch takes half the power; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ViewFilter:
    """Which frequencies to show; None leaves them as recorded.

    Parameters
    ----------
    high_pass_hz, low_pass_hz : float or None
        Where half the power is left; beyond it the gain falls by 12 dB an octave.
    notch_hz : float or None
        Middle of the notch.
    """

    high_pass_hz: float | None = None
    low_pass_hz: float | None = None
    notch_hz: float | None = None

    @property
    def words(self) -> str:
        """What it does, such as ``"high-pass 0.5 Hz, low-pass 40 Hz"``; empty for nothing."""
        named = (
            ("high-pass", self.high_pass_hz),
            ("low-pass", self.low_pass_hz),
            ("notch", self.notch_hz),
        )
        return ", ".join(f"{name} {hz:g} Hz" for name, hz in named if hz is not None)


def filter_stretch(recording: Recording, wish: ViewFilter, first: int, last: int) -> FloatArray:
    """A stretch of all leads as a filter without phase shift shows it.

    The stretch is taken with a margin, mirrored through its end points at the recording's own ends
    and multiplied by the filter's gain in the frequency domain. Samples that are missing are
    bridged by straight lines meanwhile, and missing again in the result.

    Parameters
    ----------
    recording : Recording
        Any length, leads and rate.
    wish : ViewFilter
        What to take away.
    first, last : int
        From which sample on, and before which.

    Returns
    -------
    array of shape (lead, last - first)
        In µV.

    Raises
    ------
    InvalidInput
        If a frequency is below `SLOWEST_HZ`, or not below half the rate.
    """
    _check(wish, recording.rate_hz)
    stretch = recording.microvolts[:, first:last]
    if not wish.words or stretch.shape[1] == 0:
        return stretch
    margin = round(MARGIN_S * recording.rate_hz)
    begin, end = max(first - margin, 0), min(last + margin, recording.sample_count)
    around = recording.microvolts[:, begin:end]
    bridged = bridge_gaps(around, np.isnan(around))
    centred = bridged - median_of_rows(bridged)[:, None]
    padded = np.pad(centred, ((0, 0), (margin, margin)), mode="reflect", reflect_type="odd")
    frequencies_hz = np.arange(padded.shape[1] // 2 + 1) * recording.rate_hz / padded.shape[1]
    spectrum = np.fft.rfft(padded, axis=1) * make_gain(wish, frequencies_hz)
    whole = np.fft.irfft(spectrum, n=padded.shape[1], axis=1)
    skipped = margin + first - begin
    shown = whole[:, skipped : skipped + last - first]
    return np.where(np.isnan(stretch), np.nan, shown)


def make_gain(wish: ViewFilter, frequencies_hz: FloatArray) -> FloatArray:
    """The gain of each frequency: the magnitudes of Butterworth filters of the second order.

    Parameters
    ----------
    wish : ViewFilter
        What to take away.
    frequencies_hz : array of shape (frequency,)
        Zero or more.

    Returns
    -------
    array of shape (frequency,)
        Between 0 and 1.
    """
    gain = np.ones_like(frequencies_hz)
    squared = frequencies_hz**2
    if wish.low_pass_hz is not None:
        gain = gain / np.sqrt(1.0 + (squared / wish.low_pass_hz**2) ** 2)
    if wish.high_pass_hz is not None:
        gain = gain * squared / np.hypot(squared, wish.high_pass_hz**2)
    if wish.notch_hz is not None:
        off = np.abs(squared - wish.notch_hz**2)
        gain = gain * off / np.hypot(off, frequencies_hz * NOTCH_WIDTH_HZ)
    return gain


def _check(wish: ViewFilter, rate_hz: float) -> None:
    for hz in (wish.high_pass_hz, wish.low_pass_hz, wish.notch_hz):
        if hz is not None and not SLOWEST_HZ <= hz < rate_hz / 2:
            raise InvalidInput(
                f"a filter at {hz:g} Hz does not fit a recording of {rate_hz:g} samples a second; "
                f"choose {SLOWEST_HZ:g} Hz or more and less than half of that"
            )
