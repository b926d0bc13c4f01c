"""The mains as a wave: a fundamental, and harmonics as far as sampling can hold them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.simulate.chance import Chance

FloatArray = NDArray[np.float64]

_HARMONICS = ((1, 1.0), (2, 0.05), (3, 0.11), (5, 0.04))
"""Order and share of the fundamental: odd ones stand out where iron and rectifiers hang on the
mains [from memory]."""


def mains_wave(
    seconds: FloatArray, frequency_hz: float, rate_hz: float, chance: Chance
) -> FloatArray:
    """A mains wave whose fundamental has an amplitude of 1.

    Parameters
    ----------
    seconds : array of shape (sample,)
        Moments.
    frequency_hz : float
        Of the fundamental.
    rate_hz : float
        Samples per second; what lies at half of it or above is held back, as every recorder does
        before it samples.
    chance : Chance
        Draws the phases.

    Returns
    -------
    array of shape (sample,)
    """
    phases = 2.0 * np.pi * chance.uniforms(len(_HARMONICS))
    wave = np.zeros(len(seconds))
    for (order, share), phase in zip(_HARMONICS, phases, strict=True):
        if order * frequency_hz < 0.5 * rate_hz:
            wave += share * np.sin(2.0 * np.pi * order * frequency_hz * seconds + phase)
    return wave
