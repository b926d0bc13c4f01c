"""The course over time of what a faulty electrode adds."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from couchside.recording import LIMB_ELECTRODES
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.faults import Fault, FaultKind
from couchside.simulate.electrodes.mains import mains_wave
from couchside.simulate.electrodes.muscle import muscle_noise

FloatArray = NDArray[np.float64]

_LIMB_TREMOR_HZ = 5.0
_MUSCLE_FROM_HZ = {"limb": 20.0, "chest": 32.0}
"""A forearm's muscle sounds a little lower than the thin ones between the ribs [from memory]."""
_JUMPS_PER_S = 1.2
_POPS_PER_S = 0.35
_OPENINGS_PER_S = 0.3
_SHORTEST_OPENING_S = 0.3
_LONGER_OPENING_S = 0.7


def fault_uv(
    fault: Fault, *, sample_count: int, rate_hz: float, mains_hz: float, chance: Chance
) -> FloatArray:
    """What a fault adds at its electrode.

    Parameters
    ----------
    fault : Fault
        Which.
    sample_count, rate_hz
        The time grid of the recording.
    mains_hz : float
        The room's mains.
    chance : Chance
        The stream for this fault.

    Returns
    -------
    array of shape (sample,)
        In µV; zero outside the fault's span, and for the kinds that no wave describes.
    """
    added = np.zeros(sample_count)
    span = fault.span(sample_count, rate_hz)
    if fault.kind in _COURSES and span.stop > span.start:
        course = _COURSES[fault.kind]
        seconds = np.arange(span.stop - span.start) / rate_hz
        added[span] = fault.amplitude_uv * course(seconds, fault, mains_hz, chance)
    return added


def _wander(seconds: FloatArray, _: Fault, __: float, chance: Chance) -> FloatArray:
    parts = (
        (chance.uniform(0.06, 0.12), 0.6),
        (chance.uniform(0.18, 0.28), 1.0),
        (chance.uniform(0.35, 0.50), 0.3),
    )
    swings = np.zeros(len(seconds))
    for hertz, weight in parts:
        swings += weight * np.sin(2.0 * np.pi * (hertz * seconds + chance.uniform(0.0, 1.0)))
    return swings / max(float(np.ptp(swings)), 0.5)


def _drift(seconds: FloatArray, _: Fault, __: float, chance: Chance) -> FloatArray:
    direction = -1.0 if chance.uniform(0.0, 1.0) < 0.5 else 1.0
    course: FloatArray = direction * seconds / max(float(seconds[-1]), 1e-9)
    return course


def _drying(seconds: FloatArray, fault: Fault, mains_hz: float, chance: Chance) -> FloatArray:
    worse = (seconds + 2.0) / (seconds[-1] + 2.0)
    crackle = chance.noise(1, len(seconds))[0] * 0.012
    growing = worse * (
        0.86 * _wander(seconds, fault, mains_hz, chance)
        + 0.08 * _mains(seconds, fault, mains_hz, chance)
        + crackle
    )
    course: FloatArray = growing / max(float(np.ptp(growing)), 1e-12)
    return course


def _mains(seconds: FloatArray, fault: Fault, mains_hz: float, chance: Chance) -> FloatArray:
    turns = chance.uniform(0.1, 0.4) * seconds + chance.uniform(0.0, 1.0)
    swell = 1.0 + 0.06 * np.sin(2.0 * np.pi * turns)
    wave = mains_wave(seconds, fault.frequency_hz or mains_hz, _rate(seconds), chance)
    course: FloatArray = 0.48 * swell * wave
    return course


def _muscle(seconds: FloatArray, fault: Fault, _: float, chance: Chance) -> FloatArray:
    site = "limb" if fault.electrode in LIMB_ELECTRODES else "chest"
    white = chance.noise(1, len(seconds))[0]
    fibres = muscle_noise(white, _MUSCLE_FROM_HZ[site], _rate(seconds))
    effort = 2.0 * np.pi * (chance.uniform(0.35, 1.0) * seconds + chance.uniform(0.0, 1.0))
    bursts = fibres * (1.0 + 0.35 * np.sin(effort) + 0.15 * np.sin(2.7 * effort))
    course: FloatArray = bursts / max(float(np.sqrt(np.mean(bursts**2))), 1e-12)
    return course


