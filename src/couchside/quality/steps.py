"""Sudden jumps that no heart makes: an electrode that lets go, or is touched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Band
from couchside.quality.signals import Signals
from couchside.quality.windows import window_starts
from couchside.waves.sliding import sliding_maximum, sliding_mean

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def measure_steps(signals: Signals) -> FloatArray:
    """Largest jump outside the QRS in each window, in µV, shape (lead, window).

    A jump is a change of level over 40 ms of what is left when the beats are taken out.
    """
    starts = window_starts(len(signals.quiet), signals.window_samples)
    largest: FloatArray = np.maximum.reduceat(np.abs(_jumps(signals)), starts, axis=1)
    return largest


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
    change = _level_changes(signals)
    size = np.abs(_jumps(signals)[spoiled]).max(axis=0)
    starts = window_starts(len(size), signals.window_samples)
    ends = np.append(starts[1:], len(size))
    marked = np.flatnonzero(windows)
    moments = [starts[each] + np.argmax(size[starts[each] : ends[each]]) for each in marked]
    found: FloatArray = change[:, moments]
    return found


def _jumps(signals: Signals) -> FloatArray:
    """Changes of the level that no tremor explains, signed; 0 elsewhere."""
    jumps = _level_changes(signals)
    tremor_uv2 = sliding_mean(np.square(signals.noise[Band.MUSCLE]), signals.window_samples)
    tremor_uv2 *= thresholds.STEP_OVER_TREMOR**2
    jumps[np.square(jumps) < tremor_uv2] = 0.0
    return jumps


def _level_changes(signals: Signals) -> FloatArray:
    """Mean level just after each moment less that just before it.

    What changes little in a few milliseconds is a swing and no jump: the change is limited to a
    multiple of the fastest change near by. Of a QRS, only its end holds the change over it.
    """
    left_over = signals.noise[Band.MOVEMENT] + signals.noise[Band.MUSCLE]
    rate_hz = signals.rate_hz
    changes = _change(left_over, round(thresholds.STEP_RISE_S * rate_hz), signals.quiet)
    fast = _change(left_over, round(thresholds.STEP_SHARP_S * rate_hz), signals.quiet)
    near = max(1, round(thresholds.STEP_RISE_S * rate_hz))
    limit = sliding_maximum(np.abs(fast), near, near - 1)
    limit *= thresholds.STEP_SHARPNESS
    limited: FloatArray = np.clip(changes, -limit, limit)
    _add_hidden_jumps(limited, left_over, signals)
    return limited


def _add_hidden_jumps(changes: FloatArray, left_over: FloatArray, signals: Signals) -> None:
    """Put at the end of each QRS the change of level over it, if it was calm until then."""
    edges = np.diff(signals.quiet.astype(np.int8))
    starts, ends = np.flatnonzero(edges == -1) + 1, np.flatnonzero(edges == 1) + 1
    near = max(1, round(thresholds.STEP_LEVEL_S * signals.rate_hz))
    calm = round(thresholds.STEP_CALM_S * signals.rate_hz)
    longest = thresholds.STEP_HIDDEN_S * signals.rate_hz
    for start in starts[starts >= calm]:
        after = ends[ends > start]
        if not after.size or after[0] - start > longest or after[0] + near > changes.shape[1]:
            continue
        before = left_over[:, start - calm : start]
        level_uv = before[:, -near:].mean(axis=1)
        change = left_over[:, after[0] : after[0] + near].mean(axis=1) - level_uv
        unrest_uv = float(np.ptp(before, axis=1).max())
        if np.abs(change).max() > thresholds.STEP_OVER_UNREST * unrest_uv:
            changes[:, after[0]] = change


def _change(left_over: FloatArray, apart: int, quiet: BoolArray) -> FloatArray:
    """Level change over `apart` samples, each level the mean of three quarters as many."""
    apart = max(1, apart)
    level = sliding_mean(left_over, max(1, round(0.75 * apart)))
    change = np.zeros_like(left_over)
    np.subtract(level[:, apart:], level[:, :-apart], out=change[:, apart:])
    change[:, apart:] *= quiet[apart:] & quiet[:-apart]
    return change
