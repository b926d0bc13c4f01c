from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from couchside.recording import Recording
from couchside.waves import delineate

WriteEcg = Callable[..., Any]

NEAR_S = 0.012
"""The middle QRS peak of noisy, interpolated leads lies within 12 ms of the written one."""


def assert_beats(recording: Recording, beats_s: np.ndarray) -> None:
    found_s = delineate(recording).beat_samples / recording.rate_hz
    assert found_s.shape == beats_s.shape
    assert np.abs(found_s - beats_s).max() < NEAR_S


@pytest.mark.parametrize("per_min", [20, 30, 60, 150, 240])
def test_every_rate_is_found(write_ecg: WriteEcg, per_min: int) -> None:
    slow = per_min <= 60
    written = write_ecg(rr_s=60.0 / per_min, duration_s=30.0, t_uv=300.0 if slow else 0.0, p_uv=0.0)
    assert_beats(written.recording, written.beats_s)


@pytest.mark.parametrize("rate_hz", [100.0, 250.0, 360.0, 1000.0, 2000.0])
def test_every_sampling_rate_is_read(write_ecg: WriteEcg, rate_hz: float) -> None:
    written = write_ecg(rate_hz=rate_hz)
    assert_beats(written.recording, written.beats_s)


@pytest.mark.parametrize("lead_count", [1, 2, 3, 12])
def test_any_number_of_leads_will_do(write_ecg: WriteEcg, lead_count: int) -> None:
    written = write_ecg(lead_count=lead_count)
    assert_beats(written.recording, written.beats_s)


def test_very_small_beats_are_found(write_ecg: WriteEcg) -> None:
    written = write_ecg(qrs_uv=120.0, t_uv=30.0, p_uv=15.0)
    assert_beats(written.recording, written.beats_s)


@pytest.mark.parametrize("fault", ["flat", "missing", "saturated", "noise", "pops"])
def test_a_bad_lead_does_not_spoil_the_others(write_ecg: WriteEcg, fault: str) -> None:
    written = write_ecg()
    samples = np.array(written.recording.microvolts)
    samples[3] = _spoil(samples[3], fault)
    assert_beats(replace(written.recording, microvolts=samples), written.beats_s)


def _spoil(lead: np.ndarray, fault: str) -> np.ndarray:
    chance = np.random.default_rng(3)
    if fault == "flat":
        return np.zeros_like(lead)
    if fault == "missing":
        return np.full_like(lead, np.nan)
    if fault == "saturated":
        return np.where(np.arange(lead.shape[0]) % 900 < 450, 5000.0, -5000.0)
    if fault == "noise":
        return lead + chance.normal(0.0, 800.0, lead.shape)
    spoiled = lead.copy()
    spoiled[chance.integers(0, lead.shape[0], 12)] += 20000.0
    return spoiled


@pytest.mark.parametrize("kind", ["flat", "missing", "white noise", "drift"])
def test_where_there_is_no_heart_there_are_no_beats(kind: str) -> None:
    chance = np.random.default_rng(5)
    samples = {
        "flat": np.zeros((3, 5000)),
        "missing": np.full((3, 5000), np.nan),
        "white noise": chance.normal(0.0, 40.0, (3, 5000)),
        "drift": np.cumsum(chance.normal(0.0, 4.0, (3, 5000)), axis=1),
    }[kind]
    waves = delineate(Recording(leads=("I", "II", "V1"), microvolts=samples, rate_hz=500.0))
    assert waves.beat_count == 0
    assert waves.representative is None
    assert waves.p.onset.shape == (3, 0)


def test_a_hole_in_every_lead_costs_only_its_own_beats(write_ecg: WriteEcg) -> None:
    written = write_ecg(duration_s=20.0)
    samples = np.array(written.recording.microvolts)
    samples[:, 5000:6000] = np.nan
    found_s = delineate(replace(written.recording, microvolts=samples)).beat_samples / 500.0
    outside = (written.beats_s < 9.9) | (written.beats_s > 12.1)
    expected = written.beats_s[outside]
    nearest = np.abs(found_s[:, None] - expected).min(axis=0)
    assert nearest.max() < NEAR_S
    assert found_s.shape[0] <= expected.shape[0] + 1


def test_half_an_hour_of_two_leads_is_read_whole(write_ecg: WriteEcg) -> None:
    written = write_ecg(duration_s=1800.0, rate_hz=250.0, lead_count=2)
    assert_beats(written.recording, written.beats_s)


def test_a_second_of_signal_is_not_too_short_to_try(write_ecg: WriteEcg) -> None:
    written = write_ecg(duration_s=1.0)
    assert delineate(written.recording).beat_count <= 1
