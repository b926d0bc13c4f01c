"""P, QRS and T on the average of every bundle, each from the signal that shows it best."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

import numpy as np

from couchside.waves import boundaries_p, boundaries_qrs, boundaries_t, smooth_waves
from couchside.waves.agreement import measure_agreement
from couchside.waves.bounds import (
    BundleBounds,
    hold_between,
    median_of_known,
    middle_of_rows,
)
from couchside.waves.bundles import average_bundle, find_bundle_of_beats
from couchside.waves.clip import clip
from couchside.waves.filters import ANALYSIS_RATE_HZ, SOFT_RATE_HZ
from couchside.waves.following import Following, WaveWindow, follow_waves
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.smooth_waves import AFTER, BEFORE, bend_rows
from couchside.waves.smoothing import smooth_rows, soften

MS = 1000.0 / ANALYSIS_RATE_HZ
SOFT_EDGE_HZ = 25.0
_P_AND_T_HZ = (boundaries_p.SMOOTHING_HZ, boundaries_t.SMOOTHING_HZ)
_QRS_MARGIN_MS = 8.0
_P_WINDOW = WaveWindow(half_ms=72.0, most_lag_ms=48.0)
_T_WINDOW = WaveWindow(half_ms=100.0, most_lag_ms=60.0)
P_SHARE, T_SHARE = 0.35, 0.5
"""A beat that holds less of the average's P wave has none; a T wave of which a beat holds less is
taken to keep step."""
_AFTER_T_MS, _AFTER_T_PEAK_MS, _USUAL_P_MS = 20.0, 80.0, 240.0
"""A P wave peaks so long after the end of the T wave before it; at high rates, where the two run
into one another, so long after its peak, and no earlier than so long before the QRS onset."""
_BEFORE_P_MS = 20.0
"""The last slope of a T wave stands so long before the onset of the next P wave, which is smoothed
and so begins to rise a little earlier."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BundleWaves:
    """Everything found on the averages, and how single beats depart from them.

    Parameters
    ----------
    p, qrs, t : BundleBounds
        On the averages.
    p_lag_ms, t_lag_ms : arrays of shape (beat,)
        How much later the beat's wave stands; NaN where the beat does not have it.
    """

    p: BundleBounds
    qrs: BundleBounds
    t: BundleBounds
    p_lag_ms: FloatArray
    t_lag_ms: FloatArray


def find_bundle_waves(
    clean: FloatArray, lead_weights: FloatArray, beats: IntArray, bundles: list[IntArray]
) -> BundleWaves:
    """Boundaries on the average of each bundle.

    Parameters
    ----------
    clean : array of shape (lead, sample)
        In µV at the analysis rate, free of wander; leads without use left out.
    lead_weights : array of shape (lead,)
        How much each lead counts.
    beats : integer array of shape (beat,)
        Detection points, aligned within each bundle.
    bundles : list of integer array
        From `make_bundles`; at least one.

    Returns
    -------
    BundleWaves
        First the QRS is found and cut out, then T, then P between the T before and the QRS. Where
        the next P wave begins so near to the T wave that its slope could be taken for the end of T,
        the T wave is sought once more, ahead of that P wave.
    """
    reach = boundaries_qrs.CENTRE
    qrs_averages = _average(clean, [beats[members] for members in bundles], reach, reach)
    qrs = boundaries_qrs.find_qrs(qrs_averages, lead_weights)
    of_beat = find_bundle_of_beats(bundles, beats.shape[0])
    soft = soften(_remove_qrs(clean, beats, qrs, of_beat), SOFT_EDGE_HZ)
    soft_beats = beats * SOFT_RATE_HZ // ANALYSIS_RATE_HZ
    of_bundle = [soft_beats[members] for members in bundles]
    averages = _average(soft, of_bundle, BEFORE, AFTER)
    smooth_p, smooth_t = smooth_rows(averages, _P_AND_T_HZ, SOFT_RATE_HZ)
    after_ms = _usual_distance(beats, bundles)
    t_middle = boundaries_t.locate_t(smooth_t, lead_weights, qrs.overall_offset, after_ms)
    seek_t = partial(boundaries_t.find_t, smooth_t, lead_weights, t_middle, qrs.overall_offset)
    t_latest_ms = boundaries_t.END_SHARE * after_ms
    t = seek_t(t_latest_ms)
    t_lag_ms = _follow_t(soft, lead_weights, soft_beats, bundles, t)
    room = _room_for_p(beats, bundles, qrs, t, t_lag_ms=t_lag_ms, after_ms=after_ms)
    bends = bend_rows(soft, round(boundaries_p.BUMP_MS / smooth_waves.MS))
    agreement = measure_agreement(bends, lead_weights, of_bundle, BEFORE, boundaries_p.AFTER)
    p = boundaries_p.find_p(smooth_p, agreement, lead_weights, room)
    following = _follow_p(bends, lead_weights, soft_beats, bundles, p)
    p_lag_ms = np.where(following.share > P_SHARE, following.lag_ms, np.nan)
    p_onset = _known_onset(p)
    next_ms = after_ms + np.where(np.isnan(p_onset), qrs.overall_onset, p_onset)
    if (middle_of_rows(t.peak) + boundaries_t.OFFSET_REACH_MS > next_ms).any():
        t = seek_t(np.minimum(t_latest_ms, next_ms - _BEFORE_P_MS))
    return BundleWaves(
        p=hold_between(p, np.full_like(next_ms, -np.inf), qrs.overall_onset),
        qrs=qrs,
        t=hold_between(t, qrs.overall_offset, next_ms),
        p_lag_ms=p_lag_ms,
        t_lag_ms=t_lag_ms,
    )


