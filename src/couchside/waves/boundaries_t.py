"""T onset, peak and end on averages from which the QRS was cut out."""

from __future__ import annotations

import numpy as np

from couchside.waves.bounds import BundleBounds, find_peaks
from couchside.waves.combine import combine_edges
from couchside.waves.edge_rules import T_OFFSET, T_ONSET
from couchside.waves.filters import SOFT_RATE_HZ, smooth_rows
from couchside.waves.model import FloatArray, IntArray
from couchside.waves.smooth_waves import BEFORE, MS, bend_rows, measure_edges, pick_peak

_SMOOTHING_HZ = 8.0
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
_END_SHARE = 0.8
"""The last slope lies within this share of the time to the next beat."""


def find_t(
    averages: FloatArray,
    lead_weights: FloatArray,
    qrs_end_ms: FloatArray,
    following_ms: FloatArray,
    latest_ms: FloatArray,
) -> BundleBounds:
    """T boundaries.

    Parameters
    ----------
    averages : array of shape (bundle, lead, sample)
        In µV at `SOFT_RATE_HZ`, without QRS, the detection point at sample `BEFORE`.
    lead_weights : array of shape (lead,)
        How much each lead counts in what all leads say together.
    qrs_end_ms : array of shape (bundle,)
        End of the QRS, from the detection point.
    following_ms : array of shape (bundle,)
        Usual time to the next beat.
    latest_ms : array of shape (bundle,)
        The last slope lies before this: the onset of the next P wave where that is known, or inf.

    Returns
    -------
    BundleBounds
        NaN in a bundle whose next beat follows too closely.
    """
    centre = BEFORE
    smooth = smooth_rows(averages, _SMOOTHING_HZ, SOFT_RATE_HZ)
    first = centre + np.rint((qrs_end_ms + _FIRST_MS) / MS).astype(np.int64)
    last = centre + np.rint(np.minimum(_LAST_MS, _LAST_SHARE * following_ms) / MS).astype(np.int64)
    bend = bend_rows(smooth, round(BUMP_MS / MS))
    power = np.einsum("bls,bls,l->bs", bend, bend, lead_weights)
    times_ms = np.maximum((np.arange(power.shape[1]) - centre) * MS, 1.0)
    expected_ms = _EXPECTED_MS * (following_ms[:, None] / 1000.0) ** _EXPECTED_POWER
    likely = np.exp(-0.5 * (np.log(times_ms / expected_ms) / _EXPECTED_SPREAD) ** 2)
    middle, found = pick_peak(power, first, last, likely)
    end_ms = np.minimum(_END_SHARE * following_ms, latest_ms)
    end = np.minimum(
        middle + round(OFFSET_REACH_MS / MS), centre + np.rint(end_ms / MS).astype(np.int64)
    )
    qrs_end = centre + np.rint(qrs_end_ms / MS).astype(np.int64)
    backward, forward = find_t_edges(smooth, lead_weights, middle, qrs_end, end)
    onset, overall_onset = combine_edges(backward, T_ONSET)
    offset, overall_offset = combine_edges(forward, T_OFFSET)
    gone = np.where(found, 0.0, np.nan)
    start, stop = middle[:, None] - onset, middle[:, None] + offset
    return BundleBounds(
        onset=(start - centre) * MS + gone[:, None],
        peak=(find_peaks(smooth, start, stop) - centre) * MS + gone[:, None],
        offset=(stop - centre) * MS + gone[:, None],
        overall_onset=(middle - overall_onset - centre) * MS + gone,
        overall_offset=(middle + overall_offset - centre) * MS + gone,
    )


def find_t_edges(
    smooth: FloatArray, lead_weights: FloatArray, middle: IntArray, qrs_end: IntArray, end: IntArray
) -> tuple[FloatArray, FloatArray]:
    """What each yardstick says, backwards and forwards, each (bundle, lead + 1, yardstick)."""
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
