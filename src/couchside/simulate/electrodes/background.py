"""What every electrode adds even when all is well: a small floor of noise."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.recording import ELECTRODES
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.muscle import muscle_noise

FloatArray = NDArray[np.float64]

_AMPLIFIER_RMS_UV = 1.0
_AMPLIFIER_RATE_HZ = 500.0
"""White noise has a density; sampled twice as fast, it is √2 as large before filtering."""
_MUSCLE_RMS_UV = np.array([2.6, 2.6, 1.4, 1.4, 1.6, 1.7, 1.8, 2.0, 2.0, 2.0])
"""Arms are tenser than legs, and muscle lies under the outer chest electrodes [from memory]."""
_MUSCLE_FROM_HZ = 22.0
_BREATHING_UV = 20.0
_SLOW_UV = 12.0
_SLOW_HZ = (0.03, 0.08, 0.17)


def background_uv(
    *, seconds: FloatArray, rate_hz: float, breath_hz: float, restlessness: float, chance: Chance
) -> FloatArray:
    """The floor of noise at each electrode of a well-prepared person at rest.

    Parameters
    ----------
    seconds : array of shape (sample,)
        Moments.
    rate_hz : float
        Samples per second.
    breath_hz : float
        Rate of breathing.
    restlessness : float
        1 for a person at rest; larger is tenser, 0 is silence.
    chance : Chance
        The stream for the background.

    Returns
    -------
    array of shape (electrode, sample)
        In µV: the amplifier's white noise, a little muscle, breathing and slow drift.
    """
    count, sample_count = len(ELECTRODES), len(seconds)
    white = chance.noise(count, sample_count)
    muscle = muscle_noise(white, _MUSCLE_FROM_HZ, rate_hz)
    muscle /= np.sqrt(np.mean(muscle**2))
    strengths = _MUSCLE_RMS_UV * (0.6 + 0.8 * chance.uniforms(count))
    noise = muscle * strengths[:, None]
    noise += _AMPLIFIER_RMS_UV * np.sqrt(rate_hz / _AMPLIFIER_RATE_HZ) * white
    noise += _BREATHING_UV * np.outer(
        chance.normals(count), np.sin(2.0 * np.pi * breath_hz * seconds)
    )
    for hertz in _SLOW_HZ:
        turns = hertz * chance.uniform(0.8, 1.2) * seconds + chance.uniform(0.0, 1.0)
        noise += _SLOW_UV * np.outer(chance.normals(count), np.sin(2.0 * np.pi * turns))
    quiet: FloatArray = restlessness * noise
    return quiet
