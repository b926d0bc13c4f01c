"""A recorder's own pulse is known by its signal, right or wrong; a person never is one."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from tests.unit.quality.test_calibration_pulse import make_pulse

import couchside
from couchside.quality.pulse_recording import is_pulse_recording
from couchside.recording import INDEPENDENT_LEADS, Recording
from couchside.simulate import demo_round, simulate


@pytest.mark.parametrize(
    "recording",
    [
        make_pulse(),
        make_pulse(rate_hz=1000.0),
        make_pulse(rate_hz=250.0),
        make_pulse(height_uv=700.0),
        make_pulse(height_uv=1400.0),
        make_pulse(width_ms=150.0),
        make_pulse(noise_uv=20.0),
        make_pulse(time_constant_s=0.32),
    ],
    ids=["right", "1000 Hz", "250 Hz", "low", "high", "short", "noisy", "narrow filter"],
)
def test_a_pulse_is_known_be_it_right_or_wrong(recording: Recording) -> None:
    assert is_pulse_recording(recording)


def test_a_pulse_is_known_by_eight_leads_and_with_a_dead_one() -> None:
    recording = make_pulse()
    rows = [list(recording.leads).index(lead) for lead in INDEPENDENT_LEADS]
    eight = replace(recording, leads=INDEPENDENT_LEADS, microvolts=recording.microvolts[rows])
    assert is_pulse_recording(eight)
    samples = recording.microvolts.copy()
    samples[7], samples[3] = np.nan, 0.0
    assert is_pulse_recording(replace(recording, microvolts=samples))


def test_mains_on_a_pulse_does_not_hide_it() -> None:
    recording = make_pulse()
    seconds = np.arange(recording.sample_count) / recording.rate_hz
    for mains_hz in (50.0, 60.0):
        mains = 50.0 * np.sin(2.0 * np.pi * mains_hz * seconds)
        assert is_pulse_recording(replace(recording, microvolts=recording.microvolts + mains))


def test_no_recording_of_the_simulated_round_is_a_pulse() -> None:
    for scenario in demo_round():
        assert not is_pulse_recording(simulate(scenario).recording), scenario.name


def test_a_person_after_a_pulse_is_a_person() -> None:
    person = simulate(demo_round()[0]).recording
    pulse = make_pulse(rate_hz=person.rate_hz)
    both = np.hstack([pulse.microvolts, person.microvolts])
    assert not is_pulse_recording(replace(person, microvolts=both))


def test_a_body_between_the_electrodes_gives_no_pulse_in_all_limb_leads() -> None:
    recording = make_pulse(noise_uv=0.0)
    weights = {"III": 0.0, "aVR": -1.0, "aVL": 0.5, "aVF": 0.5, "V1": -0.4, "V2": 0.2, "V3": 0.3}
    factors = np.array([weights.get(str(lead), 1.0) for lead in recording.leads])
    through_a_body = replace(recording, microvolts=factors[:, np.newaxis] * recording.microvolts)
    assert not is_pulse_recording(through_a_body)


@pytest.mark.data
@pytest.mark.parametrize("database", ["ludb", "ptbxl", "cinc2011", "cinc2020"])
def test_no_open_recording_of_a_person_is_a_pulse(open_data: Path, database: str) -> None:
    """Every fifth of them; decision 0017 says what all of them came to."""
    headers = sorted((open_data / database).rglob("*.hea"))[::5]
    assert len(headers) > 20
    taken = [each.stem for each in headers if is_pulse_recording(couchside.read(each))]
    assert taken == []


def test_what_cannot_be_one_is_none() -> None:
    assert not is_pulse_recording(make_pulse(height_uv=0.0))
    assert not is_pulse_recording(make_pulse(rate_hz=50.0))
    long = make_pulse()
    assert not is_pulse_recording(replace(long, microvolts=np.tile(long.microvolts, 16)))
