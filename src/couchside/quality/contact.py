"""Where a lead carries no signal at all: flat, at its limit, or missing."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.signals import Signals
from couchside.quality.windows import any_in_window, window_range, window_starts
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
    highest, lowest = microvolts.max(axis=1), microvolts.min(axis=1)
    starts = window_starts(microvolts.shape[1], signals.window_samples)
    saturated = np.zeros((len(microvolts), len(starts)), dtype=bool)
    for row in np.flatnonzero(_may_be_at_limit(highest, lowest)).tolist():
        for limit in (highest[row], lowest[row]):
            at_limit = microvolts[row] == limit
            if np.count_nonzero(at_limit) >= held and _is_far(limit, microvolts[row]):
                marked = _held(at_limit[None], held)
                saturated[row] |= any_in_window(marked, signals.window_samples)[0]
    return saturated


def _may_be_at_limit(highest: FloatArray, lowest: FloatArray) -> BoolArray:
    """Leads with an end of their range that may lie far from their median, or beyond any ECG."""
    may_be: BoolArray = highest - lowest > thresholds.SATURATED_AWAY_UV
    may_be |= np.maximum(np.abs(highest), np.abs(lowest)) > thresholds.RAIL_UV
    return may_be


def _is_far(limit: float, samples: FloatArray) -> bool:
    median = float(median_of_rows(samples))
    return abs(limit - median) > thresholds.SATURATED_AWAY_UV or abs(limit) > thresholds.RAIL_UV


def find_missing(signals: Signals) -> BoolArray:
    """Windows in which the file marks samples as missing, shape (lead, window)."""
    return any_in_window(signals.missing, signals.window_samples)


def _held(marked: BoolArray, samples: int) -> BoolArray:
    """Only those marks that stand in an unbroken row of at least `samples`."""
    kept = np.zeros_like(marked)
    for lead in np.flatnonzero(marked.any(axis=1)).tolist():
        edges = np.flatnonzero(np.diff(marked[lead].astype(np.int8), prepend=0, append=0))
        for first, last in edges.reshape(-1, 2).tolist():
            kept[lead, first:last] = last - first >= samples
    return kept
