"""A high-pass filter is told by how the line climbs back between beats."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import butter, sosfilt, sosfiltfilt

from couchside.quality import Finding, FindingKind, Reading, Verdict, check
from couchside.quality.signals import prepare_signals
from couchside.quality.undershoot import find_climb
from couchside.recording import Recording
from couchside.simulate import simulate
from couchside.simulate.population import random_patient
from couchside.waves import delineate

SEED = 5003


def _recording() -> Recording:
    return simulate(random_patient(SEED)).recording


def _filtered(recording: Recording, edge_hz: float) -> Recording:
    """First order, run in over the mirrored recording."""
    sections = butter(1, edge_hz, "high", fs=recording.rate_hz, output="sos")
    signal = recording.microvolts
    twice = np.concatenate([signal[:, ::-1], signal], axis=1) - signal[:, -1:]
    return replace(recording, microvolts=sosfilt(sections, twice)[:, signal.shape[1] :])


def _seen(recording: Recording) -> list[Finding]:
    return [
        found
        for found in check(recording).findings
        if found.kind == FindingKind.FILTER and "climb_likeness" in found.figures
    ]


def test_half_a_hertz_is_told_whatever_the_file_states() -> None:
    (found,) = _seen(_filtered(_recording(), 0.5))
    assert found.asks == Verdict.KEEP_WITH_REMARK
    assert "the file states 0.05 Hz" in found.sentence
    assert [hidden.what for hidden in found.hides] == [Reading.ST_LEVEL]
    assert found.confidence < 1.0


def test_the_edge_is_measured() -> None:
    recording = _filtered(_recording(), 0.5)
    waves = delineate(recording)
    climb = find_climb(prepare_signals(recording, waves), waves)
    assert climb is not None
    assert climb.edge_hz == pytest.approx(0.5, abs=0.1)


def test_as_recorded_nothing_is_said() -> None:
    assert _seen(_recording()) == []


def test_a_stated_filter_is_not_told_twice() -> None:
    recording = _filtered(_recording(), 0.5)
    stated = replace(recording, settings=replace(recording.settings, high_pass_hz=0.5))
    assert _seen(stated) == []


def test_a_filter_that_runs_both_ways_leaves_no_trace() -> None:
    recording = _recording()
    sections = butter(1, 0.5, "high", fs=recording.rate_hz, output="sos")
    assert _seen(replace(recording, microvolts=sosfiltfilt(sections, recording.microvolts))) == []


def test_too_short_and_single_leads_say_nothing() -> None:
    recording = _filtered(_recording(), 0.5)
    short = replace(recording, microvolts=recording.microvolts[:, :900])
    alone = replace(recording, leads=("V2",), microvolts=recording.microvolts[7:8])
    for each in (short, alone):
        waves = delineate(each)
        assert find_climb(prepare_signals(each, waves), waves) is None
