"""Faults of every kind put in at an electrode of a recording that is clean without them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import wfdb
from numpy.typing import NDArray
from scipy.signal import butter, lfilter, resample_poly, sosfiltfilt

from couchside.quality import Band, FindingKind
from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    Recording,
    get_lead_matrix,
    twelve_from_eight,
)
from couchside.simulate import FaultKind

FloatArray = NDArray[np.float64]

NSTDB_RATE_HZ = 360
RANGE_UV = 5000.0
"""Where the inputs of the recorder end for the fault "saturated" [IEC60601-2-25]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of fault.

    Parameters
    ----------
    name : str
        As the tables call it.
    finding : FindingKind
        What the check should call it.
    also : tuple of FindingKind
        What it may be called as well, where one turns into the other.
    band : Band or None
        The band whose noise it raises.
    simulated : FaultKind or None
        The simulator's name for it.
    per_rms : float
        The simulator's amplitude over the rms at the electrode.
    at_limbs : bool
        Whether it only comes about at a limb.
    has_size : bool
        Whether an amplitude says how much of it there is.
    """

    name: str
    finding: FindingKind
    also: tuple[FindingKind, ...] = ()
    band: Band | None = None
    simulated: FaultKind | None = None
    per_rms: float = 1.0
    at_limbs: bool = False
    has_size: bool = True


_PEAK_TO_PEAK_OVER_SINE_RMS = 2.0 * float(np.sqrt(2.0))

KINDS = (
    Kind(
        name="wander",
        finding=FindingKind.WANDER,
        band=Band.WANDER,
        simulated=FaultKind.WANDER,
        per_rms=4.0,
    ),
    Kind(
        name="mains",
        finding=FindingKind.MAINS,
        band=Band.MAINS,
        simulated=FaultKind.MAINS,
        per_rms=_PEAK_TO_PEAK_OVER_SINE_RMS,
    ),
    Kind(
        name="tremor",
        finding=FindingKind.MUSCLE_TREMOR,
        band=Band.MUSCLE,
        simulated=FaultKind.MUSCLE,
    ),
    Kind(
        name="limb tremor",
        finding=FindingKind.LIMB_TREMOR,
        band=Band.MOVEMENT,
        simulated=FaultKind.LIMB_TREMOR,
        per_rms=3.3,
        at_limbs=True,
    ),
    Kind(
        name="movement",
        finding=FindingKind.MOVEMENT,
        also=(FindingKind.POP,),
        band=Band.MOVEMENT,
        simulated=FaultKind.MOVEMENT,
        per_rms=3.0,
    ),
    Kind(name="pop", finding=FindingKind.POP, simulated=FaultKind.POP, per_rms=5.0),
    Kind(
        name="loose contact",
        finding=FindingKind.LOOSE_CONTACT,
        also=(FindingKind.LOST_CONTACT,),
        simulated=FaultKind.CONTACT_LOOSE,
        per_rms=6.0,
    ),
    Kind(
        name="lost contact, flat",
        finding=FindingKind.LOST_CONTACT,
        simulated=FaultKind.CONTACT_FLAT,
        has_size=False,
    ),
    Kind(
        name="lost contact, floating",
        finding=FindingKind.LOST_CONTACT,
        simulated=FaultKind.CONTACT_FLOATING,
        per_rms=8000.0,
        has_size=False,
    ),
    Kind(
        name="saturated",
        finding=FindingKind.SATURATED,
        also=(FindingKind.LOST_CONTACT,),
        simulated=FaultKind.CONTACT_RAIL,
        has_size=False,
    ),
)


class FaultSource:
    """Puts faults into recordings; noise comes from NSTDB where it holds that kind."""

    def __init__(self, folder: Path) -> None:
        self._recorded = {
            name: wfdb.rdrecord(str(folder / "nstdb" / name)).p_signal[:, 0]
            for name in ("bw", "ma", "em")
        }

    def put_in(
        self,
        recording: Recording,
        kind: Kind,
        electrode: Electrode,
        amplitude_uv: float,
        chance: np.random.Generator,
    ) -> Recording:
        """The recording with one fault at one electrode, all through."""
        if kind.has_size:
            return add_at(recording, electrode, amplitude_uv * self.draw(kind, recording, chance))
        return _WITHOUT_SIZE[kind.name](recording, electrode, chance)

    def draw(self, kind: Kind, recording: Recording, chance: np.random.Generator) -> FloatArray:
        """As many samples as the recording has, of 1 µV rms."""
        seconds = np.arange(recording.sample_count) / recording.rate_hz
        if kind.name in _RECORDED_AS:
            return _unit(self._cut(kind, recording, chance))
        return _unit(_DRAWN[kind.name](seconds, chance))

    def _cut(self, kind: Kind, recording: Recording, chance: np.random.Generator) -> FloatArray:
        name, band_hz = _RECORDED_AS[kind.name]
        length = int((recording.duration_s + 4.0) * NSTDB_RATE_HZ)
        source = self._recorded[name]
        start = int(chance.integers(len(source) - length))
        cut = resample_poly(source[start : start + length], int(recording.rate_hz), NSTDB_RATE_HZ)
        sections = butter(2, band_hz, btype="bandpass", fs=recording.rate_hz, output="sos")
        skip = int(2 * recording.rate_hz)
        noise: FloatArray = sosfiltfilt(sections, cut)[skip : skip + recording.sample_count]
        return noise


def add_at(recording: Recording, electrode: Electrode, noise_uv: FloatArray) -> Recording:
    """The recording with a potential added at one electrode."""
    column = get_lead_matrix(recording.leads)[:, ELECTRODES.index(electrode)]
    return replace(recording, microvolts=recording.microvolts + column[:, None] * noise_uv)


_RECORDED_AS: dict[str, tuple[str, tuple[float, float]]] = {
    "wander": ("bw", (0.05, 0.6)),
    "tremor": ("ma", (15.0, 150.0)),
    "movement": ("em", (0.7, 20.0)),
}
"""Every NSTDB record also holds wander; each is cut to the band that its name stands for."""


def _mains(seconds: FloatArray, chance: np.random.Generator) -> FloatArray:
    mains_hz = chance.choice([50.0, 60.0]) * (1.0 + 0.001 * chance.standard_normal())
    wave = np.sin(2 * np.pi * mains_hz * seconds + chance.uniform(0, 2 * np.pi))
    wave += 0.1 * np.sin(6 * np.pi * mains_hz * seconds + chance.uniform(0, 2 * np.pi))
    return np.asarray(wave)


def _limb_tremor(seconds: FloatArray, chance: np.random.Generator) -> FloatArray:
    """4 to 6 Hz, never quite even, with a second harmonic, swelling and waning."""
    turns = chance.uniform(4.0, 6.0) * seconds + chance.uniform()
    angle = 2 * np.pi * turns + 0.8 * np.sin(2 * np.pi * chance.uniform(0.1, 0.5) * seconds)
    swell = 1.0 + 0.4 * np.sin(2 * np.pi * (chance.uniform(0.1, 0.4) * seconds + chance.uniform()))
    return np.asarray(swell * (np.sin(angle) + 0.3 * np.sin(2 * angle + chance.uniform(0, 6))))


def _pops(seconds: FloatArray, chance: np.random.Generator) -> FloatArray:
    """Two to four steps within some milliseconds that die away within half a second."""
    rate_hz = 1.0 / (seconds[1] - seconds[0])
    count = int(chance.integers(2, 5))
    steps = np.zeros(len(seconds))
    moments = (np.arange(count) + chance.uniform(0.1, 0.9, count)) / count
    steps[(moments * len(seconds)).astype(int)] = chance.choice([-1.0, 1.0], count)
    fall, rise = np.exp(-1.0 / (np.array([chance.uniform(0.1, 0.4), 0.002]) * rate_hz))
    return np.asarray(lfilter([1.0], np.convolve([1.0, -fall], [1.0, -rise]), steps))


def _loose(seconds: FloatArray, chance: np.random.Generator) -> FloatArray:
    """Contact opens two to four times for 0.3 to 1.2 s: a jump, the room's mains, a jump back."""
    count = int(chance.integers(2, 5))
    noise = np.zeros(len(seconds))
    hum = np.sin(2 * np.pi * chance.choice([50.0, 60.0]) * seconds)
    length_s = seconds[-1]
    for start_s in (np.arange(count) + chance.uniform(0.05, 0.6, count)) / count * length_s:
        end_s = start_s + chance.uniform(0.3, 1.2)
        gone = (seconds >= start_s) & (seconds < end_s)
        noise[gone] = chance.choice([-1.0, 1.0]) * chance.uniform(0.6, 1.4) + 0.7 * hum[gone]
    return noise


