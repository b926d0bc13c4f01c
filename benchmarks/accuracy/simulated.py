"""Simulated people and written beats: recordings whose boundaries are known exactly."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice, product

import numpy as np

from benchmarks.accuracy.annotated import Annotated, FloatArray, Mark, Part, Wave
from couchside.recording import Recording
from couchside.simulate import random_scenario, simulate
from couchside.simulate.calibration import CalibrationEcg, Stress, calibration_recording
from couchside.waves import WaveBounds

PEOPLE = 60
_FIRST_SEED = {Part.TUNE: 1000, Part.REPORT: 0}
_Q_UV, _S_UV, _T_UV = (0.0, -120.0, -300.0), (0.0, -300.0, -700.0), (150.0, 300.0, -200.0)
_RATES_PER_MIN = {
    Part.TUNE: (45.0, 55.0, 65.0, 80.0, 92.0, 102.0),
    Part.REPORT: (50.0, 60.0, 75.0, 100.0),
}
_R_MS = {Part.TUNE: (36.0, 44.0, 56.0, 64.0), Part.REPORT: (50.0,)}
_EVERY = {Part.TUNE: 5, Part.REPORT: 1}
"""Of all rates, widths and shapes every so many is written: enough to see each with each other."""


def read_simulated(part: Part) -> Iterator[Annotated]:
    """Random adults, other seeds in each part."""
    for seed in range(_FIRST_SEED[part], _FIRST_SEED[part] + PEOPLE):
        simulation = simulate(random_scenario(seed))
        truth = simulation.truth
        overall = truth.overall
        waves = {
            Wave.P: (overall.p_onset, overall.p_offset),
            Wave.QRS: (overall.qrs_onset, overall.qrs_offset),
            Wave.T: (truth.t.onset.min(axis=0), overall.t_offset),
        }
        leads = {Wave.P: truth.p, Wave.QRS: truth.qrs, Wave.T: truth.t}
        yield _annotate(f"person {seed}", simulation.recording, waves, leads)


def read_written(part: Part, stress: Stress | None = None) -> Iterator[Annotated]:
    """Written beats with every kind of QRS, other rates and widths in each part."""
    shapes = product(_RATES_PER_MIN[part], _R_MS[part], _Q_UV, _S_UV, _T_UV)
    chosen = islice(enumerate(shapes), 0, None, _EVERY[part])
    for number, (rate_per_min, r_ms, q_uv, s_uv, t_uv) in chosen:
        ecg = CalibrationEcg(rate_per_min=rate_per_min, r_ms=r_ms, q_uv=q_uv, s_uv=s_uv, t_uv=t_uv)
        written = calibration_recording(ecg, stress=stress or Stress())
        leads = {Wave.P: written.p, Wave.QRS: written.qrs, Wave.T: written.t}
        waves = {wave: _outermost(bounds) for wave, bounds in leads.items()}
        yield _annotate(f"written {number}, Q {q_uv:g} µV", written.recording, waves, leads)


def _outermost(bounds: WaveBounds) -> tuple[FloatArray, FloatArray]:
    return bounds.onset.min(axis=0), bounds.offset.max(axis=0)


def _annotate(
    name: str,
    recording: Recording,
    waves: dict[Wave, tuple[FloatArray, FloatArray]],
    leads: dict[Wave, WaveBounds],
) -> Annotated:
    marks = tuple(
        tuple(
            mark
            for wave, bounds in leads.items()
            for mark in _make_marks(wave, bounds.onset[lead], bounds.offset[lead])
        )
        for lead in range(len(recording.leads))
    )
    overall = tuple(mark for wave, ends in waves.items() for mark in _make_marks(wave, *ends))
    return Annotated(name=name, recording=recording, marks=marks, overall=overall)


def _make_marks(wave: Wave, onsets: FloatArray, ends: FloatArray) -> Iterator[Mark]:
    for onset, end in zip(onsets.tolist(), ends.tolist(), strict=True):
        if np.isfinite(onset) and np.isfinite(end):
            yield Mark(wave=wave, onset=onset, peak=0.5 * (onset + end), offset=end)
