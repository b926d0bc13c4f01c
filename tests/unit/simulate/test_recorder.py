from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from couchside.errors import InvalidInput
from couchside.recording import ELECTRODES, Electrode, get_lead_matrix
from couchside.simulate import (
    Contact,
    Fault,
    FaultKind,
    Recorder,
    Room,
    get_scenario,
    random_scenario,
    simulate,
)


def test_a_recording_states_what_the_recorder_was_set_to() -> None:
    settings = simulate(get_scenario("notch-filter")).recording.settings
    assert (settings.high_pass_hz, settings.low_pass_hz, settings.notch_hz) == (0.05, 150.0, 50.0)
    silent = simulate(get_scenario("filters-not-stated")).recording.settings
    assert silent.high_pass_hz is None


def test_dropped_samples_are_missing_in_every_lead() -> None:
    missing = np.isnan(simulate(get_scenario("dropped-samples")).recording.microvolts)
    assert missing.sum(axis=1).tolist() == [200] * 12


def test_the_range_cuts_the_measured_leads_off() -> None:
    recording = simulate(get_scenario("clipped")).recording
    assert np.abs(recording.get_lead("V4")).max() == 900.0
    assert (np.abs(recording.get_lead("V4")) == 900.0).sum() > 10


def test_an_offset_beyond_the_inputs_silences_the_leads_of_its_electrode() -> None:
    contact = Contact(electrode=Electrode.C3, offset_mv=420.0, drift_uv_per_s=0.0)
    recording = simulate(replace(random_scenario(1), contacts=(contact,))).recording
    assert np.ptp(recording.get_lead("V3")) == 0.0
    assert np.ptp(recording.get_lead("V4")) > 300.0


def test_an_offset_within_the_inputs_does_not_show() -> None:
    contact = Contact(electrode=Electrode.C3, offset_mv=180.0)
    scenario = random_scenario(1)
    usual = simulate(scenario).recording.microvolts
    offset = simulate(replace(scenario, contacts=(contact,))).recording.microvolts
    np.testing.assert_allclose(usual, offset, atol=12.0)


def test_half_the_gain_halves_the_leads() -> None:
    scenario = random_scenario(2)
    whole = simulate(scenario).recording.microvolts
    half = simulate(replace(scenario, recorder=Recorder(gain=0.5))).recording.microvolts
    np.testing.assert_allclose(half, whole / 2.0, atol=2.0)


