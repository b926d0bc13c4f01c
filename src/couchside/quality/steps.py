"""Sudden jumps that no heart makes: an electrode that lets go, or is touched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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


def jumps_in_windows(signals: Signals, windows: BoolArray) -> FloatArray:
    """The one largest jump of each marked window, signed, in every lead at the same moment.

    Parameters
    ----------
    signals : Signals
    windows : array of bool, shape (window,)

    Returns
    -------
    array of shape (lead, marked window)
    """
    jumps = _jumps(signals)
    size = np.abs(jumps).max(axis=0)
    starts = window_starts(len(size), signals.window_samples)
    ends = np.append(starts[1:], len(size))
    marked = np.flatnonzero(windows)
    moments = [starts[each] + np.argmax(size[starts[each] : ends[each]]) for each in marked]
    return jumps[:, moments]


def _jumps(signals: Signals) -> FloatArray:
    left_over = signals.noise[Band.MOVEMENT] + signals.noise[Band.MUSCLE]
    apart = max(1, round(thresholds.STEP_RISE_S * signals.rate_hz))
    jumps = np.zeros_like(left_over)
    quiet = signals.quiet[apart:] & signals.quiet[:-apart]
    jumps[:, apart:] = np.where(quiet, left_over[:, apart:] - left_over[:, :-apart], 0.0)
    return jumps
