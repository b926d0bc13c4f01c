"""Noise to add to clean recordings: at the electrodes, so that the leads agree as in life."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from scipy.signal import butter, resample_poly, sosfiltfilt

from benchmarks.accuracy.annotated import FloatArray, Part
from couchside.recording import Recording, get_lead_matrix
from couchside.waves import Waves

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # wfdb uses what pandas has deprecated
    import wfdb

NOISE_RMS_UV = 25.0
MAINS_PEAK_TO_PEAK_UV = 50.0
WANDER_PEAK_TO_PEAK_UV = 1000.0
WANDER_HZ = 0.3
"""As the stability test of [IEC60601-2-25] has them, from memory."""
LOW_PASS_HZ = 150.0
RECORDED = {"em": "electrode movement", "ma": "muscle", "bw": "wander"}
SIGNAL_TO_NOISE_DB = (24.0, 18.0, 12.0)
NSTDB_RATE_HZ = 360

AddNoise = Callable[[Recording, Waves, np.random.Generator], Recording]


def make_noises(folder: Path, part: Part) -> Iterator[tuple[str, AddNoise]]:
    """Every kind of noise by name; the first half of each noise record to tune, the rest to report.

    Parameters
    ----------
    folder : Path
        Of the open recordings.
    part : Part
        Which half of the noise records to draw from.

    Returns
    -------
    iterator of (name, function)
        The function adds the noise to a recording whose waves it is given.
    """
    yield "noise, 25 µV rms", _add_white
    yield "mains, 50 µV peak to peak", _add_mains
    yield "wander 0.3 Hz, 1 mV peak to peak", _add_slow
    for name, words in RECORDED.items():
        samples = wfdb.rdrecord(str(folder / "nstdb" / name)).p_signal
        half = samples.shape[0] // 2
        kept = samples[:half] if part is Part.TUNE else samples[half:]
        for ratio_db in SIGNAL_TO_NOISE_DB:
            yield f"NSTDB {name} ({words}), {ratio_db:g} dB", partial(_add_recorded, kept, ratio_db)


def _add_white(recording: Recording, _: Waves, chance: np.random.Generator) -> Recording:
    at = chance.standard_normal((_electrode_count(recording), recording.sample_count))
    if recording.rate_hz > 2.0 * LOW_PASS_HZ:
        sections = butter(2, LOW_PASS_HZ, fs=recording.rate_hz, output="sos")
        at = sosfiltfilt(sections, at, axis=1)
    return _add(recording, at, rms_uv=NOISE_RMS_UV)


def _add_mains(recording: Recording, _: Waves, chance: np.random.Generator) -> Recording:
    rms_uv = MAINS_PEAK_TO_PEAK_UV / (2.0 * np.sqrt(2.0))
    mains_hz = float(chance.choice([50.0, 60.0]))
    return _add(recording, _sines(recording, mains_hz, chance), rms_uv=rms_uv)


def _add_slow(recording: Recording, _: Waves, chance: np.random.Generator) -> Recording:
    rms_uv = WANDER_PEAK_TO_PEAK_UV / (2.0 * np.sqrt(2.0))
    return _add(recording, _sines(recording, WANDER_HZ, chance), rms_uv=rms_uv)


def _add_recorded(
    samples: FloatArray,
    ratio_db: float,
    recording: Recording,
    waves: Waves,
    chance: np.random.Generator,
) -> Recording:
    """Recorded noise, its power so many decibels below an eighth of the squared QRS height."""
    length = int((recording.duration_s + 1.0) * NSTDB_RATE_HZ)
    at = np.empty((_electrode_count(recording), recording.sample_count))
    for row in range(at.shape[0]):
        start = int(chance.integers(samples.shape[0] - length))
        cut = samples[start : start + length, int(chance.integers(samples.shape[1]))]
        resampled = resample_poly(cut - cut.mean(), int(recording.rate_hz), NSTDB_RATE_HZ)
        at[row] = resampled[: recording.sample_count]
    rms_uv = np.sqrt(_qrs_power(waves)) * 10.0 ** (-ratio_db / 20.0)
    return _add(recording, at, rms_uv=float(rms_uv))


def _qrs_power(waves: Waves) -> float:
    """Mean over the leads of the squared peak-to-peak QRS over 8, as NSTDB's own tool has it."""
    beat = waves.representative
    if beat is None:
        return 0.0
    start, stop = int(beat.overall.qrs_onset), int(beat.overall.qrs_offset) + 1
    return float(np.mean(np.ptp(beat.microvolts[:, start:stop], axis=1) ** 2) / 8.0)


def _sines(recording: Recording, hertz: float, chance: np.random.Generator) -> FloatArray:
    time_s = np.arange(recording.sample_count) / recording.rate_hz
    count = _electrode_count(recording)
    size, phase = chance.uniform(0.5, 1.5, (count, 1)), chance.uniform(0, 2 * np.pi, (count, 1))
    sines: FloatArray = size * np.sin(2 * np.pi * hertz * time_s + phase)
    return sines


def _electrode_count(recording: Recording) -> int:
    return int(get_lead_matrix(recording.leads).shape[1])


def _add(recording: Recording, at_electrodes: FloatArray, *, rms_uv: float) -> Recording:
    """The noise of all leads together brought to so many µV rms, and added."""
    noise = get_lead_matrix(recording.leads) @ at_electrodes
    noise *= rms_uv / np.sqrt(np.mean(noise**2))
    return replace(recording, microvolts=recording.microvolts + noise)
