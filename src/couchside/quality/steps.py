"""Sudden jumps that no heart makes: an electrode that lets go, or is touched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import uniform_filter1d

from couchside.quality import thresholds
from couchside.quality.model import Band
from couchside.quality.signals import Signals
from couchside.quality.windows import window_starts

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def measure_steps(signals: Signals) -> FloatArray:
    """Largest jump outside the QRS in each window, in µV, shape (lead, window).

    A jump is the change over 20 ms of what is left when the beats are taken out.
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
    tremor_uv = _local_rms(signals.noise[Band.MUSCLE], signals.window_samples)
    jumps[np.abs(jumps) < thresholds.STEP_OVER_TREMOR * tremor_uv] = 0.0
    return jumps


def _level_changes(signals: Signals) -> FloatArray:
    """Mean level just after each moment less that just before it; 0 in a QRS."""
    left_over = signals.noise[Band.MOVEMENT] + signals.noise[Band.MUSCLE]
    apart = max(1, round(thresholds.STEP_RISE_S * signals.rate_hz))
    level = uniform_filter1d(
        left_over, max(1, round(thresholds.STEP_LEVEL_S * signals.rate_hz)), axis=1, mode="nearest"
    )
    changes = np.zeros_like(left_over)
    quiet = signals.quiet[apart:] & signals.quiet[:-apart]
    changes[:, apart:] = np.where(quiet, level[:, apart:] - level[:, :-apart], 0.0)
    return changes


def _local_rms(signal: FloatArray, samples: int) -> FloatArray:
    rms: FloatArray = np.sqrt(uniform_filter1d(signal**2, samples, axis=1, mode="nearest"))
    return rms
