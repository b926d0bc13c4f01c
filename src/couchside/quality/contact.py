"""Where a lead carries no signal at all: flat, at its limit, or missing."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.signals import Signals
from couchside.quality.windows import window_range, window_starts
from couchside.waves.medians import median_of_rows

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def find_flat(signals: Signals) -> BoolArray:
    """Windows of a row of them in which a lead hardly moves, shape (lead, window).

    A row must be longer than the pause between two beats; windows with gaps are not flat.
    """
    spread_uv = window_range(signals.microvolts, signals.window_samples)
    still = (spread_uv <= thresholds.FLAT_RANGE_UV) & ~find_missing(signals)
    least = math.ceil(thresholds.FLAT_RUN_S * signals.rate_hz / signals.window_samples)
    return _held(still, min(least, still.shape[1]))


def find_saturated(signals: Signals) -> BoolArray:
    """Windows in which a lead stands still at the end of its own range, shape (lead, window).

    A sample is at the limit when it equals the highest or lowest value of its lead, that value is
    far from the lead's median, and it is held for longer than a heart holds any level.
    """
    microvolts = signals.microvolts
    held = max(2, round(thresholds.SATURATED_HOLD_S * signals.rate_hz))
    median = median_of_rows(microvolts)[:, None]
    marked = np.zeros(microvolts.shape, dtype=bool)
    for limit in (microvolts.max(axis=1, keepdims=True), microvolts.min(axis=1, keepdims=True)):
        far = (np.abs(limit - median) > thresholds.SATURATED_AWAY_UV) | (
            np.abs(limit) > thresholds.RAIL_UV
        )
        rows = np.flatnonzero(far[:, 0])
        marked[rows] |= _held(microvolts[rows] == limit[rows], held)
    starts = window_starts(microvolts.shape[1], signals.window_samples)
    return np.logical_or.reduceat(marked, starts, axis=1)


def find_missing(signals: Signals) -> BoolArray:
    """Windows in which the file marks samples as missing, shape (lead, window)."""
    starts = window_starts(signals.missing.shape[1], signals.window_samples)
    return np.logical_or.reduceat(signals.missing, starts, axis=1)


def _held(marked: BoolArray, samples: int) -> BoolArray:
    """Only those marks that stand in an unbroken row of at least `samples`."""
    kept = np.zeros_like(marked)
    for row, out in zip(marked, kept, strict=True):
        edges = np.flatnonzero(np.diff(np.concatenate(([0], row.astype(np.int8), [0]))))
        for first, last in edges.reshape(-1, 2):
            out[first:last] = last - first >= samples
    return kept
