"""Test signals whose truth is written down, not measured.

Own waveforms in the manner of the calibration set of [IEC60601-2-25]: half sines for P and T,
triangles for Q, R and S, a level ST segment; beside them the 3 mV impulse of 100 ms, sines and
triangles. All of I, II and V1–V6 carry the signal, each times its own factor.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from couchside.errors import InvalidInput
from couchside.recording import INDEPENDENT_LEADS, STANDARD_LEADS, Recording, twelve_from_eight
from couchside.simulate.chance import Chance
from couchside.simulate.recorder import Recorder, record_eight
from couchside.waves.model import WaveBounds

FloatArray = NDArray[np.float64]

_FIRST_BEAT_S = 0.5
IMPULSE_UV = 3000.0
IMPULSE_MS = 100.0
OWN_PULSE_UV = 1000.0
OWN_PULSE_MS = 200.0
OWN_PULSE_EVERY_S = 1.5
STRESS_NOISE_RMS_UV = 25.0
STRESS_MAINS_UV = 50.0
STRESS_WANDER_UV = 1000.0
STRESS_WANDER_HZ = 0.3
"""The stability tests of [IEC60601-2-25], from memory; mains and wander peak to valley."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationEcg:
    """Intervals and amplitudes of a written beat; the same in every lead up to its factor.

    A wave of 0 µV is absent. `qt_ms` and `pr_ms` count from onset to end and to onset; Q, R and S
    follow each other without a gap.
    """

    rate_per_min: float = 60.0
    p_ms: float = 116.0
    p_uv: float = 150.0
    pr_ms: float = 178.0
    q_ms: float = 20.0
    q_uv: float = -120.0
    r_ms: float = 50.0
    r_uv: float = 1200.0
    s_ms: float = 30.0
    s_uv: float = -300.0
    st_uv: float = 0.0
    t_ms: float = 180.0
    t_uv: float = 300.0
    qt_ms: float = 400.0
    lead_factors: Mapping[str, float] = field(default_factory=lambda: _USUAL_FACTORS)

    def __post_init__(self) -> None:
        if self.qrs_ms + self.t_ms > self.qt_ms or self.p_ms > self.pr_ms:
            raise InvalidInput(
                f"QRS {self.qrs_ms} ms and T {self.t_ms} ms must fit into QT {self.qt_ms} ms, "
                f"and P {self.p_ms} ms into PR {self.pr_ms} ms"
            )
        object.__setattr__(self, "lead_factors", MappingProxyType(dict(self.lead_factors)))

    @property
    def qrs_ms(self) -> float:
        """Length of the waves that are there."""
        waves = ((self.q_ms, self.q_uv), (self.r_ms, self.r_uv), (self.s_ms, self.s_uv))
        return sum(length for length, height in waves if height != 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stress:
    """What is laid over a test signal: noise in µV rms, mains and wander from peak to valley."""

    noise_rms_uv: float = 0.0
    mains_uv: float = 0.0
    mains_hz: float = 50.0
    wander_uv: float = 0.0
    seed: int = 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WrittenRecording:
    """A test signal as a recording, and its beats as written.

    Parameters
    ----------
    recording : Recording
        Twelve leads.
    p, qrs, t : WaveBounds
        Arrays of shape (lead, beat) in samples, not rounded.
    """

    recording: Recording
    p: WaveBounds
    qrs: WaveBounds
    t: WaveBounds


STANDARD_STRESSES: Mapping[str, Stress] = MappingProxyType(
    {
        "noise": Stress(noise_rms_uv=STRESS_NOISE_RMS_UV),
        "mains 50 Hz": Stress(mains_uv=STRESS_MAINS_UV, mains_hz=50.0),
        "mains 60 Hz": Stress(mains_uv=STRESS_MAINS_UV, mains_hz=60.0),
        "wander": Stress(wander_uv=STRESS_WANDER_UV),
    }
)


def calibration_recording(
    ecg: CalibrationEcg,
    *,
    rate_hz: float = 500.0,
    duration_s: float = 10.0,
    resolution_uv: float = 1.0,
    stress: Stress | None = None,
) -> WrittenRecording:
    """A written ECG, sampled and rounded but not filtered.

    Parameters
    ----------
    ecg : CalibrationEcg
        What each beat is.
    rate_hz, duration_s, resolution_uv
        Samples per second, seconds, µV per step.
    stress : Stress or None
        Laid over the eight independent leads.

    Returns
    -------
    WrittenRecording
        Only whole beats are in its truth.
    """
    seconds = np.arange(round(rate_hz * duration_s)) / rate_hz
    onsets = np.arange(_FIRST_BEAT_S, duration_s - 0.6, 60.0 / ecg.rate_per_min)
    wave = sum((_beat(ecg, seconds - onset) for onset in onsets), np.zeros(len(seconds)))
    factors = np.array([ecg.lead_factors[lead] for lead in INDEPENDENT_LEADS])
    eight = np.outer(factors, wave) + _stress(stress or Stress(), seconds)
    twelve = twelve_from_eight(np.round(eight / resolution_uv) * resolution_uv)
    recording = Recording(
        leads=tuple(STANDARD_LEADS),
        microvolts=twelve,
        rate_hz=rate_hz,
        settings=Recorder(rate_hz=rate_hz, resolution_uv=resolution_uv).settings,
    )
    p, qrs, t = _bounds(ecg, onsets * rate_hz, rate_hz)
    return WrittenRecording(recording=recording, p=p, qrs=qrs, t=t)


def impulse_recording(recorder: Recorder, *, duration_s: float = 10.0) -> Recording:
    """The 3 mV impulse of 100 ms, two seconds in, through a recorder's filters.

    A first-order high-pass of f Hz leaves a displacement of −3 mV·(1 − exp(−0.2π f)) behind it.
    """
    seconds = np.arange(round(recorder.rate_hz * duration_s)) / recorder.rate_hz
    inside = (seconds >= 2.0) & (seconds < 2.0 + IMPULSE_MS / 1000.0 - 1e-9)
    return _recorded(IMPULSE_UV * inside.astype(np.float64), recorder)


def own_pulse_recording(
    recorder: Recorder, *, height_uv: float = OWN_PULSE_UV, duration_s: float = 4.0
) -> Recording:
    """A recorder's own pulse of 200 ms, once a second and a half, in each channel alike.

    The recorder's generator feeds the channels, not the electrodes: no lead is made of others.
    """
    seconds = np.arange(round(recorder.rate_hz * duration_s)) / recorder.rate_hz
    inside = (seconds % OWN_PULSE_EVERY_S >= 1.0) & (
        seconds % OWN_PULSE_EVERY_S < 1.0 + OWN_PULSE_MS / 1000.0 - 1e-9
    )
    through_filters = _recorded(height_uv * inside.astype(np.float64), recorder)
    channel = through_filters.get_lead("II")
    return replace(through_filters, microvolts=np.tile(channel, (len(STANDARD_LEADS), 1)))


def sine_recording(
    recorder: Recorder, *, frequency_hz: float, peak_to_peak_uv: float, duration_s: float = 10.0
) -> Recording:
    """A sine through a recorder's filters."""
    seconds = np.arange(round(recorder.rate_hz * duration_s)) / recorder.rate_hz
    wave: FloatArray = 0.5 * peak_to_peak_uv * np.sin(2.0 * np.pi * frequency_hz * seconds)
    return _recorded(wave, recorder)


def triangle_recording(
    recorder: Recorder, *, width_ms: float, peak_uv: float, duration_s: float = 10.0
) -> Recording:
    """One upright triangle a second through a recorder's filters."""
    seconds = np.arange(round(recorder.rate_hz * duration_s)) / recorder.rate_hz
    wave = peak_uv * _triangle((seconds % 1.0) - 0.5, width_ms / 1000.0)
    return _recorded(wave, recorder)


def _recorded(wave: FloatArray, recorder: Recorder) -> Recording:
    eight = np.tile(wave, (len(INDEPENDENT_LEADS), 1))
    return Recording(
        leads=tuple(STANDARD_LEADS),
        microvolts=record_eight(eight, recorder),
        rate_hz=recorder.rate_hz,
        settings=recorder.settings,
    )


def _beat(ecg: CalibrationEcg, seconds: FloatArray) -> FloatArray:
    """One beat whose QRS begins at 0."""
    wave = ecg.p_uv * _half_sine(seconds + ecg.pr_ms / 1000.0, ecg.p_ms / 1000.0)
    place = 0.0
    for length_ms, height_uv in (
        (ecg.q_ms, ecg.q_uv),
        (ecg.r_ms, ecg.r_uv),
        (ecg.s_ms, ecg.s_uv),
    ):
        if height_uv != 0.0:
            wave += height_uv * _triangle(seconds - place, length_ms / 1000.0)
            place += length_ms / 1000.0
    t_onset = (ecg.qt_ms - ecg.t_ms) / 1000.0
    wave += ecg.st_uv * ((seconds >= place) & (seconds < t_onset))
    return wave + ecg.t_uv * _half_sine(seconds - t_onset, ecg.t_ms / 1000.0)


def _half_sine(seconds: FloatArray, length_s: float) -> FloatArray:
    inside = (seconds >= 0.0) & (seconds <= length_s)
    wave: FloatArray = np.sin(np.pi * seconds / length_s) * inside
    return wave


def _triangle(seconds: FloatArray, length_s: float) -> FloatArray:
    wave: FloatArray = np.clip(1.0 - np.abs(2.0 * seconds / length_s - 1.0), 0.0, 1.0)
    return wave


def _stress(stress: Stress, seconds: FloatArray) -> FloatArray:
    mains = 0.5 * stress.mains_uv * np.sin(2.0 * np.pi * stress.mains_hz * seconds)
    wander = 0.5 * stress.wander_uv * np.sin(2.0 * np.pi * STRESS_WANDER_HZ * seconds)
    noise = Chance(stress.seed, "stress").noise(len(INDEPENDENT_LEADS), len(seconds))
    added: FloatArray = stress.noise_rms_uv * noise + mains + wander
    return added


def _bounds(
    ecg: CalibrationEcg, onsets: FloatArray, rate_hz: float
) -> tuple[WaveBounds, WaveBounds, WaveBounds]:
    per_ms = rate_hz / 1000.0
    r_at = (ecg.q_ms if ecg.q_uv else 0.0) + ecg.r_ms / 2.0
    p_onset = onsets - ecg.pr_ms * per_ms
    t_offset = onsets + ecg.qt_ms * per_ms
    return (
        _wave(p_onset, ecg.p_ms / 2.0 * per_ms, ecg.p_ms * per_ms, ecg.p_uv),
        _wave(onsets, r_at * per_ms, ecg.qrs_ms * per_ms, ecg.qrs_ms),
        _wave(t_offset - ecg.t_ms * per_ms, ecg.t_ms / 2.0 * per_ms, ecg.t_ms * per_ms, ecg.t_uv),
    )


def _wave(onsets: FloatArray, to_peak: float, to_end: float, height_uv: float) -> WaveBounds:
    there = 0.0 if height_uv else np.nan
    onset = np.tile(onsets, (len(STANDARD_LEADS), 1)) + there
    return WaveBounds(onset=onset, peak=onset + to_peak, offset=onset + to_end)


_EVEN: Mapping[str, float] = MappingProxyType(dict.fromkeys(map(str, INDEPENDENT_LEADS), 1.0))
_USUAL_FACTORS: Mapping[str, float] = MappingProxyType(
    {
        "I": 0.6,
        "II": 1.0,
        "V1": -0.5,
        "V2": 0.5,
        "V3": 1.0,
        "V4": 1.5,
        "V5": 1.25,
        "V6": 0.9,
    }
)

CALIBRATION_SET: Mapping[str, CalibrationEcg] = MappingProxyType(
    {
        "usual": CalibrationEcg(),
        "small": CalibrationEcg(
            p_uv=60.0, q_uv=-40.0, r_uv=400.0, s_uv=-100.0, t_uv=100.0, lead_factors=_EVEN
        ),
        "large": CalibrationEcg(p_uv=250.0, q_uv=-300.0, r_uv=3000.0, s_uv=-900.0, t_uv=800.0),
        "slow": CalibrationEcg(rate_per_min=40.0, qt_ms=460.0, t_ms=210.0),
        "fast": CalibrationEcg(rate_per_min=150.0, p_ms=80.0, pr_ms=120.0, qt_ms=270.0, t_ms=110.0),
        "raised ST": CalibrationEcg(st_uv=200.0),
        "lowered ST": CalibrationEcg(st_uv=-200.0),
        "R alone": CalibrationEcg(q_uv=0.0, s_uv=0.0, r_ms=80.0),
        "no Q": CalibrationEcg(q_uv=0.0, r_ms=44.0, s_ms=44.0),
        "no P": CalibrationEcg(p_uv=0.0, rate_per_min=75.0),
        "inverted T": CalibrationEcg(t_uv=-300.0),
        "wide": CalibrationEcg(q_ms=30.0, r_ms=70.0, s_ms=50.0, qt_ms=440.0),
        "long PR": CalibrationEcg(pr_ms=280.0),
        "long QT": CalibrationEcg(qt_ms=520.0, t_ms=240.0),
    }
)
"""Written ECGs by name: one thing after another made different from the usual one."""
