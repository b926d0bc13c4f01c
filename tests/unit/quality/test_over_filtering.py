"""A low-pass filter is told from the signal, and a slow heart is not taken for one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from couchside.quality import Finding, FindingKind, Reading, Verdict, check
from couchside.quality.over_filtering import measure_fall_db, measure_noise_hz
from couchside.quality.signals import prepare_signals
from couchside.recording import Recording
from couchside.simulate import simulate
from couchside.simulate.population import random_patient
from couchside.waves import delineate

FloatArray = NDArray[np.float64]
MakeRecording = Callable[..., Recording]


def _filtered(recording: Recording, edge_hz: float) -> Recording:
    sections = butter(4, edge_hz, fs=recording.rate_hz, output="sos")
    return replace(recording, microvolts=np.round(sosfilt(sections, recording.microvolts)))


def _seen(recording: Recording) -> list[Finding]:
    return [
        found
        for found in check(recording).findings
        if found.kind == FindingKind.FILTER and "high_frequency_db" in found.figures
    ]


def test_a_filter_of_40_hz_is_told_whatever_the_file_states(make_recording: MakeRecording) -> None:
    (found,) = _seen(_filtered(make_recording(), 40.0))
    assert found.asks == Verdict.KEEP_WITH_REMARK
    assert "the file states 150 Hz" in found.sentence
    assert found.remedy == "Set the low-pass filter to 150 Hz."
    assert [hidden.what for hidden in found.hides] == [Reading.VOLTAGES]
    assert found.confidence < 1.0


def test_a_file_that_states_nothing_is_told_so(make_recording: MakeRecording) -> None:
    recording = _filtered(make_recording(), 40.0)
    silent = replace(recording, settings=replace(recording.settings, low_pass_hz=None))
    (found,) = _seen(silent)
    assert "the file does not state it" in found.sentence


def test_a_stated_filter_is_not_told_twice(make_recording: MakeRecording) -> None:
    recording = _filtered(make_recording(), 40.0)
    stated = replace(recording, settings=replace(recording.settings, low_pass_hz=40.0))
    assert _seen(stated) == []


@pytest.mark.parametrize("edge_hz", [100.0, 150.0])
def test_what_is_recorded_in_full_is_left_alone(
    make_recording: MakeRecording, edge_hz: float
) -> None:
    assert _seen(make_recording()) == []
    assert _seen(_filtered(make_recording(), edge_hz)) == []


@pytest.mark.parametrize("seed", [5000, 5001, 5002])
def test_simulated_people_are_not_told_as_filtered(seed: int) -> None:
    recording = simulate(random_patient(seed)).recording
    assert _seen(recording) == []
    assert len(_seen(_filtered(recording, 40.0))) == 1


def test_slow_sampling_and_silence_say_nothing(make_recording: MakeRecording) -> None:
    slow = make_recording(rate_hz=180.0)
    assert measure_fall_db(prepare_signals(slow, delineate(slow))) == np.inf
    recording = make_recording()
    still = replace(recording, microvolts=np.zeros_like(recording.microvolts))
    signals = prepare_signals(still, delineate(still))
    assert measure_fall_db(signals) == np.inf
    assert measure_noise_hz(signals) == np.inf


def test_the_signs_are_what_they_say(make_recording: MakeRecording, time_s: FloatArray) -> None:
    recording = make_recording()
    sines = 100.0 * np.sin(2 * np.pi * 30.0 * time_s) + 10.0 * np.sin(2 * np.pi * 80.0 * time_s)
    tones = replace(recording, microvolts=np.tile(sines, (len(recording.leads), 1)))
    signals = prepare_signals(tones, delineate(recording))
    expected_db = 20.0 * np.log10(10.0 / 100.0) + 10.0 * np.log10(10.0 / 25.0)
    assert measure_fall_db(signals) == pytest.approx(expected_db, abs=0.2)
    tone = np.tile(np.sin(2 * np.pi * 80.0 * time_s), (len(recording.leads), 1))
    fast = prepare_signals(replace(recording, microvolts=tone), delineate(recording))
    assert measure_noise_hz(fast) == pytest.approx(80.0, rel=0.05)