_DRAWN: dict[str, Callable[[FloatArray, np.random.Generator], FloatArray]] = {
    "mains": _mains,
    "limb tremor": _limb_tremor,
    "pop": _pops,
    "loose contact": _loose,
}


def _lose_flat(recording: Recording, electrode: Electrode, _: np.random.Generator) -> Recording:
    """The recorder sees the open input and draws its leads flat."""
    microvolts = recording.microvolts.copy()
    microvolts[get_lead_matrix(recording.leads)[:, ELECTRODES.index(electrode)] != 0.0] = 0.0
    return replace(recording, microvolts=microvolts)


def _lose_floating(
    recording: Recording, electrode: Electrode, chance: np.random.Generator
) -> Recording:
    """The heart goes from that input; mains of millivolts and slow swings come instead."""
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    size_uv = chance.uniform(1500.0, 6000.0)
    swing = np.sin(2 * np.pi * (chance.uniform(0.1, 0.4) * seconds + chance.uniform()))
    open_input = size_uv * (_unit(_mains(seconds, chance)) + 0.7 * swing)
    return add_at(recording, electrode, open_input - _potential_uv(recording, electrode))


def _saturate(recording: Recording, electrode: Electrode, chance: np.random.Generator) -> Recording:
    """An offset that grows drives every input of the electrode to the end of its range."""
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    towards = chance.choice([-1.0, 1.0]) * 12.0 * RANGE_UV
    starts_s = chance.uniform(0.0, 0.4) * seconds[-1]
    offset_uv = towards * (1.0 - np.exp(-np.maximum(seconds - starts_s, 0.0) / 0.3))
    driven = add_at(recording, electrode, offset_uv)
    measured = np.array([driven.get_lead(name) for name in INDEPENDENT_LEADS])
    cut = twelve_from_eight(np.clip(measured, -RANGE_UV, RANGE_UV))
    rows = [STANDARD_LEADS.index(name) for name in recording.leads]
    return replace(driven, microvolts=cut[rows])


_WITHOUT_SIZE: dict[str, Callable[[Recording, Electrode, np.random.Generator], Recording]] = {
    "lost contact, flat": _lose_flat,
    "lost contact, floating": _lose_floating,
    "saturated": _saturate,
}


def _potential_uv(recording: Recording, electrode: Electrode) -> FloatArray:
    """Potential of one electrode against the mean of the three limbs."""
    first, second = recording.get_lead("I"), recording.get_lead("II")
    right_arm = -(first + second) / 3.0
    limbs = {
        Electrode.RA: right_arm,
        Electrode.LA: first + right_arm,
        Electrode.LL: second + right_arm,
    }
    found = limbs.get(electrode)
    return recording.get_lead(f"V{electrode.value[1]}") if found is None else found


def _unit(noise: FloatArray) -> FloatArray:
    unit: FloatArray = noise / np.sqrt(np.mean(noise**2))
    return unit
