"""Sudden jumps that no heart makes: an electrode that lets go, or is touched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Band, FindingKind
from couchside.quality.signals import Signals
from couchside.quality.windows import window_starts
from couchside.waves.sliding import sliding_maximum, sliding_mean

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]


def measure_steps(signals: Signals) -> FloatArray:
    """Largest jump outside the QRS in each window, in µV, shape (lead, window).

    A jump is a change of level over 40 ms of what is left when the beats are taken out. A lead
    whose level never changes by as much as is noticed has none.
    """
    starts = window_starts(len(signals.quiet), signals.window_samples)
    largest = np.zeros((len(signals.leads), starts.shape[0]))
    left_over = _left_over(signals)
    rows = np.flatnonzero(_most_uv(left_over, signals) > thresholds.NOTICED_UV[FindingKind.POP])
    if not rows.size:
        return largest
    changes = _change(left_over[rows], thresholds.STEP_RISE_S, signals)
    places, hidden = _find_hidden_jumps(left_over, signals)
    hidden = hidden[rows]
    reach_uv = np.maximum(np.abs(changes).max(axis=1), np.abs(hidden).max(axis=1, initial=0.0))
    jumping = reach_uv > thresholds.NOTICED_UV[FindingKind.POP]
    rows = rows[jumping]
    jumps = _limit(changes[jumping], left_over[rows], signals)
    jumps[:, places] = hidden[jumping]
    _drop_tremor(jumps, signals.noise[Band.MUSCLE][rows], signals.window_samples)
    largest[rows] = np.maximum.reduceat(np.abs(jumps), starts, axis=1)
    return largest


def _most_uv(left_over: FloatArray, signals: Signals) -> FloatArray:
    """What no jump of a lead exceeds, shape (lead,): its range about the samples that are quiet."""
    reach = _count(thresholds.STEP_LEVEL_S, signals)
    near = sliding_maximum(signals.quiet.astype(np.float64), reach, reach)
    looked_at = left_over * near
    most_uv: FloatArray = looked_at.max(axis=1) - looked_at.min(axis=1)
    return most_uv


def jumps_in_windows(signals: Signals, windows: BoolArray, spoiled: BoolArray) -> FloatArray:
    """The one largest jump of each marked window, signed, in every lead at the same moment.

    Parameters
    ----------
    signals : Signals
    windows : array of bool, shape (window,)
    spoiled : array of bool, shape (lead,)
        Leads whose jumps say when.

    Returns
    -------
    array of shape (lead, marked window)
    """
    left_over = _left_over(signals)
    change = _limit(_change(left_over, thresholds.STEP_RISE_S, signals), left_over, signals)
    places, hidden = _find_hidden_jumps(left_over, signals)
    change[:, places] = hidden
    jumps = change[spoiled]
    _drop_tremor(jumps, signals.noise[Band.MUSCLE][spoiled], signals.window_samples)
    size = np.abs(jumps).max(axis=0)
    starts = window_starts(len(size), signals.window_samples)
    ends = np.append(starts[1:], len(size))
    marked = np.flatnonzero(windows)
    moments = [starts[each] + np.argmax(size[starts[each] : ends[each]]) for each in marked]
    found: FloatArray = change[:, moments]
    return found


def _left_over(signals: Signals) -> FloatArray:
    """What is left of every lead without its wander, its mains and its beats."""
    left_over: FloatArray = signals.noise[Band.MOVEMENT] + signals.noise[Band.MUSCLE]
    return left_over


def _drop_tremor(jumps: FloatArray, muscle: FloatArray, window_samples: int) -> None:
    """Set to 0 each change of level that tremor explains."""
    tremor_uv2 = sliding_mean(np.square(muscle), window_samples)
    tremor_uv2 *= thresholds.STEP_OVER_TREMOR**2
    jumps[np.square(jumps) < tremor_uv2] = 0.0


def _limit(changes: FloatArray, left_over: FloatArray, signals: Signals) -> FloatArray:
    """Changes of level, none larger than a multiple of the fastest change near by.

    What changes little in a few milliseconds is a swing and no jump.
    """
    fast = _change(left_over, thresholds.STEP_SHARP_S, signals)
    near = _count(thresholds.STEP_RISE_S, signals)
    limit = sliding_maximum(np.abs(fast, out=fast), near, near - 1)
    limit *= thresholds.STEP_SHARPNESS
    limited: FloatArray = np.clip(changes, -limit, limit)
    return limited


def _find_hidden_jumps(left_over: FloatArray, signals: Signals) -> tuple[IntArray, FloatArray]:
    """Where a QRS ends over which the level changed, if it was calm until then, and by how much.

    Returns
    -------
    integer array of shape (jump,)
        The first sample after each such QRS.
    array of shape (lead, jump)
        Mean level just after it less that just before it, in µV.
    """
    near = _count(thresholds.STEP_LEVEL_S, signals)
    calm = round(thresholds.STEP_CALM_S * signals.rate_hz)
    starts, ends = _find_busy(signals, calm, near)
    before = left_over[:, starts[:, None] + np.arange(-calm, 0)]
    after = left_over[:, ends[:, None] + np.arange(near)]
    change = after.mean(axis=2) - before[:, :, -near:].mean(axis=2)
    unrest_uv = np.ptp(before, axis=2).max(axis=0, initial=0.0)
    jumped = np.abs(change).max(axis=0, initial=0.0) > thresholds.STEP_OVER_UNREST * unrest_uv
    return ends[jumped], change[:, jumped]


def _find_busy(signals: Signals, calm: int, near: int) -> tuple[IntArray, IntArray]:
    """Where stretches that are not quiet start and end, the short ones with room on both sides."""
    edges = np.diff(signals.quiet.astype(np.int8))
    starts, ends = np.flatnonzero(edges == -1) + 1, np.flatnonzero(edges == 1) + 1
    starts = starts[starts >= calm]
    place = np.searchsorted(ends, starts, side="right")
    starts, place = starts[place < ends.size], place[place < ends.size]
    ends = ends[place]
    short = ends - starts <= thresholds.STEP_HIDDEN_S * signals.rate_hz
    short &= ends + near <= len(signals.quiet)
    return starts[short], ends[short]


def _change(left_over: FloatArray, apart_s: float, signals: Signals) -> FloatArray:
    """Level change over a time outside the QRS, each level the mean of three quarters as long."""
    apart, quiet = _count(apart_s, signals), signals.quiet
    level = sliding_mean(left_over, max(1, round(0.75 * apart)))
    change = np.zeros_like(left_over)
    np.subtract(level[:, apart:], level[:, :-apart], out=change[:, apart:])
    change[:, apart:] *= quiet[apart:] & quiet[:-apart]
    return change


def _count(seconds: float, signals: Signals) -> int:
    """Samples in so many seconds, one at least."""
    return max(1, round(seconds * signals.rate_hz))
