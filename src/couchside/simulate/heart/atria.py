"""Fibrillating and fluttering atria: waves that run through the whole recording."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import BSpline

from couchside.simulate.chance import Chance
from couchside.simulate.heart.rhythm import Plan
from couchside.simulate.heart.state import HeartState, Rhythm

FloatArray = NDArray[np.float64]

_FIBRILLATION_HZ = 6.6
_FIBRILLATION_SPREAD_HZ = 1.0
_FIBRILLATION_UV = (np.array((-8.0, 6.0, -36.0)), np.array((10.0, 20.0, 9.0)))
_FLUTTER_UV = np.array((8.0, -120.0, -36.0))
_FLUTTER_SHARE_OF_RATE = 2.833
_KNOTS_PER_S = 3.0


def atrial_waves(
    state: HeartState, plan: Plan, rate_per_min: float, time_s: FloatArray, chance: Chance
) -> FloatArray:
    """The dipole of atria that never rest.

    Parameters
    ----------
    state : HeartState
        Says whether the atria fibrillate or flutter.
    plan : Plan
        Its first beat sets the phase of flutter.
    rate_per_min : float
        Mean ventricular rate, to which flutter is a multiple.
    time_s : array of shape (sample,)
        Moments in seconds.
    chance : Chance
        The stream for the atria.

    Returns
    -------
    array of shape (3, sample)
        In µV; zeros where the atria beat in order.
    """
    if state.rhythm is Rhythm.ATRIAL_FIBRILLATION:
        first, second = _FIBRILLATION_UV
        return np.outer(first, _wavelets(time_s, chance)) + np.outer(
            second, _wavelets(time_s, chance)
        )
    if state.rhythm is Rhythm.ATRIAL_FLUTTER:
        hertz = rate_per_min / 60.0 * _FLUTTER_SHARE_OF_RATE
        return np.outer(_FLUTTER_UV, _saw(hertz * (time_s - plan.beats[0].qrs_onset_s)))
    return np.zeros((3, len(time_s)))


def _wavelets(time_s: FloatArray, chance: Chance) -> FloatArray:
    """Waves whose pace and height wander."""
    pace = _FIBRILLATION_HZ + _FIBRILLATION_SPREAD_HZ * _wandering(time_s, chance)
    height = 1.0 + 0.35 * _wandering(time_s, chance)
    turns = np.cumsum(pace) * (time_s[1] - time_s[0]) + chance.uniform(0.0, 1.0)
    angle = 2.0 * np.pi * turns
    waves: FloatArray = height * (np.sin(angle) + 0.28 * np.sin(2.0 * angle + 0.9))
    return waves


def _wandering(time_s: FloatArray, chance: Chance) -> FloatArray:
    """Smooth chance of about unit size, a cubic spline over three knots a second."""
    count = int((time_s[-1] - time_s[0]) * _KNOTS_PER_S) + 6
    knots = (np.arange(count + 4) - 3.0) / _KNOTS_PER_S + time_s[0]
    spline = BSpline.construct_fast(knots, chance.normals(count) * 1.4, 3)
    course: FloatArray = spline(time_s)
    return course


def _saw(turns: FloatArray) -> FloatArray:
    """A rounded saw: slow down, quick up."""
    angle = 2.0 * np.pi * turns
    wave = sum(np.sin(order * angle + 0.25 * order) / order**1.25 for order in (1, 2, 3, 4))
    return np.asarray(wave) * 0.62
