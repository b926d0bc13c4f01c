"""Beats of a recording and the waves in each of them."""

from __future__ import annotations

import numpy as np

from couchside.recording import Recording
from couchside.waves.average import AverageBeat, average_beats
from couchside.waves.boundaries import BeatBounds, Bounds, find_bounds
from couchside.waves.detect import detect_beats
from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    Spectrum,
    band,
    band_as_recorded,
    high_pass_gain,
    transform,
)
from couchside.waves.group import Grouping, group_beats
from couchside.waves.model import (
    FloatArray,
    GlobalBounds,
    IntArray,
    RepresentativeBeat,
    WaveBounds,
    Waves,
)

BEFORE_S = 0.6
AFTER_S = 0.9
WANDER_EDGE_HZ = 0.4


def delineate(recording: Recording) -> Waves:
    """Find beats over all leads, group them, and find the boundaries of their waves.

    Parameters
    ----------
    recording : Recording
        1 to 18 leads, 100 to 2000 Hz, of any length; NaN marks missing samples.

    Returns
    -------
    Waves
        Samples of the recording, NaN where a wave is absent; no beats, and no representative
        beat, where none was found.
    """
    spectrum = transform(recording)
    detection = detect_beats(spectrum)
    grouping = group_beats(detection.qrs_band, detection.lead_weights, detection.beats)
    if grouping.beats.shape[0] == 0:
        return _no_waves(recording)
    clean = band(spectrum, high_pass_gain(spectrum.frequencies_hz, WANDER_EDGE_HZ))
    before, after = round(BEFORE_S * ANALYSIS_RATE_HZ), round(AFTER_S * ANALYSIS_RATE_HZ)
    p, qrs, t = (np.full((3, len(recording.leads), grouping.beats.shape[0]), np.nan) for _ in "pqt")
    leading: tuple[AverageBeat, BeatBounds] | None = None
    for group in range(int(grouping.groups.max()) + 1):
        members = np.flatnonzero(grouping.groups == group)
        average = average_beats(clean, grouping.beats[members], before, after)
        previous, following = _usual_distances(grouping.beats, members)
        noise = average.residual_rms_uv / np.sqrt(average.beat_count)
        bounds = find_bounds(
            average.microvolts, noise, spectrum.usable, before, previous, following
        )
        leading = leading or (average, bounds)
        for kind, found in ((p, bounds.p), (qrs, bounds.qrs), (t, bounds.t)):
            kind[:, :, members] = _place(found, grouping.beats[members] - before, spectrum.step)
    if leading is None:
        return _no_waves(recording)
    return Waves(
        leads=recording.leads,
        rate_hz=recording.rate_hz,
        beat_samples=np.clip(
            np.rint(grouping.beats * spectrum.step).astype(np.int64), 0, recording.sample_count - 1
        ),
        beat_groups=grouping.groups,
        p=WaveBounds(onset=p[0], peak=p[1], offset=p[2]),
        qrs=WaveBounds(onset=qrs[0], peak=qrs[1], offset=qrs[2]),
        t=WaveBounds(onset=t[0], peak=t[1], offset=t[2]),
        representative=_represent(recording, spectrum, grouping, leading[0], leading[1]),
    )


def _place(found: Bounds, starts: IntArray, step: float) -> FloatArray:
    rows = np.stack((found.onset, found.peak, found.offset))
    placed: FloatArray = (rows[:, :, None] + starts) * step
    return placed


def _usual_distances(beats: IntArray, members: IntArray) -> tuple[float, float]:
    gaps = np.diff(beats).astype(np.float64)
    if gaps.size == 0:
        return float(ANALYSIS_RATE_HZ), float(ANALYSIS_RATE_HZ)
    before = gaps[members[members > 0] - 1]
    after = gaps[members[members < gaps.size]]
    usual = float(np.median(gaps))
    return (
        float(np.median(before)) if before.size else usual,
        float(np.median(after)) if after.size else usual,
    )


def _represent(
    recording: Recording,
    spectrum: Spectrum,
    grouping: Grouping,
    average: AverageBeat,
    bounds: BeatBounds,
) -> RepresentativeBeat:
    if spectrum.step != 1.0:
        clean = band_as_recorded(spectrum, high_pass_gain(spectrum.frequencies_hz, WANDER_EDGE_HZ))
        rate = recording.rate_hz
        beats = np.rint(grouping.beats[grouping.groups == 0] * spectrum.step).astype(np.int64)
        average = average_beats(clean, beats, round(BEFORE_S * rate), round(AFTER_S * rate))
    fiducial = round(BEFORE_S * recording.rate_hz)
    shift = fiducial - round(BEFORE_S * ANALYSIS_RATE_HZ) * spectrum.step
    waves = [_one_beat(item, spectrum.step, shift) for item in (bounds.p, bounds.qrs, bounds.t)]
    overall = [value * spectrum.step + shift for value in bounds.overall]
    end = max(round(overall[2]), 1)
    start = max(end - max(round(0.01 * recording.rate_hz), 1), 0)
    level = average.microvolts[:, start:end].mean(axis=1, keepdims=True)
    return RepresentativeBeat(
        leads=recording.leads,
        microvolts=average.microvolts - level,
        rate_hz=recording.rate_hz,
        fiducial_sample=fiducial,
        beat_count=average.beat_count,
        p=waves[0],
        qrs=waves[1],
        t=waves[2],
        overall=GlobalBounds(
            p_onset=overall[0],
            p_offset=overall[1],
            qrs_onset=overall[2],
            qrs_offset=overall[3],
            t_offset=overall[4],
        ),
        residual_rms_uv=average.residual_rms_uv,
    )


def _one_beat(found: Bounds, step: float, shift: float) -> WaveBounds:
    return WaveBounds(
        onset=found.onset * step + shift,
        peak=found.peak * step + shift,
        offset=found.offset * step + shift,
    )


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
