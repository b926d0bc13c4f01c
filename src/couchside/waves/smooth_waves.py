"""Smooth waves, P and T: where they stand, and what the yardsticks say of their ends."""

from __future__ import annotations

import numpy as np

from couchside.waves.bounds import add_all_leads_row, add_leads, read_at
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
    direction: int,
    floor: FloatArray | float = 0.0,
    uncrossed: Uncrossed = Uncrossed.AT_LIMIT,
) -> FloatArray:
    """Crossings of the speed and the corner of a smooth wave, shape (bundle, lead + 1, yardstick).

    Parameters
    ----------
    smooth : array of shape (bundle, lead, sample)
        The averages.
    lead_weights : array of shape (lead,)
        How much each lead counts in the last row.
    middle : integer array of shape (bundle,)
        Where the windows start.
    reach, limit : integer arrays of shape (bundle,)
        The last slope, and the boundary, lie within so many samples.
    shares, uncrossed
        See `find_crossings`.
    strong
        See `find_last_slope`.
    direction : int
        1 for the end, -1 for the onset.
    floor : array of shape (bundle, lead + 1) or float
        Speed that each row keeps where there is no wave.
    """
    count = int(limit.max()) + 1
    rows = cut_outward(smooth, middle, count + 1, direction=direction)
    curves = add_all_leads_row(np.abs(np.diff(rows, axis=2)), lead_weights)
    slope = find_last_slope(curves, reach, strong)
    crossings = find_crossings(
        curves, slope, limit, shares=shares, floor=floor, uncrossed=uncrossed
    )
    steep, rows = slope.steep, rows[:, :, :count]
    own = np.abs(rows - read_at(rows, steep[:, :-1, None]))
    from_common = np.abs(
        rows - read_at(rows, np.broadcast_to(steep[:, -1:, None], (*rows.shape[:2], 1)))
    )
    together = add_leads(from_common, lead_weights)[:, None]
    corner = find_corner(np.concatenate((own, together), axis=1), steep, limit)
    return np.concatenate((crossings, corner[:, :, None]), axis=2)


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
    bend[..., half:-half] = rows[..., half:-half] - 0.5 * (
        rows[..., : -2 * half] + rows[..., 2 * half :]
    )
    return bend


def pick_peak(power: FloatArray, first: IntArray, last: IntArray) -> tuple[IntArray, BoolArray]:
    """Highest local maximum of each row between two samples, and whether there is one."""
    times = np.arange(1, power.shape[1] - 1)
    middle = power[:, 1:-1]
    peaked = (middle >= power[:, :-2]) & (middle > power[:, 2:])
    peaked &= (times > first[:, None]) & (times < last[:, None])
    best = np.argmax(np.where(peaked, middle, -1.0), axis=1)
    found: BoolArray = np.any(peaked, axis=1)
    return times[best], found
