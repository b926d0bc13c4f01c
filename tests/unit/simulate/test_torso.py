from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.recording import Electrode, Placement, Sex, get_lead_matrix
from couchside.simulate import Body, ElectrodeShift, Scenario, Simulation, simulate
from couchside.simulate.torso import Site, electrode_vectors, moved, point_on_torso, sites_for
from couchside.simulate.torso.lead_field import ball_field

Samples = NDArray[np.float64]
SEEDS = pytest.mark.parametrize("seed", range(10))


def _simulate(
    seed: int,
    placement: Placement = Placement.STANDARD,
    shifts: tuple[ElectrodeShift, ...] = (),
    age_years: float = 50.0,
) -> Simulation:
    body = Body(age_years=age_years, sex=Sex.MALE, heart_seed=seed)
    return simulate(
        Scenario(
            name="x",
            title="",
            seed=seed,
            body=body,
            placement=placement,
            shifts=shifts,
            placing_error_cm=0.0,
        )
    )


def _lead(simulation: Simulation, name: str) -> Samples:
    row = simulation.recording.leads.index(name)
    onset = int(simulation.truth.overall.p_onset[2])
    samples = simulation.truth.clean_microvolts[row]
    wave: Samples = samples[onset : int(simulation.truth.overall.qrs_offset[2])]
    return wave


def _p_part(simulation: Simulation, name: str) -> Samples:
    overall = simulation.truth.overall
    wave = _lead(simulation, name)
    return wave[: int(overall.p_offset[2] - overall.p_onset[2])]


def test_a_centimetre_is_a_centimetre_on_the_skin() -> None:
    start = Site(around_deg=20.0, down_cm=0.0)
    way = point_on_torso(moved(start, left_cm=1.0, down_cm=0.0)) - point_on_torso(start)
    assert np.linalg.norm(way) == pytest.approx(1.0, abs=0.02)
    down = point_on_torso(moved(start, left_cm=0.0, down_cm=-3.0)) - point_on_torso(start)
    assert down.tolist() == pytest.approx([0.0, -3.0, 0.0])


@pytest.mark.parametrize("depth", [0.0, 0.3, 0.6])
def test_the_field_of_a_ball_agrees_with_its_series(depth: float) -> None:
    """A dipole along the axis at depth f: Σ (2n+1) fⁿ⁻¹ Pₙ(cos θ), worked out from the condition
    that no current leaves the ball; 200 terms leave less than 1e-9 at f = 0.6."""
    angles = np.linspace(0.1, np.pi - 0.1, 9)
    outward = np.array([np.sin(angles), 0.0 * angles, np.cos(angles)]).T
    weights = [0.0] + [(2 * n + 1) * depth ** (n - 1) for n in range(1, 200)]
    series = np.polynomial.legendre.legval(np.cos(angles), weights)
    closed = ball_field(outward, np.array([0.0, 0.0, depth]))[:, 2]
    np.testing.assert_allclose(closed, series, atol=1e-9)


@SEEDS
def test_v1_two_spaces_up_turns_p_down_and_loses_r(seed: int) -> None:
    """García-Niebla 2012: P in V1 wholly negative with V1 and V2 high."""
    up = tuple(
        ElectrodeShift(electrode=electrode, down_cm=-6.0)
        for electrode in (Electrode.C1, Electrode.C2)
    )
    usual, high = _simulate(seed), _simulate(seed, shifts=up)
    p_high = _p_part(high, "V1")
    assert p_high.max() < _p_part(usual, "V1").max()
    assert p_high.max() < -p_high.min() / 4
    assert _lead(high, "V2").max() < _lead(usual, "V2").max()
    row = usual.recording.leads.index("V5")
    np.testing.assert_array_equal(
        high.truth.clean_microvolts[row], usual.truth.clean_microvolts[row]
    )


@SEEDS
def test_torso_electrodes_turn_the_axis_downwards(seed: int) -> None:
    """Papouchado 1987: R falls in I, rises in II, III and aVF."""
    usual, torso = _simulate(seed), _simulate(seed, Placement.TORSO)
    first = get_lead_matrix(("I",)) @ electrode_vectors(sites_for(Placement.TORSO))
    assert first[0, 0] < 0.632
    assert _lead(torso, "aVF").sum() > _lead(usual, "aVF").sum()


@SEEDS
def test_the_right_chest_sees_little_r(seed: int) -> None:
    usual, right = _simulate(seed), _simulate(seed, Placement.RIGHT_SIDED)
    assert np.ptp(_lead(right, "V6R")) < np.ptp(_lead(usual, "V6"))


@SEEDS
def test_the_back_sees_smaller_and_upright_waves(seed: int) -> None:
    usual, back = _simulate(seed), _simulate(seed, Placement.POSTERIOR)
    assert np.ptp(_lead(back, "V8")) < np.ptp(_lead(usual, "V5"))


def test_a_centimetre_goes_further_on_a_child() -> None:
    aside = (ElectrodeShift(electrode=Electrode.C2, left_cm=1.5),)
    change = {
        age: np.abs(
            _lead(_simulate(1, shifts=aside, age_years=age), "V2")
            - _lead(_simulate(1, age_years=age), "V2")
        ).max()
        / np.ptp(_lead(_simulate(1, age_years=age), "V2"))
        for age in (1.0, 50.0)
    }
    assert change[1.0] > change[50.0]


def test_the_legs_are_nearly_one_point() -> None:
    vectors = electrode_vectors(sites_for(Placement.STANDARD))
    difference = vectors[3, :3] - vectors[2, :3]
    assert 0.0 < np.linalg.norm(difference) < 0.1