@pytest.mark.parametrize("rate_hz", [100.0, 250.0, 360.0, 1000.0, 2000.0])
def test_another_rate_records_the_same_heart(rate_hz: float) -> None:
    scenario = random_scenario(4)
    usual = simulate(scenario)
    other = simulate(
        replace(scenario, recorder=Recorder(rate_hz=rate_hz, low_pass_hz=min(150.0, rate_hz / 3)))
    )
    beats = usual.truth.beat_samples / 500.0, other.truth.beat_samples / rate_hz
    np.testing.assert_allclose(beats[0], beats[1], atol=0.011)
    assert other.truth.heart == usual.truth.heart


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"rate_hz": 10.0}, "not in 50"),
        ({"high_pass_hz": 50.0, "low_pass_hz": 40.0}, "is empty"),
        ({"resolution_uv": 0.0}, "above 0"),
        ({"offset_range_mv": -1.0}, "above 0"),
    ],
)
def test_a_recorder_that_cannot_be_is_refused(settings: dict[str, float], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        Recorder(**settings)  # type: ignore[arg-type]


def _mains_uv(impedances: dict[Electrode, float]) -> dict[str, float]:
    contacts = tuple(
        Contact(electrode=electrode, impedance_kohm=kohm) for electrode, kohm in impedances.items()
    )
    scenario = replace(
        random_scenario(6), contacts=contacts, room=Room(restlessness=0.0, mains_hz=50.0)
    )
    recording = simulate(scenario).recording
    turns = np.exp(-2j * np.pi * 50.0 * np.arange(5000) / 500.0)
    return {lead: 2.0 * abs(np.mean(recording.get_lead(lead) * turns)) for lead in recording.leads}


def test_a_dry_electrode_lets_the_mains_in_where_it_counts() -> None:
    usual, dry = _mains_uv({}), _mains_uv({Electrode.LA: 500.0})
    assert max(usual.values()) < 8.0
    assert dry["I"] > 40.0
    assert dry["II"] < 8.0
    assert dry["V3"] == pytest.approx(dry["I"] / 3.0, rel=0.3)


def test_a_dry_right_leg_lets_the_mains_into_all_leads_by_their_imbalance() -> None:
    even = _mains_uv({Electrode.RL: 2000.0})
    uneven = _mains_uv({Electrode.RL: 2000.0, Electrode.C2: 300.0})
    assert uneven["V2"] > 3.0 * even["V2"]
    assert even["V5"] == pytest.approx(uneven["V5"], abs=2.0)


def test_without_the_right_leg_all_leads_are_lost() -> None:
    scenario = random_scenario(8)
    for kind in (FaultKind.CONTACT_FLAT, FaultKind.CONTACT_FLOATING, FaultKind.CONTACT_RAIL):
        fault = Fault(kind=kind, electrode=Electrode.RL, amplitude_uv=4000.0)
        lost = simulate(replace(scenario, faults=(fault,)))
        added = lost.recording.microvolts - simulate(scenario).recording.microvolts
        assert (added.std(axis=1) > 40.0).sum() >= 10, kind


@pytest.mark.parametrize("electrode", [Electrode.RA, Electrode.LA, Electrode.LL, Electrode.C4])
@pytest.mark.parametrize("high_pass_hz", [0.05, 0.5])
def test_an_input_at_its_rail_stays_there_behind_any_high_pass(
    electrode: Electrode, high_pass_hz: float
) -> None:
    recorder = Recorder(high_pass_hz=high_pass_hz, range_uv=5000.0, resolution_uv=40.0)
    fault = Fault(kind=FaultKind.CONTACT_RAIL, electrode=electrode, start_s=2.0, end_s=8.0)
    scenario = replace(random_scenario(5), recorder=recorder, faults=(fault,))
    microvolts = simulate(scenario).recording.microvolts[:, 1000:4000]
    reached = get_lead_matrix()[:, ELECTRODES.index(electrode)]
    assert (microvolts[reached > 0.0] == 5000.0).all()
    assert (microvolts[reached < 0.0] == -5000.0).all()
    assert (np.abs(microvolts[reached == 0.0]) < 5000.0).all()


def test_samples_that_were_lost_stay_lost_at_the_rail() -> None:
    recorder = Recorder(dropped_spans_s=((3.0, 3.5),))
    fault = Fault(kind=FaultKind.CONTACT_RAIL, electrode=Electrode.C2)
    lost = simulate(replace(random_scenario(5), recorder=recorder, faults=(fault,))).recording
    assert np.isnan(lost.microvolts[:, 1500:1750]).all()
    assert np.isfinite(np.delete(lost.microvolts, np.s_[1500:1750], axis=1)).all()


def test_mains_above_half_the_rate_is_held_back() -> None:
    fault = Fault(kind=FaultKind.MAINS, electrode=Electrode.C1, amplitude_uv=500.0)
    slow = Recorder(rate_hz=100.0, low_pass_hz=40.0)
    scenario = replace(random_scenario(9), recorder=slow, room=Room(mains_hz=60.0))
    noisy = simulate(replace(scenario, faults=(fault,))).recording.microvolts
    np.testing.assert_allclose(noisy, simulate(scenario).recording.microvolts, atol=1e-9)


def test_a_fault_lasts_as_long_as_it_is_said_to() -> None:
    scenario = random_scenario(7)
    fault = Fault(
        kind=FaultKind.MUSCLE, electrode=Electrode.C6, amplitude_uv=100.0, start_s=3.0, end_s=5.0
    )
    good = simulate(scenario).recording.get_lead("V6")
    bad = simulate(replace(scenario, faults=(fault,))).recording.get_lead("V6")
    added = np.abs(bad - good)
    assert added[:1499].max() == 0.0
    assert added[2520:].max() <= 2.0
    assert added[1500:2500].std() > 30.0


@pytest.mark.parametrize(
    ("made", "message"),
    [
        ({"amplitude_uv": -1.0}, "give an amplitude"),
        ({"start_s": 4.0, "end_s": 3.0}, "must end after it starts"),
        ({"frequency_hz": 0.0}, "positive frequency"),
    ],
)
def test_a_fault_that_cannot_be_is_refused(made: dict[str, float], message: str) -> None:
    with pytest.raises(InvalidInput, match=message):
        Fault(kind=FaultKind.MAINS, electrode=Electrode.C1, **made)  # type: ignore[arg-type]
