"""Signals looked at window by window, and windows joined into spans of seconds."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Spans = tuple[tuple[float, float], ...]

ALL_THROUGH_SHARE = 0.8
"""A span that leaves out less than a fifth of the recording is told as \"all through\"."""


def window_range(signal: FloatArray, window_samples: int) -> FloatArray:
    """Highest less lowest sample of each window, shape (lead, window)."""
    starts = window_starts(signal.shape[1], window_samples)
    spread: FloatArray = np.maximum.reduceat(signal, starts, axis=1) - np.minimum.reduceat(
        signal, starts, axis=1
    )
    return spread


def any_in_window(marked: BoolArray, window_samples: int) -> BoolArray:
    """Whether any sample of each window is marked, shape (lead, window)."""
    starts = window_starts(marked.shape[1], window_samples)
    if not marked.any():
        return np.zeros((marked.shape[0], starts.shape[0]), dtype=np.bool_)
    return np.logical_or.reduceat(marked, starts, axis=1)


def window_starts(sample_count: int, window_samples: int) -> NDArray[np.int64]:
    """First sample of each window."""
    return np.arange(max(1, sample_count // window_samples), dtype=np.int64) * window_samples


def join_windows(
    marked: BoolArray, window_samples: int, rate_hz: float, duration_s: float
) -> Spans:
    """Spans of neighbouring marked windows, in seconds; empty where four in five are marked.

    Parameters
    ----------
    marked : array of bool, shape (window,)
    window_samples, rate_hz, duration_s
        What turns windows into seconds.
    """
    if marked.mean() >= ALL_THROUGH_SHARE:
        return ()
    edges = np.flatnonzero(np.diff(np.concatenate(([False], marked, [False])).astype(np.int8)))
    window_s = window_samples / rate_hz
    return tuple(
        (round(float(first * window_s), 3), _end_s(int(last), len(marked), window_s, duration_s))
        for first, last in edges.reshape(-1, 2)
    )


def _end_s(last: int, window_count: int, window_s: float, duration_s: float) -> float:
    return round(duration_s if last == window_count else last * window_s, 3)
