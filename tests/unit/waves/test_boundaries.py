from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise
from types import ModuleType
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest

from couchside.waves import boundaries_p, boundaries_qrs, boundaries_t, delineate
from couchside.waves.combine import EdgeRule

WriteEcg = Callable[..., Any]

P_MS, QRS_MS, T_MS = (-180.0, -80.0), (-45.0, 45.0), (170.0, 350.0)

NEAR_MS = 20.0
"""The rules are fitted to experts, who see a raised cosine begin only when it has risen by some
percent, and who mark a QRS wider than its exact edges."""


@pytest.mark.parametrize("rate_hz", [250.0, 500.0, 1000.0])
def test_boundaries_stand_where_they_were_written(write_ecg: WriteEcg, rate_hz: float) -> None:
    written = write_ecg(rate_hz=rate_hz)
    waves = delineate(written.recording)
    beats_ms = written.beats_s * 1000.0
    for bounds, (onset_ms, end_ms) in ((waves.p, P_MS), (waves.qrs, QRS_MS), (waves.t, T_MS)):
        for found, expected_ms in ((bounds.onset, onset_ms), (bounds.offset, end_ms)):
            error_ms = found * 1000.0 / rate_hz - beats_ms - expected_ms
            assert np.nanmax(np.abs(error_ms)) < NEAR_MS
            assert np.isfinite(error_ms[:, 1:-1]).all()


def test_peaks_stand_where_they_were_written(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    waves = delineate(written.recording)
    beats_ms = written.beats_s * 1000.0
    for bounds, middle_ms in ((waves.p, -130.0), (waves.qrs, 0.0), (waves.t, 260.0)):
        error_ms = bounds.peak * 2.0 - beats_ms - middle_ms
        # Noise of 2 µV moves the top of a wave of 50 µV by two or three samples at 250 Hz.
        assert np.nanmax(np.abs(error_ms)) < 13.0


def test_waves_keep_their_order(write_ecg: WriteEcg) -> None:
    waves = delineate(write_ecg().recording)
    steps = (
        waves.p.onset,
        waves.p.peak,
        waves.p.offset,
        waves.qrs.onset,
        waves.qrs.peak,
        waves.qrs.offset,
        waves.t.onset,
        waves.t.peak,
        waves.t.offset,
    )
    for earlier, later in pairwise(steps):
        both = np.isfinite(earlier) & np.isfinite(later)
        assert (earlier[both] <= later[both]).all()


def test_without_p_waves_none_is_found(write_ecg: WriteEcg) -> None:
    waves = delineate(write_ecg(p_uv=0.0, noise_uv=8.0).recording)
    assert np.isnan(waves.p.onset).all()
    assert waves.representative is not None
    assert np.isnan(waves.representative.overall.p_onset)
    assert np.isfinite(waves.representative.overall.t_offset)


def test_fibrillation_waves_are_not_p_waves(write_ecg: WriteEcg) -> None:
    written = write_ecg(p_uv=0.0, unevenness=0.4)
    times_s = np.arange(written.recording.sample_count) / 500.0
    flicker = 80.0 * np.sin(2 * np.pi * 6.3 * times_s + 1.5 * np.sin(2 * np.pi * 0.37 * times_s))
    samples = written.recording.microvolts + flicker
    assert np.isnan(delineate(replace(written.recording, microvolts=samples)).p.onset).all()


def test_a_beat_without_its_p_wave_is_given_none(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    bare = write_ecg(p_uv=0.0)
    samples = np.array(written.recording.microvolts)
    middle = round(written.beats_s[5] * 500.0)
    samples[:, middle - 150 : middle - 25] = bare.recording.microvolts[
        :, middle - 150 : middle - 25
    ]
    waves = delineate(replace(written.recording, microvolts=samples))
    assert np.flatnonzero(np.isnan(waves.p.peak[1])).tolist() == [5]


def test_a_lead_without_signal_has_no_boundaries(write_ecg: WriteEcg) -> None:
    written = write_ecg()
    samples = np.array(written.recording.microvolts)
    samples[4] = 0.0
    waves = delineate(replace(written.recording, microvolts=samples))
    for bounds in (waves.p, waves.qrs, waves.t):
        assert np.isnan(bounds.onset[4]).all()
        assert np.isfinite(bounds.onset[5, 1:-1]).all()


def test_nothing_stands_outside_the_recording(write_ecg: WriteEcg) -> None:
    written = write_ecg(rr_s=0.8, duration_s=10.0)
    cut = replace(written.recording, microvolts=written.recording.microvolts[:, 170:4850])
    waves = delineate(cut)
    for bounds in (waves.p, waves.qrs, waves.t):
        for places in (bounds.onset, bounds.peak, bounds.offset):
            known = places[np.isfinite(places)]
            assert known.min() >= 0
            assert known.max() <= cut.sample_count - 1


@pytest.mark.parametrize(
    ("module", "name", "moved_ms"),
    [
        (boundaries_p, "P_ONSET", -40.0),
        (boundaries_p, "P_OFFSET", 40.0),
        (boundaries_qrs, "QRS_ONSET", -20.0),
        (boundaries_qrs, "QRS_OFFSET", 20.0),
        (boundaries_t, "T_ONSET", -40.0),
        (boundaries_t, "T_OFFSET", 40.0),
    ],
)
def test_another_edge_rule_can_be_tried(
    write_ecg: WriteEcg, module: ModuleType, name: str, moved_ms: float
) -> None:
    recording, rule = write_ecg().recording, getattr(module, name)
    shipped = delineate(recording)
    farther = np.where(np.arange(rule.lead.shape[0]) == 0, 10.0, 0.0)
    with patch.object(module, name, EdgeRule(lead=rule.lead + farther, overall=rule.overall)):
        tried = delineate(recording)
    wave, side = name.lower().split("_")
    before, after = (getattr(getattr(waves, wave), side)[:, 3] for waves in (shipped, tried))
    assert np.median(after - before) * 2.0 == pytest.approx(moved_ms, abs=4.0)
