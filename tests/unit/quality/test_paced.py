"""Impulses of a pacemaker are no fault of an electrode, and pops are no pacemaker."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality import FindingKind, check
from couchside.quality.spoils import weigh
from couchside.recording import ELECTRODES, Electrode, Recording, get_lead_matrix
from couchside.simulate import get_scenario, simulate
from couchside.waves import delineate
from couchside.waves.pacing import find_pacing_spikes

FloatArray = NDArray[np.float64]
FAULTS = {FindingKind.POP, FindingKind.LOOSE_CONTACT, FindingKind.MUSCLE_TREMOR}


@pytest.fixture(scope="module")
def paced() -> Recording:
    return simulate(get_scenario("paced")).recording


def _add_at(recording: Recording, electrode: Electrode, noise: FloatArray) -> Recording:
    column = get_lead_matrix(recording.leads)[:, ELECTRODES.index(electrode)]
    return replace(recording, microvolts=recording.microvolts + column[:, None] * noise)


def _before_p(recording: Recording) -> Recording:
    """Another impulse before each beat, as of an atrial lead, with a recorder's slow ringing."""
    waves = delineate(recording)
    noise = np.zeros(recording.sample_count)
    for sample in waves.beat_samples:
        place = int(sample) - round(0.2 * recording.rate_hz)
        if place > 0:
            noise[place : place + 3] += (1500.0, -700.0, 300.0)
    seen = np.array([0.5, 0.3, -0.4, 0.0, 0.6, 0.8, 1.0, 0.9, 0.7, 0.6])
    for electrode, share in zip(ELECTRODES, seen, strict=True):
        recording = _add_at(recording, electrode, share * noise)
    return recording


def _pops(recording: Recording) -> FloatArray:
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    noise = np.zeros(recording.sample_count)
    for start_s, height_uv in ((1.27, 2000.0), (4.71, -1500.0), (7.93, 1800.0)):
        there = seconds >= start_s
        noise[there] += height_uv * np.exp(-(seconds[there] - start_s) / 0.2)
    return noise


def test_a_paced_recording_is_not_told_as_pops_or_tremor(paced: Recording) -> None:
    for recording in (paced, _before_p(paced)):
        assert find_pacing_spikes(recording, delineate(recording)).count > 0
        assert not FAULTS & {found.kind for found in check(recording).findings}


def test_impulses_are_bridged_only_where_something_is_noticed(paced: Recording) -> None:
    recording = _before_p(paced)
    waves = delineate(recording)
    signals, _ = weigh(recording, waves)
    spikes = find_pacing_spikes(recording, waves)
    assert not np.array_equal(
        signals.microvolts[:, spikes.samples], recording.microvolts[:, spikes.samples]
    )


def test_pops_beside_pacing_are_told_with_their_electrode(paced: Recording) -> None:
    findings = check(_add_at(paced, Electrode.C4, _pops(paced))).findings
    (pop,) = [found for found in findings if found.kind == FindingKind.POP]
    assert pop.electrodes == (Electrode.C4,)


def test_pops_are_no_pacing() -> None:
    recording = simulate(get_scenario("left-axis")).recording
    for electrode in (Electrode.RA, Electrode.C2):
        popping = _add_at(recording, electrode, _pops(recording))
        assert find_pacing_spikes(popping, delineate(popping)).count == 0
        assert FindingKind.POP in {found.kind for found in check(popping).findings}
