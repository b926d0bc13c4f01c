from __future__ import annotations

from couchside.recording import Sex
from couchside.simulate import (
    FaultKind,
    random_adult,
    random_fault,
    random_scenario,
    simulate,
    with_random_fault,
)
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


def test_a_fault_changes_nothing_but_itself() -> None:
    good = simulate(random_scenario(5))
    bad = simulate(with_random_fault(random_scenario(5), (FaultKind.MAINS,)))
    (fault,) = bad.truth.faults
    assert fault.kind is FaultKind.MAINS
    assert (good.truth.clean_microvolts == bad.truth.clean_microvolts).all()
    assert (good.truth.beat_samples == bad.truth.beat_samples).all()
