"""T onset, peak and end on averages from which the QRS was cut out."""

from __future__ import annotations

import numpy as np

from couchside.waves.bounds import BundleBounds
from couchside.waves.edge_rules import T_OFFSET, T_ONSET
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.smooth_waves import (
    BEFORE,
    MS,
    bend_rows,
    expect,
    measure_edges,
    pick_peak,
    place_bounds,
)

SMOOTHING_HZ = 8.0
_SHARES = (0.06, 0.12, 0.25, 0.4)
_STRONG = 0.5
BUMP_MS = 64.0
"""A T wave bends most over about twice this time."""
_FIRST_MS, _LAST_MS, _LAST_SHARE = 50.0, 600.0, 0.66
"""The peak lies from so long after the QRS to so long after the detection point, and within so
large a share of the time to the next beat."""
_EXPECTED_MS, _EXPECTED_POWER, _EXPECTED_SPREAD = 285.0, 0.5, 0.3
"""Where the peak is expected at an RR of a second, how that grows with RR, and how loosely."""
_ONSET_REACH_MS, OFFSET_REACH_MS, _BEYOND_MS = 160.0, 180.0, 100.0
END_SHARE = 0.8
"""The last slope lies within this share of the time to the next beat."""


def locate_t(
    smooth: FloatArray, lead_weights: FloatArray, qrs_end_ms: FloatArray, following_ms: FloatArray
) -> FloatArray:
    """Middle of the T wave.

    Parameters
    ----------
    smooth : array of shape (bundle, lead, sample)
        The averages at `SOFT_RATE_HZ`, without QRS and below `SMOOTHING_HZ`, in µV; the detection
        point at sample `BEFORE`.
    lead_weights : array of shape (lead,)
        How much each lead counts in what all leads say together.
    qrs_end_ms : array of shape (bundle,)
        End of the QRS, from the detection point.
    following_ms : array of shape (bundle,)
        Usual time to the next beat.

    Returns
    -------
    array of shape (bundle,)
        In samples; NaN in a bundle whose next beat follows too closely.
    """
    first = BEFORE + np.rint((qrs_end_ms + _FIRST_MS) / MS).astype(np.int64)
    last = BEFORE + np.rint(np.minimum(_LAST_MS, _LAST_SHARE * following_ms) / MS).astype(np.int64)
    bend = bend_rows(smooth, round(BUMP_MS / MS))
    power = np.einsum("bls,bls,l->bs", bend, bend, lead_weights)
    times_ms = np.maximum((np.arange(power.shape[1]) - BEFORE) * MS, 1.0)
    expected_ms = _EXPECTED_MS * (following_ms[:, None] / 1000.0) ** _EXPECTED_POWER
    likely = expect(times_ms, expected_ms, _EXPECTED_SPREAD)
    middle, found = pick_peak(power, first, last, likely)
    return np.where(found, middle, np.nan)


def find_t(
    smooth: FloatArray,
    lead_weights: FloatArray,
    middle: FloatArray,
    qrs_end_ms: FloatArray,
    latest_ms: FloatArray,
) -> BundleBounds:
    """T boundaries.

    Parameters
    ----------
    smooth, lead_weights, qrs_end_ms
        As for `locate_t`.
    middle : array of shape (bundle,)
        From `locate_t`.
    latest_ms : array of shape (bundle,)
        The last slope lies before this.

    Returns
    -------
    BundleBounds
        NaN in a bundle without T wave.
    """
    start = np.nan_to_num(middle).astype(np.int64)
    latest = BEFORE + np.rint(latest_ms / MS).astype(np.int64)
    end = np.minimum(start + round(OFFSET_REACH_MS / MS), latest)
    qrs_end = BEFORE + np.rint(qrs_end_ms / MS).astype(np.int64)
    edges = find_t_edges(smooth, lead_weights, start, qrs_end, end)
    return place_bounds(smooth, middle, edges, (T_ONSET, T_OFFSET))


def find_t_edges(
    smooth: FloatArray, lead_weights: FloatArray, middle: IntArray, qrs_end: IntArray, end: IntArray
) -> FloatArray:
    """What each yardstick says, backwards and forwards, (2, bundle, lead + 1, yardstick)."""
    before, after = middle - qrs_end, np.maximum(end - middle, 3)
    onset_reach = np.minimum(round(_ONSET_REACH_MS / MS), np.maximum(before, 2))
    return measure_edges(
        smooth,
        lead_weights,
        middle,
        np.stack((onset_reach, after)),
        np.stack((np.maximum(before, 3), after + round(_BEYOND_MS / MS))),
        shares=_SHARES,
        strong=_STRONG,
    )