def _limb_tremor(seconds: FloatArray, fault: Fault, _: float, chance: Chance) -> FloatArray:
    swell = 1.0 + 0.25 * np.sin(2.0 * np.pi * chance.uniform(0.2, 0.5) * seconds)
    turns = (fault.frequency_hz or _LIMB_TREMOR_HZ) * seconds + chance.uniform(0.0, 1.0)
    angle = 2.0 * np.pi * turns + 0.5 * np.sin(2.0 * np.pi * 0.31 * seconds)
    course: FloatArray = 0.40 * swell * (np.sin(angle) + 0.3 * np.sin(2.0 * angle + 0.8))
    return course


def _movement(seconds: FloatArray, _: Fault, __: float, chance: Chance) -> FloatArray:
    """Jumps that are pulled up within tens of milliseconds and settle within a second."""
    rate_hz = _rate(seconds)
    jumps = np.zeros(len(seconds))
    count = max(1, round(len(seconds) / rate_hz * _JUMPS_PER_S))
    places = (chance.uniforms(count) * len(seconds)).astype(np.int64)
    np.add.at(jumps, places, chance.normals(count))
    slow, quick = np.exp(-1.0 / (0.35 * rate_hz)), np.exp(-1.0 / (0.03 * rate_hz))
    swings = lfilter([1.0], np.convolve([1.0, -slow], [1.0, -quick]), jumps)
    course: FloatArray = swings / max(float(np.abs(swings).max()), 1e-12)
    return course


def _pop(seconds: FloatArray, _: Fault, __: float, chance: Chance) -> FloatArray:
    rate_hz = _rate(seconds)
    steps = np.zeros(len(seconds))
    count = max(1, round(len(seconds) / rate_hz * _POPS_PER_S))
    places = ((np.arange(count) + chance.uniforms(count)) / count * len(seconds)).astype(np.int64)
    steps[places] = np.where(chance.uniforms(count) < 0.5, -1.0, 1.0)
    settling = np.exp(-1.0 / (chance.uniform(0.12, 0.4) * rate_hz))
    course: FloatArray = lfilter([1.0], [1.0, -settling], steps)
    return course


def _floating(seconds: FloatArray, fault: Fault, mains_hz: float, chance: Chance) -> FloatArray:
    wander = _wander(seconds, fault, mains_hz, chance)
    course: FloatArray = _mains(seconds, fault, mains_hz, chance) + 0.7 * wander
    return course


def _loose(seconds: FloatArray, fault: Fault, mains_hz: float, chance: Chance) -> FloatArray:
    """A level and the mains while the contact is open, nothing while it holds."""
    count = max(1, round(len(seconds) / _rate(seconds) * _OPENINGS_PER_S))
    starts, lengths_s, jumps = chance.uniforms(count), chance.uniforms(count), chance.normals(count)
    mains = _mains(seconds, fault, mains_hz, chance)
    course = np.zeros(len(seconds))
    for place in range(count):
        start_s = (place + 0.7 * starts[place]) / count * seconds[-1]
        open_s = _SHORTEST_OPENING_S + _LONGER_OPENING_S * lengths_s[place]
        gone = (seconds >= start_s) & (seconds < start_s + open_s)
        course[gone] = np.copysign(1.0, jumps[place]) + 0.6 * mains[gone]
    return course


def _rate(seconds: FloatArray) -> float:
    return 1.0 / float(seconds[1]) if len(seconds) > 1 else 500.0


_COURSES: dict[FaultKind, Callable[[FloatArray, Fault, float, Chance], FloatArray]] = {
    FaultKind.WANDER: _wander,
    FaultKind.DRIFT: _drift,
    FaultKind.DRYING: _drying,
    FaultKind.MAINS: _mains,
    FaultKind.MUSCLE: _muscle,
    FaultKind.LIMB_TREMOR: _limb_tremor,
    FaultKind.MOVEMENT: _movement,
    FaultKind.POP: _pop,
    FaultKind.CONTACT_LOOSE: _loose,
    FaultKind.CONTACT_FLOATING: _floating,
}
