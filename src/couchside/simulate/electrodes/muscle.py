"""The sound of muscle: noise between a few tens and a few hundred hertz."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

FloatArray = NDArray[np.float64]

_UP_TO_HZ = 190.0
"""Seen from the skin, fat and distance take the highest parts away [from memory]; so a recorder
that samples faster does not see more of it."""


def muscle_noise(white: FloatArray, from_hz: float, rate_hz: float) -> FloatArray:
    """White noise coloured like surface muscle.

    Parameters
    ----------
    white : array of shape (…, sample)
        Of unit variance.
    from_hz : float
        Where its band begins.
    rate_hz : float
        Samples per second.

    Returns
    -------
    array of the same shape
        Of a variance somewhat below 1, which depends on the rate.
    """
    low, high = (np.exp(-2.0 * np.pi * hertz / rate_hz) for hertz in (from_hz, _UP_TO_HZ))
    forward = np.array([1.0, -1.0]) * (1.0 - high)
    coloured: FloatArray = lfilter(forward, np.convolve([1.0, -low], [1.0, -high]), white)
    return coloured
