from __future__ import annotations

from dataclasses import replace
from datetime import UTC

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from couchside.recording import ELECTRODES, Electrode, Patient, Placement, Sex, get_lead_matrix
from couchside.simulate import (
    AvBlock,
    Body,
    Conduction,
    Contact,
    ElectrodeShift,
    Fault,
    FaultKind,
    HeartState,
    Recorder,
    Rhythm,
    Room,
    Scenario,
    Territory,
    scenario_from_toml,
    scenario_to_toml,
    simulate,
)
from couchside.simulate.cables import limb_arrangements
from couchside.simulate.population import RECORDED_ELECTRODES

SLOW = settings(max_examples=40, deadline=None)

sexes = st.sampled_from([Sex.FEMALE, Sex.MALE, Sex.OTHER])
bodies = st.builds(
    Body,
    age_years=st.floats(0.0, 100.0),
    sex=sexes,
    heart_seed=st.integers(0, 2**31),
)
shapes = {
    "rate_per_min": st.none() | st.floats(30.0, 200.0),
    "axis_deg": st.none() | st.floats(-180.0, 180.0),
    "voltage_scale": st.floats(0.3, 2.0),
    "dextrocardia": st.booleans(),
    "st_territory": st.none() | st.sampled_from(Territory),
    "st_shift_uv": st.floats(0.0, 500.0),
}
states = st.one_of(
    st.builds(
        HeartState,
        conduction=st.sampled_from(Conduction),
        av_block=st.sampled_from([AvBlock.NONE, AvBlock.FIRST_DEGREE]),
        premature_atrial_share=st.floats(0.0, 0.5),
        premature_ventricular_share=st.floats(0.0, 0.5),
        **shapes,
    ),
    st.builds(HeartState, av_block=st.sampled_from(AvBlock), **shapes),
    st.builds(HeartState, rhythm=st.sampled_from(Rhythm), **shapes),
)
electrodes = st.sampled_from(ELECTRODES)
faults = st.builds(
    Fault,
    kind=st.sampled_from(sorted(set(FaultKind) - {FaultKind.RECORDED})),
    electrode=electrodes,
    amplitude_uv=st.floats(0.0, 5000.0),
    start_s=st.floats(0.0, 2.0),
    end_s=st.none() | st.floats(2.5, 9.0),
    frequency_hz=st.none() | st.floats(4.0, 61.0),
)
recorders = st.builds(
    Recorder,
    rate_hz=st.sampled_from([250.0, 360.0, 500.0, 1000.0]),
    high_pass_hz=st.sampled_from([0.05, 0.5]),
    low_pass_hz=st.sampled_from([40.0, 100.0, 150.0, 250.0]),
    notch_hz=st.sampled_from([None, 50.0, 60.0]),
    resolution_uv=st.sampled_from([0.5, 1.0, 2.44, 5.0]),
    range_uv=st.sampled_from([1000.0, 5000.0, 10_000.0]),
    dropped_spans_s=st.sampled_from([(), ((1.0, 1.2),)]),
)
scenarios = st.builds(
    Scenario,
    name=st.just("any"),
    title=st.text(max_size=20),
    seed=st.integers(0, 2**32),
    body=bodies,
    state=states,
    patient=st.builds(Patient, family_name=st.text(max_size=12), sex=sexes),
    start=st.none() | st.datetimes(timezones=st.just(UTC)),
    duration_s=st.floats(2.0, 5.0),
    placement=st.sampled_from(Placement),
    shifts=st.lists(
        st.builds(
            ElectrodeShift,
            electrode=electrodes,
            left_cm=st.floats(-5.0, 5.0),
            down_cm=st.floats(-6.0, 6.0),
        ),
        max_size=2,
    ).map(tuple),
    contacts=st.lists(
        st.builds(Contact, electrode=electrodes, impedance_kohm=st.floats(1.0, 900.0)), max_size=2
    ).map(tuple),
    faults=st.lists(faults, max_size=2).map(tuple),
    cables=st.sampled_from(limb_arrangements()),
    recorder=recorders,
    room=st.builds(Room, mains_hz=st.sampled_from([50.0, 59.9, 60.0])),
)


@SLOW
@given(scenarios)
def test_any_scenario_makes_a_recording_and_makes_it_again(scenario: Scenario) -> None:
    first, second = simulate(scenario), simulate(scenario)
    np.testing.assert_array_equal(first.recording.microvolts, second.recording.microvolts)
    wanted = round(scenario.duration_s * scenario.recorder.rate_hz)
    assert first.recording.microvolts.shape == (12, wanted)
    steps = first.recording.microvolts / scenario.recorder.resolution_uv
    known = steps[:, ~np.isnan(steps[0])]
    np.testing.assert_allclose(known, np.round(known), atol=1e-6)


@SLOW
@given(scenarios)
def test_any_scenario_survives_the_way_through_text(scenario: Scenario) -> None:
    assert scenario_from_toml(scenario_to_toml(scenario)) == scenario


@SLOW
@given(scenarios)
def test_waves_come_in_their_order_within_the_recording(scenario: Scenario) -> None:
    simulation = simulate(scenario)
    truth, last = simulation.truth, simulation.recording.sample_count - 1
    for bounds in (truth.p, truth.qrs, truth.t):
        there = ~np.isnan(bounds.onset)
        assert (there == ~np.isnan(bounds.offset)).all()
        assert (bounds.onset[there] <= bounds.peak[there]).all()
        assert (bounds.peak[there] <= bounds.offset[there]).all()
        assert (bounds.onset[there] >= -1.0).all()
        assert (bounds.offset[there] <= last + 1.0).all()
    assert (np.diff(truth.beat_samples) > 0).all()
    both = ~np.isnan(truth.overall.p_onset)
    assert (truth.overall.p_onset[both] < truth.overall.qrs_onset[both]).all()
    assert len(truth.beat_kinds) == len(truth.beat_samples)


@SLOW
@given(
    st.integers(0, 10_000),
    st.sampled_from(RECORDED_ELECTRODES),
    st.sampled_from([FaultKind.WANDER, FaultKind.MAINS, FaultKind.MUSCLE, FaultKind.POP]),
)
def test_a_fault_at_an_electrode_enters_the_leads_by_their_weights(
    seed: int, electrode: Electrode, kind: FaultKind
) -> None:
    """The recorder is linear up to its steps, so what a fault adds is one course for all leads."""
    body = Body(age_years=50.0, sex=Sex.FEMALE, heart_seed=seed)
    recorder = Recorder(resolution_uv=0.01)
    good = Scenario(name="good", title="", seed=seed, body=body, recorder=recorder, duration_s=3.0)
    fault = Fault(kind=kind, electrode=electrode, amplitude_uv=800.0)
    bad = replace(good, faults=(fault,))
    added = simulate(bad).recording.microvolts - simulate(good).recording.microvolts
    weights = get_lead_matrix()[:, ELECTRODES.index(electrode)]
    course = added[int(np.abs(weights).argmax())] / weights[np.abs(weights).argmax()]
    np.testing.assert_allclose(added, np.outer(weights, course), atol=0.05)
