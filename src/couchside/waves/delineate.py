"""Beats of a recording and the waves in each of them."""

from __future__ import annotations

import numpy as np

from couchside.recording import Recording
from couchside.waves.beats_and_waves import BeatsAndWaves, find_beats_and_waves
from couchside.waves.bounds import BundleBounds, middle_of_rows
from couchside.waves.bundles import find_bundle_of_beats
from couchside.waves.clip import clip
from couchside.waves.memory import keep_freed_memory
from couchside.waves.model import FloatArray, WaveBounds, Waves
from couchside.waves.representative import make_others, make_representative


def delineate(recording: Recording) -> Waves:
    """Find beats over all leads, group them, and find the boundaries of their waves.

    Parameters
    ----------
    recording : Recording
        1 to 18 leads, 100 to 2000 Hz, of any length; NaN marks missing samples.

    Returns
    -------
    Waves
        In samples of the recording. A boundary is NaN where the beat has no such wave, where the
        boundary would lie outside the recording, and throughout a lead without signal. Where a
        wave is there but nearly flat in one lead, that lead's boundary follows the other leads. No
        beats, and no representative beat, where none was found.

    Notes
    -----
    Beats are detected on all leads together and grouped by shape. The beats of a group that lie
    within half a minute of each other are averaged; boundaries are sought on the averages, where
    the noise is low, by several yardsticks on each lead and on all leads together, and combined by
    a rule fitted to annotated recordings. Each beat takes them over, its P and T moved to where
    they best match the average. How well this does is told in ``docs/validation.md``.
    """
    keep_freed_memory()
    found = find_beats_and_waves(recording)
    if found is None:
        return _no_waves(recording)
    beat_samples = np.rint(found.exact_beats * found.step + _find_peak_offsets(recording, found))
    in_step = np.zeros(beat_samples.shape[0])
    return Waves(
        leads=recording.leads,
        rate_hz=recording.rate_hz,
        beat_samples=clip(beat_samples, 0, recording.sample_count - 1).astype(np.int64),
        beat_groups=found.groups,
        p=_place(recording, found, found.waves.p, found.waves.p_lag_ms),
        qrs=_place(recording, found, found.waves.qrs, in_step),
        t=_place(recording, found, found.waves.t, found.waves.t_lag_ms),
        representative=make_representative(recording, found),
        others=make_others(recording, found),
    )


def _find_peak_offsets(recording: Recording, found: BeatsAndWaves) -> FloatArray:
    """From the detection point to the middle one of the leads' QRS peaks, samples, (beat,)."""
    of_beat = find_bundle_of_beats(found.bundles, found.beats.shape[0])
    peaks_ms = middle_of_rows(found.waves.qrs.peak)[of_beat]
    return peaks_ms * (recording.rate_hz / 1000.0)


def _place(
    recording: Recording, found: BeatsAndWaves, bounds: BundleBounds, lag_ms: FloatArray
) -> WaveBounds:
    """Boundaries of every beat in samples of the recording, arrays of shape (lead, beat)."""
    per_ms = recording.rate_hz / 1000.0
    of_beat = find_bundle_of_beats(found.bundles, found.beats.shape[0])
    values_ms = np.stack((bounds.onset, bounds.peak, bounds.offset))[:, of_beat]
    placed = np.full((3, len(recording.leads), found.beats.shape[0]), np.nan)
    placed[:, found.usable] = found.beats * found.step + (
        (values_ms.transpose(0, 2, 1) + lag_ms) * per_ms
    )
    placed[(placed < 0) | (placed > recording.sample_count - 1)] = np.nan
    return WaveBounds(onset=placed[0], peak=placed[1], offset=placed[2])


def _no_waves(recording: Recording) -> Waves:
    empty = np.empty((len(recording.leads), 0))
    none = WaveBounds(onset=empty, peak=empty, offset=empty)
    return Waves(
        leads=recording.leads,
        rate_hz=recording.rate_hz,
        beat_samples=np.empty(0, dtype=np.int64),
        beat_groups=np.empty(0, dtype=np.int64),
        p=none,
        qrs=none,
        t=none,
        representative=None,
    )
