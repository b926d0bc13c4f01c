"""The heart's own signal taken out, so that what is left may be weighed as noise."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.waves.model import Waves

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


def remove_beats(beats: FloatArray, waves: Waves) -> FloatArray:
    """Subtract from each beat the median beat of its group.

    Parameters
    ----------
    beats : array of shape (lead, sample)
        The band in which the heart is.
    waves : Waves
        Where the beats are, and which are alike.

    Returns
    -------
    array of shape (lead, sample)
        What is left. Beats of a group of fewer than three are set to 0, for nothing can be said
        about the noise under them.
    """
    residual = beats.copy()
    for group in np.unique(waves.beat_groups):
        fiducials = waves.beat_samples[waves.beat_groups == group]
        _remove_group(residual, fiducials, waves)
    return residual


def quiet_samples(sample_count: int, waves: Waves) -> BoolArray:
    """Where no QRS stands, shape (sample,)."""
    before, after = _qrs_reach(waves)
    edges = np.zeros(sample_count + 1, dtype=np.int64)
    np.add.at(edges, np.clip(waves.beat_samples - before, 0, sample_count), 1)
    np.add.at(edges, np.clip(waves.beat_samples + after, 0, sample_count), -1)
    quiet: BoolArray = np.cumsum(edges[:-1]) == 0
    return quiet


def _remove_group(residual: FloatArray, fiducials: IntArray, waves: Waves) -> None:
    sample_count = residual.shape[1]
    before = round(thresholds.BEAT_BEFORE_S * waves.rate_hz)
    after = round(thresholds.BEAT_AFTER_S * waves.rate_hz)
    whole = fiducials[(fiducials >= before) & (fiducials + after < sample_count)]
    if len(whole) < thresholds.MIN_BEATS_FOR_TEMPLATE:
        for fiducial in fiducials:
            residual[:, max(fiducial - before, 0) : fiducial + after] = 0.0
        return
    chosen = whole[:: max(1, len(whole) // thresholds.MAX_BEATS_FOR_TEMPLATE)]
    snippets = residual[:, chosen[:, None] + np.arange(-before, after)]
    template = np.median(snippets, axis=1)
    following = np.append(waves.beat_samples, sample_count + before)
    for fiducial in fiducials:
        ends = int(following[np.searchsorted(following, fiducial, side="right")]) - before
        _subtract_one(residual, template, int(fiducial) - before, ends)


def _subtract_one(residual: FloatArray, template: FloatArray, start: int, ends: int) -> None:
    """Take the template away from `start` on, up to where the next beat begins."""
    first = max(start, 0)
    last = min(start + template.shape[1], ends, residual.shape[1])
    if last > first:
        residual[:, first:last] -= template[:, first - start : last - start]


def _qrs_reach(waves: Waves) -> tuple[int, int]:
    """How far QRS reaches before and after the detection point, in samples."""
    before = thresholds.QRS_BEFORE_S * waves.rate_hz
    after = thresholds.QRS_AFTER_S * waves.rate_hz
    beat = waves.representative
    if beat is not None:
        margin = thresholds.QRS_MARGIN_S * waves.rate_hz
        onset = beat.fiducial_sample - beat.overall.qrs_onset + margin
        offset = beat.overall.qrs_offset - beat.fiducial_sample + margin
        before = float(np.fmax(before, onset))
        after = float(np.fmax(after, offset))
    return round(before), round(after)
