"""A written ECG: waves of which onset, peak and end are known, because they were put there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import Recording

FloatArray = NDArray[np.float64]

P_MS, QRS_MS, T_MS = (-180.0, -80.0), (-45.0, 45.0), (170.0, 350.0)
"""Onset and end of each wave from the middle of the QRS."""
REACH_S = 0.4
"""Beyond it a beat is 0."""
FACTORS = (1.0, 0.8, -0.4, -0.9, 0.6, 0.5, -0.5, 0.7, 1.2, 1.4, 1.1, 0.9)
"""What each lead sees of the same beat."""
LEADS = ("I", "II", "III", "aVR", "aVL", "aVF", "V1", "V2", "V3", "V4", "V5", "V6")


@dataclass(frozen=True, kw_only=True)
class WrittenEcg:
    """A recording and where its beats stand, in seconds."""

    recording: Recording
    beats_s: FloatArray


WriteEcg = Callable[..., WrittenEcg]


@pytest.fixture
def write_ecg() -> WriteEcg:
    return _write_ecg


def _write_ecg(
    *,
    rate_hz: float = 500.0,
    duration_s: float = 10.0,
    rr_s: float = 0.8,
    lead_count: int = 12,
    p_uv: float = 120.0,
    qrs_uv: float = 1000.0,
    t_uv: float = 300.0,
    noise_uv: float = 2.0,
    wide_beats: tuple[int, ...] = (),
    unevenness: float = 0.0,
) -> WrittenEcg:
    """Beats of raised cosines for P and T and a triangle for the QRS, evenly apart or not quite."""
    times_s = np.arange(round(duration_s * rate_hz)) / rate_hz
    beats_s = np.arange(0.5 * rr_s, duration_s - 0.05, rr_s)
    beats_s += unevenness * rr_s * np.random.default_rng(11).uniform(-0.5, 0.5, beats_s.shape)
    beat = np.zeros_like(times_s)
    for number, at_s in enumerate(beats_s):
        first, last = np.searchsorted(times_s, (at_s - REACH_S, at_s + REACH_S))
        from_ms = (times_s[first:last] - at_s) * 1000.0
        wide = number in wide_beats
        here = beat[first:last]
        here += 0.0 if wide else p_uv * _hump(from_ms, *P_MS)
        here += qrs_uv * _triangle(from_ms, *((-85.0, 85.0) if wide else QRS_MS))
        here += (-t_uv if wide else t_uv) * _hump(from_ms, *T_MS)
    noise = np.random.default_rng(7).normal(0.0, noise_uv, (lead_count, times_s.shape[0]))
    samples = np.array(FACTORS[:lead_count])[:, None] * beat + noise
    recording = Recording(leads=LEADS[:lead_count], microvolts=samples, rate_hz=rate_hz)
    return WrittenEcg(recording=recording, beats_s=beats_s)


def _hump(from_ms: FloatArray, onset_ms: float, end_ms: float) -> FloatArray:
    phase = np.clip((from_ms - onset_ms) / (end_ms - onset_ms), 0.0, 1.0)
    return 0.5 * (1.0 - np.cos(2.0 * np.pi * phase))


def _triangle(from_ms: FloatArray, onset_ms: float, end_ms: float) -> FloatArray:
    half = 0.5 * (end_ms - onset_ms)
    return np.maximum(0.0, 1.0 - np.abs(from_ms - 0.5 * (onset_ms + end_ms)) / half)
