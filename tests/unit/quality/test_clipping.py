"""Beats cut off at the end of the recorder's range, and what only looks like it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from couchside.quality import FindingKind, Verdict, check
from couchside.recording import INDEPENDENT_LEADS, Electrode, Recording, twelve_from_eight
from couchside.simulate import Fault, FaultKind, Recorder, get_scenario, random_scenario, simulate

MakeRecording = Callable[..., Recording]


def _in_steps(recording: Recording, *, step_uv: float, range_uv: float) -> Recording:
    eight = np.array([recording.get_lead(name) for name in INDEPENDENT_LEADS])
    steps = np.round(np.clip(eight, -range_uv, range_uv) / step_uv)
    return replace(recording, microvolts=twelve_from_eight(steps) * step_uv)


@pytest.mark.parametrize("step_uv", [1.0, 5.0])
def test_beats_cut_at_the_end_of_the_range_ask_for_another(
    make_recording: MakeRecording, step_uv: float
) -> None:
    whole = _in_steps(make_recording(), step_uv=step_uv, range_uv=5000.0)
    assert whole.get_lead("V4").max() > 1000.0
    assert check(whole).findings == ()
    (found,) = check(_in_steps(whole, step_uv=step_uv, range_uv=700.0)).findings
    assert found.kind == FindingKind.SATURATED
    assert found.asks == Verdict.RECORD_AGAIN
    assert {"V4", "V5"} <= set(found.leads)
    assert not {"III", "aVR", "aVL", "aVF", "V1", "V2"} & set(found.leads)
    assert found.figures["limit_uv"] == 700.0


def test_the_named_scenario_of_a_short_range_is_told() -> None:
    kinds = {found.kind for found in check(simulate(get_scenario("clipped")).recording).findings}
    assert kinds == {FindingKind.SATURATED}


def test_a_lead_cannot_be_cut_below_what_another_lead_shows(make_recording: MakeRecording) -> None:
    recording = make_recording()
    row = recording.leads.index("V2")
    microvolts = recording.microvolts.copy()
    microvolts[row] = np.minimum(microvolts[row], 100.0)
    found = check(replace(recording, microvolts=microvolts)).findings
    assert FindingKind.SATURATED not in {each.kind for each in found}


@pytest.mark.parametrize("resolution_uv", [1.0, 5.0, 20.0, 40.0])
def test_rounded_tops_in_coarse_steps_are_not_cut(resolution_uv: float) -> None:
    recorder = Recorder(resolution_uv=resolution_uv)
    for seed in range(12):
        recording = simulate(replace(random_scenario(seed), recorder=recorder)).recording
        found = check(recording).findings
        assert FindingKind.SATURATED not in {each.kind for each in found}, seed


@pytest.mark.parametrize("electrode", [Electrode.RA, Electrode.LA, Electrode.LL, Electrode.RL])
def test_an_input_at_its_rail_for_a_moment_says_nothing_about_the_gain(
    electrode: Electrode,
) -> None:
    fault = Fault(kind=FaultKind.CONTACT_RAIL, electrode=electrode, start_s=4.0, end_s=7.0)
    scenario = replace(get_scenario("good"), faults=(fault,))
    assessment = check(simulate(scenario).recording)
    kinds = {found.kind for found in assessment.findings}
    assert FindingKind.LOST_CONTACT in kinds
    assert FindingKind.AMPLITUDE not in kinds
    assert assessment.verdict == Verdict.RECORD_AGAIN
