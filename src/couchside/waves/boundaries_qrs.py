"""QRS onset and end on the averages of bundles, from the speed of the signal."""

from __future__ import annotations

import numpy as np

from couchside.waves.bounds import BundleBounds, add_all_leads_row, find_peaks
from couchside.waves.combine import combine_edges
from couchside.waves.edge_rules import QRS_OFFSET, QRS_ONSET
from couchside.waves.edges import cut_outward, find_crossings, find_last_slope
from couchside.waves.filters import ANALYSIS_RATE_HZ
from couchside.waves.model import FloatArray
from couchside.waves.smoothing import smooth_rows

REACH_S = 0.3
"""Averages hold so much on either side of the detection point."""
MS = 1000.0 / ANALYSIS_RATE_HZ
CENTRE = round(REACH_S * ANALYSIS_RATE_HZ)

_SMOOTHING_HZ = (70.0, 22.0)
_SHARES = (0.04, 0.08, 0.16)
_STRONG = 0.25
_QUIET_QUANTILE = 0.2
_INWARD_MS = 100.0
"""The search starts this far inside, on the other side of the detection point."""
_ONSET_LIMIT_MS, _OFFSET_LIMIT_MS = 150.0, 200.0
_REACH_MS = 190.0


def find_qrs(averages: FloatArray, lead_weights: FloatArray) -> BundleBounds:
    """QRS boundaries.

    Parameters
    ----------
    averages : array of shape (bundle, lead, sample)
        In µV at the analysis rate, the detection point at sample `CENTRE`.
    lead_weights : array of shape (lead,)
        How much each lead counts in what all leads say together.

    Returns
    -------
    BundleBounds
    """
    edges = find_qrs_edges(averages, lead_weights)
    start = _INWARD_MS / MS
    (onset, offset), (overall_onset, overall_offset) = combine_edges(edges, (QRS_ONSET, QRS_OFFSET))
    first, last = CENTRE + start - onset, CENTRE - start + offset
    return BundleBounds(
        onset=(start - onset) * MS,
        peak=(find_peaks(averages, first, last) - CENTRE) * MS,
        offset=(offset - start) * MS,
        overall_onset=(start - overall_onset) * MS,
        overall_offset=(overall_offset - start) * MS,
    )


def find_qrs_edges(averages: FloatArray, lead_weights: FloatArray) -> FloatArray:
    """What each yardstick says, backwards and forwards, (2, bundle, lead + 1, yardstick)."""
    smooth = smooth_rows(averages, _SMOOTHING_HZ, ANALYSIS_RATE_HZ)
    speed = np.zeros_like(smooth)
    np.abs(smooth[..., 2:] - smooth[..., :-2], out=speed[..., 1:-1])
    curves = add_all_leads_row(speed.reshape(-1, *averages.shape[1:]), lead_weights)
    crossings = _cross(curves, _find_floor(curves))
    by_curve = crossings.reshape(2, len(_SMOOTHING_HZ), averages.shape[0], *crossings.shape[1:])
    return np.concatenate(tuple(by_curve.swapaxes(0, 1)), axis=3)


def _cross(curves: FloatArray, floor: FloatArray) -> FloatArray:
    """Where each curve comes down to shares of its height, shape (side, row, share)."""
    bundles = curves.shape[0]
    inward = round(_INWARD_MS / MS)
    limits = [inward + round(each / MS) for each in (_ONSET_LIMIT_MS, _OFFSET_LIMIT_MS)]
    starts = np.array([[CENTRE + inward], [CENTRE - inward]]).repeat(bundles, axis=1)
    windows = cut_outward(curves, starts, max(limits) + 1)
    slope = find_last_slope(windows, np.full(2 * bundles, round(_REACH_MS / MS)), _STRONG)
    limit, floors = np.repeat(limits, bundles), np.concatenate((floor, floor))
    return find_crossings(windows, slope, limit, shares=_SHARES, floor=floors)


def _find_floor(curves: FloatArray) -> FloatArray:
    """Speed that each row keeps outside the QRS, shape (bundle, row)."""
    some = np.sort(curves[:, :, 8:-8:4], axis=2)
    floor: FloatArray = some[:, :, int(_QUIET_QUANTILE * some.shape[2])]
    return floor
