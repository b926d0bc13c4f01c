"""Faults at one electrode: what goes wrong, where, when and how much."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from couchside.errors import InvalidInput
from couchside.recording import Electrode
from couchside.simulate.chance import Chance

FloatArray = NDArray[np.float64]


class FaultKind(StrEnum):
    """What can go wrong at an electrode; in brackets what the amplitude means."""

    WANDER = "baseline wander"
    """Slow drift from breathing and a drying electrode (peak to peak)."""
    MAINS = "mains interference"
    """Pick-up of the mains with harmonics (peak to peak)."""
    MUSCLE = "muscle tremor"
    """Activity of muscle under the electrode (rms)."""
    LIMB_TREMOR = "limb tremor"
    """A shaking limb, 4 to 6 per second (peak to peak)."""
    MOVEMENT = "movement"
    """Pulling at the electrode: slow swings and jumps (peak)."""
    POP = "electrode pop"
    """Sudden steps that die away (peak)."""
    DRIFT = "half-cell drift"
    """A steady drift of the half-cell potential (over the span)."""
    CONTACT_FLAT = "lost contact, flat"
    """The recorder sees that the electrode is off and draws its leads flat (no amplitude)."""
    CONTACT_FLOATING = "lost contact, floating"
    """The open input picks up what is in the room (mains, peak to peak)."""
    CONTACT_RAIL = "lost contact, at the rail"
    """The open input runs into the end of the range (no amplitude)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One fault at one electrode.

    Parameters
    ----------
    kind : FaultKind
        What.
    electrode : Electrode
        Where, by its place on the body.
    amplitude_uv : float
        How much, in µV at the electrode; what it measures stands with each kind.
    start_s, end_s : float, float or None
        When; None is the end of the recording.
    frequency_hz : float or None
        For mains and limb tremor; None takes the scenario's mains, or 5 Hz.
    """

    kind: FaultKind
    electrode: Electrode
    amplitude_uv: float = 0.0
    start_s: float = 0.0
    end_s: float | None = None
    frequency_hz: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.amplitude_uv <= 1_000_000.0:
            raise InvalidInput(
                f"{self.kind} of {self.amplitude_uv} µV; give an amplitude from 0 to 1,000,000 µV"
            )
        if self.end_s is not None and not self.start_s < self.end_s:
            raise InvalidInput(
                f"{self.kind} from {self.start_s} s to {self.end_s} s; it must end after it starts"
            )


def fault_uv(
    fault: Fault, *, sample_count: int, rate_hz: float, mains_hz: float, chance: Chance
) -> FloatArray:
    """What a fault adds at its electrode, in µV, shape (sample,)."""
    time_s = np.arange(sample_count) / rate_hz
    end_s = sample_count / rate_hz if fault.end_s is None else fault.end_s
    span = (time_s >= fault.start_s) & (time_s < end_s)
    if fault.kind not in _MAKERS or not span.any():
        return np.zeros(sample_count)
    added = np.zeros(sample_count)
    frequency_hz = fault.frequency_hz or _USUAL_HZ.get(fault.kind, mains_hz)
    made = _MAKERS[fault.kind](time_s[span] - fault.start_s, rate_hz, frequency_hz, chance)
    added[span] = fault.amplitude_uv * made
    return added


def _wander(time_s: FloatArray, rate_hz: float, _: float, chance: Chance) -> FloatArray:
    del rate_hz
    slow = sum(
        weight * np.sin(2.0 * np.pi * (hertz * time_s + chance.uniform(0.0, 1.0)))
        for hertz, weight in (
            (chance.uniform(0.06, 0.12), 0.6),
            (chance.uniform(0.18, 0.28), 1.0),
            (chance.uniform(0.35, 0.5), 0.35),
        )
    )
    shape: FloatArray = np.asarray(slow) / np.ptp(slow)
    return shape


def _mains(time_s: FloatArray, _: float, frequency_hz: float, chance: Chance) -> FloatArray:
    phases = 2.0 * np.pi * chance.uniforms(3)
    swell = 1.0 + 0.06 * np.sin(2.0 * np.pi * (chance.uniform(0.1, 0.4) * time_s))
    angle = 2.0 * np.pi * frequency_hz * time_s
    wave = np.sin(angle + phases[0])
    wave += 0.10 * np.sin(3.0 * angle + phases[1]) + 0.04 * np.sin(2.0 * angle + phases[2])
    shape: FloatArray = 0.5 * swell * wave
    return shape


def _muscle(time_s: FloatArray, rate_hz: float, _: float, chance: Chance) -> FloatArray:
    white = chance.noise(1, len(time_s))[0]
    keep = np.exp(-2.0 * np.pi * 25.0 / rate_hz)
    shaped = lfilter([1.0, -1.0], [1.0, -keep], white)
    bursts = 1.0 + 0.35 * np.sin(2.0 * np.pi * (chance.uniform(0.4, 1.1) * time_s))
    shaped = shaped * bursts
    shape: FloatArray = shaped / np.sqrt(np.mean(shaped**2))
    return shape


def _limb_tremor(time_s: FloatArray, _: float, frequency_hz: float, chance: Chance) -> FloatArray:
    swell = 1.0 + 0.25 * np.sin(2.0 * np.pi * (chance.uniform(0.2, 0.5) * time_s))
    angle = 2.0 * np.pi * frequency_hz * time_s + chance.uniform(0.0, 6.0)
    shape: FloatArray = 0.45 * swell * (np.sin(angle) + 0.3 * np.sin(2.0 * angle + 0.8))
    return shape


def _movement(time_s: FloatArray, rate_hz: float, _: float, chance: Chance) -> FloatArray:
    steps = np.zeros(len(time_s))
    count = max(1, int(time_s[-1] * 1.2))
    places = (chance.uniforms(count) * len(time_s)).astype(np.int64)
    steps[places] = chance.normals(count)
    keep_slow = np.exp(-1.0 / (0.35 * rate_hz))
    keep_fast = np.exp(-1.0 / (0.03 * rate_hz))
    swings = lfilter([1.0], np.convolve([1.0, -keep_slow], [1.0, -keep_fast]), steps)
    shape: FloatArray = swings / max(float(np.abs(swings).max()), 1e-12)
    return shape


def _pop(time_s: FloatArray, rate_hz: float, _: float, chance: Chance) -> FloatArray:
    steps = np.zeros(len(time_s))
    count = max(1, int(time_s[-1] / 3.0))
    places = ((np.arange(count) + chance.uniforms(count)) / count * len(time_s)).astype(np.int64)
    steps[places] = np.where(chance.uniforms(count) < 0.5, -1.0, 1.0)
    shape: FloatArray = lfilter([1.0], [1.0, -np.exp(-1.0 / (0.25 * rate_hz))], steps)
    return shape


def _drift(time_s: FloatArray, _: float, __: float, chance: Chance) -> FloatArray:
    direction = -1.0 if chance.uniform(0.0, 1.0) < 0.5 else 1.0
    shape: FloatArray = direction * time_s / max(float(time_s[-1]), 1e-9)
    return shape


_Maker = Callable[[FloatArray, float, float, Chance], FloatArray]
_MAKERS: dict[FaultKind, _Maker] = {
    FaultKind.WANDER: _wander,
    FaultKind.MAINS: _mains,
    FaultKind.MUSCLE: _muscle,
    FaultKind.LIMB_TREMOR: _limb_tremor,
    FaultKind.MOVEMENT: _movement,
    FaultKind.POP: _pop,
    FaultKind.DRIFT: _drift,
    FaultKind.CONTACT_FLOATING: _mains,
}
_USUAL_HZ = {FaultKind.LIMB_TREMOR: 5.0}
