"""Low-passes without ringing: of short rows, and of a whole recording at half its rate."""

from __future__ import annotations

from functools import cache, lru_cache

import numpy as np

from couchside.waves.filters import (
    ANALYSIS_RATE_HZ,
    HALVING,
    find_fast_length,
    find_frequencies,
    low_pass_gain,
)
from couchside.waves.model import FloatArray


def smooth_rows(rows: FloatArray, edges_hz: tuple[float, ...], rate_hz: float) -> FloatArray:
    """Gaussian low-passes of short rows, mirrored at both ends.

    Parameters
    ----------
    rows : array of shape (…, sample)
        At least 40 samples.
    edges_hz : tuple of float
        Half-power frequencies.
    rate_hz : float
        Rate of the rows.

    Returns
    -------
    array of shape (edge, …, sample)
    """
    kept = rows.shape[-1]
    count = find_fast_length(kept + 2 * _SMOOTH_MARGIN, rate_hz)
    tail = _SMOOTH_MARGIN + kept
    padded = np.empty((*rows.shape[:-1], count))
    padded[..., _SMOOTH_MARGIN:tail] = rows
    padded[..., :_SMOOTH_MARGIN] = 2 * rows[..., :1] - rows[..., _SMOOTH_MARGIN:0:-1]
    padded[..., tail:] = 2 * rows[..., -1:] - rows[..., -2 : -2 - (count - tail) : -1]
    gains = _find_smoothing(edges_hz, count, rate_hz)
    gains = gains.reshape(len(edges_hz), *(1,) * (rows.ndim - 1), -1)
    smooth = np.fft.irfft(np.fft.rfft(padded, axis=-1) * gains, n=count, axis=-1)
    return smooth[..., _SMOOTH_MARGIN:tail]


@lru_cache(maxsize=8)
def _find_smoothing(edges_hz: tuple[float, ...], count: int, rate_hz: float) -> FloatArray:
    """Gain of each edge, shape (edge, frequency)."""
    return low_pass_gain(find_frequencies(count, rate_hz), np.array(edges_hz)[:, None])


_SMOOTH_MARGIN = 32
"""Samples mirrored on: beyond them even 8 Hz at 250 samples a second weigh under 1e-12."""


def soften(samples: FloatArray, edge_hz: float) -> FloatArray:
    """Low-pass from the analysis rate to `SOFT_RATE_HZ`, ends repeated.

    Parameters
    ----------
    samples : array of shape (lead, sample)
        At the analysis rate.
    edge_hz : float
        Half-power frequency, 20 Hz or more.

    Returns
    -------
    array of shape (lead, half as many samples, rounded up)

    Notes
    -----
    A Gaussian in time, cut off where it weighs under 1e-9. Each lead is cut into blocks with what
    stands on either side of them, and one product with a matrix that moves the Gaussian along makes
    all of them at once.
    """
    leads, count = samples.shape
    kept = -(-count // HALVING)
    width, blocks = HALVING * _SOFT_BLOCK, -(-kept // _SOFT_BLOCK)
    padded = np.empty((leads, blocks * width + 2 * _SOFT_REACH))
    padded[:, _SOFT_REACH : _SOFT_REACH + count] = samples
    padded[:, :_SOFT_REACH] = samples[:, :1]
    padded[:, _SOFT_REACH + count :] = samples[:, -1:]
    views = np.lib.stride_tricks.sliding_window_view(padded, width + 2 * _SOFT_REACH, axis=1)
    soft: FloatArray = views[:, ::width] @ _soft_matrix(edge_hz)
    return soft.reshape(leads, -1)[:, :kept]


_SOFT_BLOCK, _SOFT_REACH = 32, 20
"""Soft samples of a block, and samples looked at on either side of each."""


@cache
def _soft_matrix(edge_hz: float) -> FloatArray:
    """The Gaussian whose gain is `low_pass_gain`, at each soft sample of a block."""
    spread = np.sqrt(np.log(2.0)) * ANALYSIS_RATE_HZ / (2.0 * np.pi * edge_hz)
    places = np.arange(HALVING * _SOFT_BLOCK + 2 * _SOFT_REACH)[:, None]
    away = places - _SOFT_REACH - HALVING * np.arange(_SOFT_BLOCK)
    weights = np.where(np.abs(away) <= _SOFT_REACH, np.exp(-0.5 * (away / spread) ** 2), 0.0)
    matrix: FloatArray = weights / weights.sum(axis=0)
    return matrix
