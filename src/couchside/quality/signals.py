"""A recording made ready to be weighed: gaps bridged, bands parted, the heart's beats taken out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.bands import split_bands
from couchside.quality.heart import find_odd_beats, quiet_samples, remove_beats
from couchside.quality.model import Band
from couchside.quality.moments import Moments, Selection, measure_moments
from couchside.quality.windows import Spans, join_windows
from couchside.recording import Recording
from couchside.waves.gaps import bridge_gaps
from couchside.waves.model import Waves

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Signals:
    """What every part of the check looks at.

    Parameters
    ----------
    leads : tuple of str
        As in the recording.
    rate_hz : float
        As in the recording.
    microvolts : array of shape (lead, sample)
        Missing samples bridged by straight lines; a lead with none at all is 0.
    missing : array of bool, shape (lead, sample)
        Where samples are missing.
    noise : mapping of Band to array of shape (lead, sample)
        Wander, movement, mains and muscle, without the beats.
    moments : mapping of Band to Moments
        Of that noise: of wander all through, of the others where it is quiet.
    quiet : array of bool, shape (sample,)
        Where no QRS stands.
    mains_hz : float
        50 or 60; 0 where there is no line.
    high_over_low : array of shape (lead,)
        As `couchside.quality.bands.Bands` has it.
    """

    leads: tuple[str, ...]
    rate_hz: float
    microvolts: FloatArray
    missing: BoolArray
    noise: dict[Band, FloatArray]
    moments: dict[Band, Moments]
    quiet: BoolArray
    mains_hz: float
    high_over_low: FloatArray

    @property
    def duration_s(self) -> float:
        """Length in seconds."""
        return float(self.microvolts.shape[1] / self.rate_hz)

    @property
    def window_samples(self) -> int:
        """Samples in a window."""
        return _count_window_samples(self.rate_hz, self.microvolts.shape[1])

    def spans(self, windows: BoolArray) -> Spans:
        """Marked windows as spans of seconds; empty where it is nearly all of them."""
        return join_windows(windows, self.window_samples, self.rate_hz, self.duration_s)


def prepare_signals(recording: Recording, waves: Waves) -> Signals:
    """Bridge gaps, part the bands and take out the beats."""
    missing = np.isnan(recording.microvolts)
    microvolts = bridge_gaps(recording.microvolts, missing)
    bands = split_bands(microvolts, recording.rate_hz)
    odd = find_odd_beats(bands.beats, recording.leads, waves)
    quiet = quiet_samples(recording.sample_count, waves, odd)
    noise = {
        Band.WANDER: bands.wander,
        Band.MOVEMENT: remove_beats(bands.beats, waves, odd),
        Band.MAINS: bands.mains,
        Band.MUSCLE: bands.muscle,
    }
    return Signals(
        leads=recording.leads,
        rate_hz=recording.rate_hz,
        microvolts=microvolts,
        missing=missing,
        noise=noise,
        moments=weigh_bands(noise, quiet, recording.rate_hz),
        quiet=quiet,
        mains_hz=bands.mains_hz,
        high_over_low=bands.high_over_low,
    )


def weigh_bands(
    noise: dict[Band, FloatArray], quiet: BoolArray, rate_hz: float
) -> dict[Band, Moments]:
    """Moments of each band over the samples that count in it."""
    window_samples = _count_window_samples(rate_hz, len(quiet))
    every, between = (Selection.of(kept, window_samples) for kept in (np.ones_like(quiet), quiet))
    return {
        band: measure_moments(signal, every if band == Band.WANDER else between)
        for band, signal in noise.items()
    }


def _count_window_samples(rate_hz: float, sample_count: int) -> int:
    return max(1, min(round(thresholds.WINDOW_S * rate_hz), sample_count))
