"""Which peaks of the activity curve are beats: a threshold that follows, and a search back."""

from __future__ import annotations

from itertools import pairwise
from statistics import median

import numpy as np

from couchside.waves.clip import clip
from couchside.waves.filters import SOFT_RATE_HZ
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.sliding import sliding_maximum

REFRACTORY_S = 0.19
"""300 beats/min leave 200 ms from beat to beat."""
THRESHOLD = 0.22
"""Of the usual height of the beats before."""
MOST_NOISE = 0.25
T_WAVE_S, T_WAVE_SHARE = 0.36, 0.5
"""A peak so soon after a beat, and lower than this share of it, is that beat's T wave."""
SEARCH_BACK_GAP, SEARCH_BACK_THRESHOLD = 1.6, 0.18
"""A gap of so many usual RR intervals is searched again down to this share of the usual height."""
MANY_LEADS, SEARCH_BACK_THRESHOLD_MANY = 3, 0.25
"""The same with so many leads: a beat that one of them sees end on stands out in others. On the
tuning recordings of twelve leads true beats have 0.5 and more, noise found so 0.18."""
RECENT_BEATS = 8
_LEVEL_S = 2.0


def pick_beats(activity: FloatArray, lead_count: int) -> IntArray:
    """Samples of the beats.

    Parameters
    ----------
    activity : array of shape (sample,)
        At `SOFT_RATE_HZ`, not negative, high at every QRS.
    lead_count : int
        How many leads made it.

    Returns
    -------
    integer array of shape (beat,)
    """
    peaks = find_peaks(activity, round(REFRACTORY_S * SOFT_RATE_HZ))
    heights = activity[peaks]
    kept = _follow_threshold(peaks, heights, _usual_height(activity))
    is_many = lead_count >= MANY_LEADS
    share = SEARCH_BACK_THRESHOLD_MANY if is_many else SEARCH_BACK_THRESHOLD
    return peaks[_search_back(peaks, heights, kept, share)]


def find_peaks(activity: FloatArray, reach: int) -> IntArray:
    """Samples that nothing within reach on either side exceeds."""
    highest = sliding_maximum(activity, reach, reach)
    peaks = np.flatnonzero((activity >= highest) & (activity > 0))
    if peaks.size == 0:
        return peaks
    apart = np.concatenate(([True], np.diff(peaks) > reach))
    return peaks[apart]


def _usual_height(activity: FloatArray) -> float:
    width = min(round(_LEVEL_S * SOFT_RATE_HZ), activity.shape[0])
    whole = activity[: activity.shape[0] // width * width]
    return float(median_of_rows(whole.reshape(-1, width).max(axis=1)))


def _follow_threshold(peaks: IntArray, heights: FloatArray, level: float) -> list[int]:
    kept: list[int] = []
    recent = [level] * RECENT_BEATS
    refused = [0.1 * level] * RECENT_BEATS
    for index, (peak, height) in enumerate(zip(peaks.tolist(), heights.tolist(), strict=True)):
        usual = median(recent)
        noise = min(median(refused), MOST_NOISE * usual)
        if height < noise + THRESHOLD * (usual - noise):
            refused = [*refused[1:], height]
            continue
        near = kept and peak - peaks[kept[-1]] < T_WAVE_S * SOFT_RATE_HZ
        if near and height < T_WAVE_SHARE * heights[kept[-1]]:
            continue
        kept.append(index)
        recent = [*recent[1:], min(height, 2 * usual)]
    return kept


def _search_back(peaks: IntArray, heights: FloatArray, kept: list[int], share: float) -> IntArray:
    """Fill long gaps with their highest peaks, again and again until no gap holds one."""
    if len(kept) < 3:
        return np.array(kept, dtype=np.int64)
    usual_rr = _usual_around(np.diff(peaks[kept]).astype(np.float64))
    usual_height = np.minimum(_usual_around(heights[kept]), median_of_rows(heights[kept]))
    found = list(kept)
    gaps = [(*pair, place) for place, pair in enumerate(pairwise(kept))]
    while gaps:
        before, after, place = gaps.pop()
        if peaks[after] - peaks[before] < SEARCH_BACK_GAP * usual_rr[place]:
            continue
        best = _find_between(peaks, heights, before, after, share * usual_height[place])
        if best is not None:
            found.append(best)
            gaps += [(before, best, place), (best, after, place)]
    return np.array(sorted(found), dtype=np.int64)


def _find_between(
    peaks: IntArray, heights: FloatArray, before: int, after: int, limit: float
) -> int | None:
    between = np.arange(before + 1, after)
    reach = T_WAVE_S * SOFT_RATE_HZ
    clear = (peaks[between] - peaks[before] > reach) & (peaks[after] - peaks[between] > reach)
    between = between[clear & (heights[between] > limit)]
    return int(between[np.argmax(heights[between])]) if between.size else None


def _usual_around(values: FloatArray) -> FloatArray:
    """Median of each value and its neighbours."""
    reach = RECENT_BEATS
    padded = values[clip(np.arange(-reach, values.size + reach), 0, values.size - 1)]
    return median_of_rows(np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1))
