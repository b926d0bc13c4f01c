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
        What is left. Beats that stand alone keep their shape; `quiet_samples` leaves them out.
    """
    residual = beats.copy()
    for fiducials in _groups(waves):
        _remove_group(residual, fiducials, waves)
    return residual


def quiet_samples(sample_count: int, waves: Waves) -> BoolArray:
    """Where no QRS stands and no beat that is like no other, shape (sample,).

    The ends are left out as well, for a QRS that is cut there is not found.
    """
    reach = np.tile(_qrs_reach(waves), (waves.beat_count, 1))
    alone = _stands_alone(waves)
    reach[alone] = np.maximum(reach[alone], _beat_reach(waves))
    edges = np.zeros(sample_count + 1, dtype=np.int64)
    np.add.at(edges, np.clip(waves.beat_samples - reach[:, 0], 0, sample_count), 1)
    np.add.at(edges, np.clip(waves.beat_samples + reach[:, 1], 0, sample_count), -1)
    quiet: BoolArray = np.cumsum(edges[:-1]) == 0
    margin = round(thresholds.CUT_BEAT_S * waves.rate_hz)
    if 4 * margin < sample_count:
        quiet[:margin] = quiet[sample_count - margin :] = False
    return quiet


def _stands_alone(waves: Waves) -> BoolArray:
    """Beats of a group too small for a median; none where so many are that it must be noise."""
    if waves.beat_count == 0:
        return np.zeros(0, dtype=bool)
    _, group, sizes = np.unique(waves.beat_groups, return_inverse=True, return_counts=True)
    alone: BoolArray = sizes[group] < thresholds.MIN_BEATS_FOR_TEMPLATE
    if alone.sum() > thresholds.MOST_BEATS_ALONE * len(alone):
        return np.zeros_like(alone)
    return alone


def _groups(waves: Waves) -> list[IntArray]:
    """Beats that share a median; where too many stand alone, all beats do."""
    alone = _stands_alone(waves)
    groups, sizes = np.unique(waves.beat_groups[~alone], return_counts=True)
    if len(sizes) and sizes.min() < thresholds.MIN_BEATS_FOR_TEMPLATE:
        return [waves.beat_samples]
    return [waves.beat_samples[~alone & (waves.beat_groups == group)] for group in groups]


def _beat_reach(waves: Waves) -> IntArray:
    """How far a whole beat reaches before and after the detection point, in samples."""
    reach_s = np.array([thresholds.BEAT_BEFORE_S, thresholds.BEAT_AFTER_S])
    return np.round(reach_s * waves.rate_hz).astype(np.int64)


def _remove_group(residual: FloatArray, fiducials: IntArray, waves: Waves) -> None:
    sample_count = residual.shape[1]
    before, after = (int(reach) for reach in _beat_reach(waves))
    whole = fiducials[(fiducials >= before) & (fiducials + after < sample_count)]
    if len(whole) < thresholds.MIN_BEATS_FOR_TEMPLATE:
        return
    chosen = whole[:: max(1, len(whole) // thresholds.MAX_BEATS_FOR_TEMPLATE)]
    template = np.median(residual[:, chosen[:, None] + np.arange(-before, after)], axis=1)
    template *= _taper(template.shape[1], waves.rate_hz)
    for fiducial in fiducials:
        start = int(fiducial) - before
        first, last = _room(int(fiducial), waves, sample_count)
        first, last = max(start, first), min(start + template.shape[1], last)
        if last > first:
            residual[:, first:last] -= template[:, first - start : last - start]


def _taper(length: int, rate_hz: float) -> FloatArray:
    """1 in the middle, falling to 0 at both ends, so that a template adds no jump."""
    ramp = min(max(1, round(thresholds.TAPER_S * rate_hz)), length // 2)
    taper = np.ones(length)
    taper[:ramp] = np.linspace(0.0, 1.0, ramp, endpoint=False)
    taper[length - ramp :] = taper[:ramp][::-1]
    return taper


def _room(fiducial: int, waves: Waves, sample_count: int) -> tuple[int, int]:
    """From where to where a beat reaches: its neighbours' T and P come first where they overlap."""
    place = int(np.searchsorted(waves.beat_samples, fiducial))
    first, last = 0, sample_count
    if place > 0:
        first = _border(int(waves.beat_samples[place - 1]), fiducial, waves.rate_hz)
    if place + 1 < waves.beat_count:
        last = _border(fiducial, int(waves.beat_samples[place + 1]), waves.rate_hz)
    return first, last


def _border(earlier: int, later: int, rate_hz: float) -> int:
    """Where the earlier beat's T has ended, yet before the later beat's QRS."""
    after_t = earlier + round(thresholds.T_ENDS_S * rate_hz)
    before_p = later - round(thresholds.BEAT_BEFORE_S * rate_hz)
    before_qrs = later - round(thresholds.QRS_BEFORE_S * rate_hz)
    return max(before_p, min(after_t, before_qrs))


def _qrs_reach(waves: Waves) -> IntArray:
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
    return np.round([before, after]).astype(np.int64)