def _average(samples: FloatArray, bundles: list[IntArray], before: int, after: int) -> FloatArray:
    return np.stack([average_bundle(samples, beats - before, before + after) for beats in bundles])


def _remove_qrs(
    clean: FloatArray, beats: IntArray, qrs: BundleBounds, of_beat: IntArray
) -> FloatArray:
    """Each QRS replaced by the level before it, and from its middle on by the level after it.

    A line from one to the other would turn a corner at the QRS onset wherever the ST segment is
    not level with it, and that corner would pass for a P wave.
    """
    bridged = clean.copy()
    last = clean.shape[1] - 1
    starts = beats + np.rint((qrs.overall_onset[of_beat] - _QRS_MARGIN_MS) / MS).astype(np.int64)
    stops = beats + np.rint((qrs.overall_offset[of_beat] + _QRS_MARGIN_MS) / MS).astype(np.int64)
    starts, stops = clip(starts, 0, last), clip(stops, 0, last)
    for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
        middle = (start + stop) // 2
        bridged[:, start:middle] = bridged[:, start : start + 1]
        bridged[:, middle:stop] = bridged[:, stop : stop + 1]
    return bridged


def _usual_distance(beats: IntArray, bundles: list[IntArray]) -> FloatArray:
    """Usual time to the next beat in each bundle, ms."""
    gaps = np.diff(beats) * MS
    usual = float(median_of_rows(gaps)) if gaps.size else 1000.0
    after = np.concatenate((gaps, [usual]))
    return np.array([median_of_rows(after[members]) for members in bundles])


def _follow_t(
    soft: FloatArray,
    lead_weights: FloatArray,
    soft_beats: IntArray,
    bundles: list[IntArray],
    t: BundleBounds,
) -> FloatArray:
    bends = bend_rows(soft, round(boundaries_t.BUMP_MS / smooth_waves.MS))
    middles = list(zip(bundles, middle_of_rows(t.peak).tolist(), strict=True))
    following = follow_waves(bends, lead_weights, soft_beats, middles, _T_WINDOW)
    unclear = np.isfinite(following.lag_ms) & (following.share < T_SHARE)
    return np.where(unclear, 0.0, following.lag_ms)


def _follow_p(
    bends: FloatArray,
    lead_weights: FloatArray,
    soft_beats: IntArray,
    bundles: list[IntArray],
    p: BundleBounds,
) -> Following:
    middle = 0.5 * (_known_onset(p) + p.overall_offset)
    middles = list(zip(bundles, middle.tolist(), strict=True))
    return follow_waves(bends, lead_weights, soft_beats, middles, _P_WINDOW)


def _known_onset(p: BundleBounds) -> FloatArray:
    """Over all leads, or where none is given, that of the middle lead; NaN without a P wave."""
    return np.where(np.isnan(p.overall_onset), middle_of_rows(p.onset), p.overall_onset)


def _room_for_p(
    beats: IntArray,
    bundles: list[IntArray],
    qrs: BundleBounds,
    t: BundleBounds,
    *,
    t_lag_ms: FloatArray,
    after_ms: FloatArray,
) -> boundaries_p.Room:
    """Where the T wave before and the QRS leave room for a P wave."""
    of_beat = find_bundle_of_beats(bundles, beats.shape[0])
    lag_ms = np.nan_to_num(t_lag_ms)
    end_ms = _seen_from_next(beats, t.overall_offset[of_beat] + lag_ms)
    peak_ms = _seen_from_next(beats, middle_of_rows(t.peak)[of_beat] + lag_ms)
    end_ms = np.array([median_of_known(end_ms[members]) for members in bundles])
    peak_ms = np.array([median_of_known(peak_ms[members]) for members in bundles])
    crowded = np.fmax(peak_ms + _AFTER_T_PEAK_MS, qrs.overall_onset - _USUAL_P_MS)
    earliest = np.where(np.isnan(end_ms), np.nan, np.fmin(end_ms + _AFTER_T_MS, crowded))
    return boundaries_p.Room(
        earliest=earliest,
        t_end=end_ms,
        qrs_onset=qrs.overall_onset,
        rr=after_ms,
        unevenness=_unevenness(beats, bundles),
    )


def _unevenness(beats: IntArray, bundles: list[IntArray]) -> FloatArray:
    """How much RR usually changes from one to the next in each bundle, as a share of RR."""
    gaps = np.diff(beats).astype(np.float64)
    changes = np.zeros(beats.shape[0])
    changes[1:-1] = np.abs(np.diff(gaps)) / np.maximum(gaps[:-1], gaps[1:])
    return np.array([median_of_rows(changes[members]) for members in bundles])


def _seen_from_next(beats: IntArray, times_ms: FloatArray) -> FloatArray:
    """Times after each beat, counted from the detection point of the next; NaN for the first."""
    ends = beats * MS + times_ms
    shifted: FloatArray = np.concatenate(([np.nan], ends[:-1])) - beats * MS
    return shifted
