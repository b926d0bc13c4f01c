"""What every electrode adds even when all is well: a small floor of noise."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from couchside.recording import ELECTRODES
from couchside.simulate.chance import Chance

FloatArray = NDArray[np.float64]

_AMPLIFIER_RMS_UV = 1.2
_MUSCLE_RMS_UV = 2.5
_MAINS_UV = 1.5
_BREATHING_UV = 22.0
_SLOW_UV = 16.0


def background_uv(
    *, sample_count: int, rate_hz: float, mains_hz: float, breath_hz: float, chance: Chance
) -> FloatArray:
    """The floor of noise at each electrode of a well-prepared, resting person.

    Returns
    -------
    array of shape (electrode, sample)
        In µV: the amplifier's white noise, a little muscle, mains, breathing and slow drift.
    """
    count = len(ELECTRODES)
    time_s = np.arange(sample_count) / rate_hz
    white = chance.noise(count, sample_count)
    keep = np.exp(-2.0 * np.pi * 25.0 / rate_hz)
    muscle = lfilter([1.0, -1.0], [1.0, -keep], white)
    strengths = 0.5 + chance.uniforms(count)
    noise = _AMPLIFIER_RMS_UV * white[::-1] + _MUSCLE_RMS_UV * strengths[:, None] * muscle
    angle = 2.0 * np.pi * mains_hz * time_s + chance.uniform(0.0, 6.0)
    noise += _MAINS_UV * chance.normals(count)[:, None] * np.sin(angle)
    breath = np.sin(2.0 * np.pi * breath_hz * time_s)
    noise += _BREATHING_UV * chance.normals(count)[:, None] * breath
    slow_angle = 2.0 * np.pi * chance.uniform(0.04, 0.09) * time_s
    noise += _SLOW_UV * chance.normals(count)[:, None] * np.sin(slow_angle)
    noise += _SLOW_UV * chance.normals(count)[:, None] * np.cos(slow_angle)
    return noise
