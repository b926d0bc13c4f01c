"""By how much a beat comes sooner than the RR around it, and where that means little."""

from __future__ import annotations

import numpy as np

from couchside.waves.filters import BoolArray
from couchside.waves.medians import median_of_rows
from couchside.waves.model import FloatArray, IntArray

AROUND_BEATS = 8
STEADY_AROUND_BEATS = 16
STEADY_SPREAD = 0.15
"""Middle half of the RR intervals around a beat, as a share of the usual RR: beyond it the rhythm
is irregular and no beat is early. A choice of this project."""
LEAST_INTERVALS = 4


def find_usual_rr_ms(rr_ms: FloatArray) -> FloatArray:
    """What one beat usually has around each interval.

    Parameters
    ----------
    rr_ms : array of shape (interval,)
        In order of time.

    Returns
    -------
    array of shape (interval,)
        The median, over 8 intervals on either side, of the mean of two neighbours: where every
        second beat is early, half of the two is still what one beat would have.
    """
    return median_of_rows(_around(_mean_with_next(rr_ms), AROUND_BEATS))


def find_steady(rr_ms: FloatArray, usual_rr_ms: FloatArray, groups: IntArray) -> BoolArray:
    """Whether the rhythm around each interval is regular enough to call a beat early.

    Parameters
    ----------
    rr_ms, usual_rr_ms : array of shape (interval,)
        In order of time; the second from `find_usual_rr_ms`.
    groups : integer array of shape (interval + 1,)
        Of the beats; 0 is the leading group.

    Returns
    -------
    bool array of shape (interval,)
        True where, over 16 intervals on either side, the middle half either of the intervals
        between beats of the leading group or of the means of two neighbours lies within 15 % of
        the usual RR. All False with fewer than 4 intervals.
    """
    if rr_ms.size < LEAST_INTERVALS:
        return np.zeros(rr_ms.size, dtype=np.bool_)
    leading = (groups[1:] == 0) & (groups[:-1] == 0)
    ratios = np.array([_mean_with_next(rr_ms), np.where(leading, rr_ms, usual_rr_ms)]) / usual_rr_ms
    in_pairs, between_leading = _spread_around(ratios)
    is_telling = _around(leading.astype(np.float64), STEADY_AROUND_BEATS).mean(axis=-1) >= 0.5
    steady: BoolArray = (in_pairs <= STEADY_SPREAD) | (
        is_telling & (between_leading <= STEADY_SPREAD)
    )
    return steady


def _mean_with_next(rr_ms: FloatArray) -> FloatArray:
    following = np.concatenate((rr_ms[1:], rr_ms[-1:] if rr_ms.size < 2 else rr_ms[-2:-1]))
    return (rr_ms + following) / 2.0


def _spread_around(ratios: FloatArray) -> FloatArray:
    """The middle half around each ratio, shape (…, value)."""
    around = np.sort(_around(ratios, STEADY_AROUND_BEATS), axis=-1)
    quarter = around.shape[-1] // 4
    spread: FloatArray = around[..., -1 - quarter] - around[..., quarter]
    return spread


def _around(values: FloatArray, reach: int) -> FloatArray:
    """Each value with its neighbours, mirrored at the ends, shape (…, value, 2 · reach + 1)."""
    count = values.shape[-1]
    last = max(count - 1, 1)
    steps = np.arange(-reach, reach + 1)
    places = (np.arange(count)[:, None] + steps) % (2 * last)
    mirrored = np.minimum(last - np.abs(last - places), count - 1)
    around: FloatArray = values[..., mirrored]
    return around
