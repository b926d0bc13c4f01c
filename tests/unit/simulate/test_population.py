from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import Electrode, Sex
from couchside.simulate import (
    Fault,
    FaultKind,
    HeartState,
    Rhythm,
    random_adult,
    random_fault,
    random_patient,
    random_scenario,
    simulate,
    with_random_fault,
)
from couchside.simulate.chance import Chance
from couchside.simulate.electrodes.shapes import fault_uv
from couchside.simulate.population import RECORDED_ELECTRODES, USUAL_SIZES_UV


def test_adults_are_of_both_sexes_and_all_ages() -> None:
    bodies = [random_adult(seed) for seed in range(400)]
    women = sum(body.sex is Sex.FEMALE for body in bodies)
    assert 160 < women < 240
    assert min(body.age_years for body in bodies) < 21.0
    assert max(body.age_years for body in bodies) > 87.0


def test_faults_reach_every_electrode_and_kind_within_their_sizes() -> None:
    faults = [random_fault(seed) for seed in range(600)]
    assert {fault.electrode for fault in faults} == set(RECORDED_ELECTRODES)
    assert {fault.kind for fault in faults} == set(USUAL_SIZES_UV)
    for fault in faults:
        low, high = USUAL_SIZES_UV[fault.kind]
        assert low <= fault.amplitude_uv <= high


def test_about_half_of_a_hospitals_patients_have_a_heart_to_remark_on() -> None:
    states = [random_patient(seed).state for seed in range(400)]
    assert 0.45 < sum(state != HeartState() for state in states) / 400 < 0.62
    assert {state.rhythm for state in states} == set(Rhythm)
    for seed in range(40):
        assert len(simulate(random_patient(seed)).truth.beat_kinds) > 4


@pytest.mark.parametrize(
    ("kind", "measure", "tolerance"),
    [
        (FaultKind.WANDER, np.ptp, 0.02),
        (FaultKind.DRIFT, np.ptp, 0.01),
        (FaultKind.DRYING, np.ptp, 0.01),
        (FaultKind.MAINS, np.ptp, 0.25),
        (FaultKind.MUSCLE, np.std, 0.01),
        (FaultKind.LIMB_TREMOR, np.ptp, 0.25),
        (FaultKind.MOVEMENT, lambda added: np.abs(added).max(), 0.01),
        (FaultKind.POP, lambda added: np.abs(added).max(), 0.15),
    ],
)
@pytest.mark.parametrize("electrode", [Electrode.LA, Electrode.C4])
def test_an_amplitude_measures_what_it_says(
    kind: FaultKind,
    measure: Callable[[NDArray[np.float64]], np.float64],
    tolerance: float,
    electrode: Electrode,
) -> None:
    for seed in range(12):
        fault = Fault(kind=kind, electrode=electrode, amplitude_uv=1000.0)
        added = fault_uv(
            fault, sample_count=5000, rate_hz=500.0, mains_hz=50.0, chance=Chance(seed, "x")
        )
        assert measure(added) == pytest.approx(1000.0, rel=tolerance)


def test_a_fault_changes_nothing_but_itself() -> None:
    good = simulate(random_scenario(5))
    bad = simulate(with_random_fault(random_scenario(5), (FaultKind.MAINS,)))
    (fault,) = bad.truth.faults
    assert fault.kind is FaultKind.MAINS
    assert (good.truth.clean_microvolts == bad.truth.clean_microvolts).all()
    assert (good.truth.beat_samples == bad.truth.beat_samples).all()
