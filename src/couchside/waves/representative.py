"""The beat that stands for a group of beats, at the recording's own rate and bandwidth."""

from __future__ import annotations

import numpy as np

from couchside.recording import Recording
from couchside.waves.beats_and_waves import BeatsAndWaves
from couchside.waves.bounds import BundleBounds, median_of_known, middle_of_rows
from couchside.waves.bundle_waves import BundleWaves
from couchside.waves.bundles import average_bundle
from couchside.waves.cut_windows import cut_windows
from couchside.waves.medians import median_of_rows
from couchside.waves.model import (
    FloatArray,
    GlobalBounds,
    IntArray,
    RepresentativeBeat,
    WaveBounds,
)

BEFORE_S, AFTER_S = 0.6, 0.9
LEVEL_MS = 16.0
"""The level is read over so long just before the QRS onset."""
USUAL_P_MS, USUAL_T_MS = 100.0, 300.0
"""So much before and after the QRS is looked at for noise where there is no P or no T wave."""
MOST_BEATS = 60
"""More beats lower the noise no further than the heart's own variation."""


def make_others(recording: Recording, found: BeatsAndWaves) -> tuple[RepresentativeBeat, ...]:
    """The same for each further group of at least two beats, in the order of their numbers."""
    sizes = np.bincount(found.groups)
    return tuple(
        make_representative(recording, found, group)
        for group in range(1, sizes.size)
        if sizes[group] > 1
    )


def make_representative(
    recording: Recording, found: BeatsAndWaves, group: int = 0
) -> RepresentativeBeat:
    """Average a group of beats and put its boundaries on it.

    Parameters
    ----------
    recording : Recording
        Gives leads and rate.
    found : BeatsAndWaves
        Beats, and the boundaries on the averages of bundles.
    group : int
        Its number; 0 is the leading group.

    Returns
    -------
    RepresentativeBeat
        Where a long recording has several bundles of the group, each boundary is their median.
    """
    rate_hz = recording.rate_hz
    fiducial = round(BEFORE_S * rate_hz)
    starts = _choose_beats(found, group) - fiducial
    average = average_bundle(found.clean, starts, fiducial + round(AFTER_S * rate_hz))
    bundles = [
        number for number, members in enumerate(found.bundles) if found.groups[members[0]] == group
    ]
    per_ms = rate_hz / 1000.0
    overall = _place_overall(found.waves, bundles, per_ms, fiducial)
    average -= _read_level(average, overall.qrs_onset, per_ms)
    waves = found.waves
    p, qrs, t = (_place(found, item, bundles, per_ms) for item in (waves.p, waves.qrs, waves.t))
    return RepresentativeBeat(
        leads=recording.leads,
        microvolts=average,
        rate_hz=rate_hz,
        group=group,
        fiducial_sample=fiducial + _find_peak(found, bundles, per_ms),
        beat_count=starts.shape[0],
        p=_move(p, fiducial),
        qrs=_move(qrs, fiducial),
        t=_move(t, fiducial),
        overall=overall,
        residual_rms_uv=_residual_rms(found.clean, starts, average, _one_beat(overall, per_ms)),
    )


def _find_peak(found: BeatsAndWaves, bundles: list[int], per_ms: float) -> int:
    """From where the beats were detected to the middle one of the leads' QRS peaks, in samples."""
    peaks_ms = middle_of_rows(found.waves.qrs.peak[bundles])
    return round(float(median_of_rows(peaks_ms)) * per_ms)


def _choose_beats(found: BeatsAndWaves, group: int) -> IntArray:
    beats = np.rint(found.exact_beats[found.groups == group] * found.step).astype(np.int64)
    count = min(beats.shape[0], MOST_BEATS)
    chosen: IntArray = beats[np.linspace(0, beats.shape[0] - 1, count).astype(np.int64)]
    return chosen


def _place_overall(
    waves: BundleWaves, bundles: list[int], per_ms: float, fiducial: int
) -> GlobalBounds:
    p, qrs, t = waves.p, waves.qrs, waves.t
    times_ms = np.stack(
        (p.overall_onset, p.overall_offset, qrs.overall_onset, qrs.overall_offset, t.overall_offset)
    )
    samples = fiducial + median_of_known(times_ms[:, bundles].T) * per_ms
    return GlobalBounds(
        p_onset=float(samples[0]),
        p_offset=float(samples[1]),
        qrs_onset=float(samples[2]),
        qrs_offset=float(samples[3]),
        t_offset=float(samples[4]),
    )


def _read_level(average: FloatArray, qrs_onset: float, per_ms: float) -> FloatArray:
    """Level of each lead just before the QRS onset, shape (lead, 1)."""
    end = min(max(round(qrs_onset), 1), average.shape[1])
    start = max(end - max(round(LEVEL_MS * per_ms), 1), 0)
    level: FloatArray = average[:, start:end].mean(axis=1, keepdims=True)
    return level


def _place(
    found: BeatsAndWaves, bounds: BundleBounds, bundles: list[int], per_ms: float
) -> FloatArray:
    """Onset, peak and offset in samples from the detection point, shape (3, lead)."""
    rows = np.full((3, found.clean.shape[0]), np.nan)
    for number, values in enumerate((bounds.onset, bounds.peak, bounds.offset)):
        rows[number, found.usable] = median_of_known(values[bundles]) * per_ms
    return rows


def _move(rows: FloatArray, fiducial: int) -> WaveBounds:
    onset, peak, offset = rows + fiducial
    return WaveBounds(onset=onset, peak=peak, offset=offset)


def _one_beat(overall: GlobalBounds, per_ms: float) -> slice:
    """From P onset to T end: beyond lie other beats, which in an irregular rhythm are no noise."""
    before, after = overall.p_onset, overall.t_offset
    start = overall.qrs_onset - USUAL_P_MS * per_ms if np.isnan(before) else before
    stop = overall.qrs_offset + USUAL_T_MS * per_ms if np.isnan(after) else after
    return slice(max(int(start), 0), max(int(stop), int(start) + 2, 2))


def _residual_rms(
    clean: FloatArray, starts: IntArray, average: FloatArray, span: slice
) -> FloatArray:
    """What the beats differ from the average by, shape (lead,).

    Each beat's own level and slope are left aside: wander that moves a whole beat moves no
    boundary.
    """
    expected = average[:, span]
    starts, width = starts + span.start, expected.shape[1]
    whole = starts[(starts >= 0) & (starts + width <= clean.shape[1])]
    windows = cut_windows(clean, whole if whole.shape[0] else starts, width)
    differences = (windows - expected).reshape(-1, width)
    power = np.einsum("rs,rs->r", differences, differences)
    power -= np.square(differences @ _level_and_slope(width)).sum(axis=1)
    power = np.maximum(power, 0.0)
    rms: FloatArray = np.sqrt(power.reshape(windows.shape[:2]).mean(axis=0) / width)
    return rms


def _level_and_slope(width: int) -> FloatArray:
    """A level and a slope, each of unit power and neither holding any of the other, (width, 2)."""
    rows = np.stack((np.ones(width), np.linspace(-1.0, 1.0, width)), axis=1)
    unit: FloatArray = rows / np.linalg.norm(rows, axis=0)
    return unit
