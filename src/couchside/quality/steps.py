"""Sudden jumps that no heart makes: an electrode that lets go, or is touched."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.quality import thresholds
from couchside.quality.model import Band
from couchside.quality.signals import Signals
from couchside.quality.windows import window_starts

FloatArray = NDArray[np.float64]


def measure_steps(signals: Signals) -> FloatArray:
    """Largest jump outside the QRS in each window, in µV, shape (lead, window).

    A jump is the change over 20 ms of what is left when the beats are taken out.
    """
    left_over = signals.noise[Band.MOVEMENT] + signals.noise[Band.MUSCLE]
    apart = max(1, round(thresholds.STEP_RISE_S * signals.rate_hz))
    starts = window_starts(left_over.shape[1], signals.window_samples)
    jumps = np.zeros_like(left_over)
    jumps[:, apart:] = np.abs(left_over[:, apart:] - left_over[:, :-apart])
    both_quiet = signals.quiet.copy()
    both_quiet[apart:] &= signals.quiet[:-apart]
    largest: FloatArray = np.maximum.reduceat(np.where(both_quiet, jumps, 0.0), starts, axis=1)
    return largest
