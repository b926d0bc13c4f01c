"""Smooth waves, P and T: where they stand, and what the yardsticks say of their ends."""

from __future__ import annotations

import numpy as np

from couchside.waves.bounds import (
    BundleBounds,
    add_all_leads_row,
    add_leads,
    find_peaks,
    read_at,
)
from couchside.waves.combine import EdgeRule, combine_edges
from couchside.waves.edges import (
    Uncrossed,
    cut_outward,
    find_corner,
    find_crossings,
    find_last_slope,
)
from couchside.waves.filters import SOFT_RATE_HZ, BoolArray
from couchside.waves.model import FloatArray, IntArray

MS = 1000.0 / SOFT_RATE_HZ
BEFORE, AFTER = round(600.0 / MS), round(900.0 / MS)
"""Averages for P and T hold so many samples around the detection point."""

QUIET_QUANTILE = 0.2


def measure_edges(
    smooth: FloatArray,
    lead_weights: FloatArray,
    middle: IntArray,
    reach: IntArray,
    limit: IntArray,
    *,
    shares: tuple[float, ...],
    strong: float,
    floor: FloatArray | None = None,
    uncrossed: Uncrossed = Uncrossed.AT_LIMIT,
) -> FloatArray:
    """Crossings of the speed and the corner of a smooth wave, backwards and forwards.

    Parameters
    ----------
    smooth : array of shape (bundle, lead, sample)
        The averages.
    lead_weights : array of shape (lead,)
        How much each lead counts in the last row.
    middle : integer array of shape (bundle,)
        Where the windows start.
    reach, limit : integer arrays of shape (2, bundle)
        The last slope, and the boundary, lie within so many samples: backwards, and forwards.
    shares, uncrossed
        See `find_crossings`.
    strong
        See `find_last_slope`.
    floor : array of shape (bundle, lead + 1), optional
        Speed that each row keeps where there is no wave, by default none.

    Returns
    -------
    array of shape (2, bundle, lead + 1, yardstick)
        For the onset and for the end.
    """
    count, within = int(limit.max()) + 1, limit.reshape(-1)
    rows = cut_outward(smooth, np.stack((middle, middle)), count + 1)
    curves = add_all_leads_row(np.abs(np.diff(rows, axis=2)), lead_weights)
    slope = find_last_slope(curves, reach.reshape(-1), strong)
    floors = 0.0 if floor is None else np.concatenate((floor, floor))
    crossings = find_crossings(
        curves, slope, within, shares=shares, floor=floors, uncrossed=uncrossed
    )
    distance = _measure_distance(rows[:, :, :count], slope.steep, lead_weights)
    corner = find_corner(distance, slope.steep, within)
    edges = np.concatenate((crossings, corner[:, :, None]), axis=2)
    return edges.reshape(2, -1, *edges.shape[1:])


def place_bounds(
    smooth: FloatArray, middle: FloatArray, edges: FloatArray, rules: tuple[EdgeRule, EdgeRule]
) -> BundleBounds:
    """Boundaries of a smooth wave out of what the yardsticks say.

    Parameters
    ----------
    smooth : array of shape (bundle, lead, sample)
        The averages, the detection point at sample `BEFORE`.
    middle : array of shape (bundle,)
        Sample from which the yardsticks count; NaN in a bundle without such a wave.
    edges : array of shape (2, bundle, lead + 1, yardstick)
        From `measure_edges`.
    rules : tuple of two EdgeRule
        For the onset and for the end.

    Returns
    -------
    BundleBounds
    """
    (before, after), (overall_before, overall_after) = combine_edges(edges, rules)
    known = np.nan_to_num(middle)[:, None]
    peak = find_peaks(smooth, known - before, known + after)
    from_detection = middle - BEFORE
    column = from_detection[:, None]
    return BundleBounds(
        onset=(column - before) * MS,
        peak=(peak - known + column) * MS,
        offset=(column + after) * MS,
        overall_onset=(from_detection - overall_before) * MS,
        overall_offset=(from_detection + overall_after) * MS,
    )


def _measure_distance(rows: FloatArray, steep: IntArray, lead_weights: FloatArray) -> FloatArray:
    """How far each lead is from its steepest point; last, all from that of all together."""
    own = np.abs(rows - read_at(rows, steep[:, :-1, None]))
    common = np.broadcast_to(steep[:, -1:, None], (*rows.shape[:2], 1))
    from_common = np.abs(rows - read_at(rows, common))
    together = add_leads(from_common, lead_weights)[:, None]
    return np.concatenate((own, together), axis=1)


def find_quiet_speed(
    smooth: FloatArray, lead_weights: FloatArray, first: IntArray, last: IntArray
) -> FloatArray:
    """Speed that each row keeps between two samples outside its waves, shape (bundle, lead + 1)."""
    earliest = max(int(first.min()), 0)
    latest = max(int(last.max()), earliest + 1)
    speed = np.abs(np.diff(smooth[:, :, earliest : latest + 1], axis=2))
    curves = add_all_leads_row(speed, lead_weights)
    times = earliest + np.arange(curves.shape[2])
    inside = (times >= first[:, None]) & (times < last[:, None])
    ordered = np.sort(np.where(inside[:, None, :], curves, np.inf), axis=2)
    place = (QUIET_QUANTILE * (inside.sum(axis=1) - 1)).astype(np.int64)
    quiet: FloatArray = ordered[np.arange(place.shape[0]), :, np.maximum(place, 0)]
    return np.where(np.isfinite(quiet), quiet, 0.0)


def bend_rows(rows: FloatArray, half: int) -> FloatArray:
    """How far each sample stands above the line between two samples, half a length away."""
    bend = np.zeros_like(rows)
    inside = bend[..., half:-half]
    np.add(rows[..., : -2 * half], rows[..., 2 * half :], out=inside)
    inside *= -0.5
    inside += rows[..., half:-half]
    return bend


def expect(times_ms: FloatArray, expected_ms: FloatArray | float, spread: float) -> FloatArray:
    """How likely a wave stands at each time, 1 where it is expected and less by its share of it.

    Parameters
    ----------
    times_ms : array
        Above 0.
    expected_ms : float, or array that broadcasts with the times
        Where it is expected.
    spread : float
        How loosely: SD of the logarithm of the share.

    Returns
    -------
    array of the shape of the times and the expected ones, from 0 to 1
    """
    likely: FloatArray = np.exp(-0.5 * (np.log(times_ms / expected_ms) / spread) ** 2)
    return likely


def pick_peak(
    power: FloatArray, first: IntArray, last: IntArray, likely: FloatArray | float = 1.0
) -> tuple[IntArray, BoolArray]:
    """Highest local maximum of each row between two samples, and whether there is one.

    How likely the peak is at each sample, in the shape of the power, weighs one maximum against
    another, but moves none.
    """
    times = np.arange(1, power.shape[1] - 1)
    middle = power[:, 1:-1]
    peaked = (middle >= power[:, :-2]) & (middle > power[:, 2:])
    peaked &= (times > first[:, None]) & (times < last[:, None])
    weighed = power * likely
    best = np.argmax(np.where(peaked, weighed[:, 1:-1], -1.0), axis=1)
    found: BoolArray = np.any(peaked, axis=1)
    return times[best], found
