"""Noise put in at electrodes through the lead matrix comes back to those electrodes."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from couchside.quality.attribution import SOLVABLE_ELECTRODES, solve_powers
from couchside.quality.blame import find_blame, how_sure
from couchside.quality.sources import choose_leads
from couchside.recording import (
    ELECTRODES,
    INDEPENDENT_LEADS,
    STANDARD_LEADS,
    Electrode,
    get_lead_matrix,
)

FloatArray = NDArray[np.float64]
LEADS = tuple(map(str, INDEPENDENT_LEADS))


def _exact_covariance(powers: dict[Electrode, float]) -> FloatArray:
    matrix = get_lead_matrix(INDEPENDENT_LEADS)
    columns = {each: matrix[:, ELECTRODES.index(each)] for each in powers}
    covariance: FloatArray = np.zeros((len(LEADS), len(LEADS)))
    for electrode, power in powers.items():
        covariance += power * np.outer(columns[electrode], columns[electrode])
    return covariance


@pytest.mark.parametrize("electrode", SOLVABLE_ELECTRODES)
def test_one_electrode_is_found_exactly(electrode: Electrode) -> None:
    covariance = _exact_covariance({electrode: 50.0**2})
    solved = solve_powers(covariance, LEADS)
    at = SOLVABLE_ELECTRODES.index(electrode)
    # an exact covariance leaves only rounding of double precision
    assert solved.noise_rms_uv[at] == pytest.approx(50.0, rel=1e-9)
    assert np.delete(solved.noise_rms_uv, at).max() < 1e-3
    assert solved.fit == pytest.approx(1.0)
    blame = find_blame(covariance, LEADS, 5.0)
    assert blame.sources == (electrode,)
    assert blame.source_rms_uv[0] == pytest.approx(50.0)
    assert blame.share == pytest.approx(1.0)
    assert blame.confidence > 0.8


@pytest.mark.parametrize("pair", list(combinations(SOLVABLE_ELECTRODES, 2)))
def test_two_electrodes_are_found_strongest_first(pair: tuple[Electrode, Electrode]) -> None:
    covariance = _exact_covariance({pair[0]: 100.0**2, pair[1]: 70.0**2})
    solved = solve_powers(covariance, LEADS)
    order = np.argsort(-solved.noise_rms_uv)[:2]
    assert tuple(SOLVABLE_ELECTRODES[each] for each in order) == pair
    assert set(find_blame(covariance, LEADS, 10.0).sources) == set(pair)


def test_noises_that_go_together_still_lie_in_the_span_of_their_electrodes() -> None:
    wave = np.sin(np.arange(2000) / 50.0)
    matrix = get_lead_matrix(INDEPENDENT_LEADS)
    right, third = (matrix[:, [ELECTRODES.index(e)]] for e in (Electrode.RA, Electrode.C3))
    noise = (right * 300.0 + third * 200.0) * wave
    covariance = noise @ noise.T / noise.shape[1]
    blame = find_blame(covariance, LEADS, 20.0)
    assert blame.sources == (Electrode.RA, Electrode.C3)
    # rms of a sine is its height over the root of two; 2000 samples are no whole periods
    assert blame.source_rms_uv == pytest.approx([300 / 2**0.5, 200 / 2**0.5], rel=0.02)


def test_noise_of_all_electrodes_blames_none_of_them_alone() -> None:
    covariance = _exact_covariance(dict.fromkeys(SOLVABLE_ELECTRODES, 40.0**2))
    assert find_blame(covariance, LEADS, 5.0).sources == ()
    assert solve_powers(covariance, LEADS).noise_rms_uv == pytest.approx(np.full(9, 40.0))


def test_a_heart_left_over_in_every_lead_blames_no_electrode() -> None:
    shape = np.array([0.5, 0.7, -0.6, -0.4, 0.4, 1.0, 0.9, 0.7]) * 300.0
    assert find_blame(np.outer(shape, shape), LEADS, 20.0).sources == ()


def test_silence_blames_nobody() -> None:
    assert find_blame(np.zeros((8, 8)), LEADS, 5.0).sources == ()
    assert solve_powers(np.zeros((8, 8)), LEADS).fit == 0.0


def test_leads_are_chosen_to_be_independent() -> None:
    assert choose_leads(tuple(map(str, STANDARD_LEADS))) == LEADS
    assert choose_leads(("aVF", "V2", "III")) == ("III", "aVF", "V2")
    assert choose_leads(("II", "V1", "V2")) is None


def test_an_electrode_without_its_lead_is_unknown() -> None:
    covariance = np.diag([1.0, 1.0, 1.0])
    solved = solve_powers(covariance, ("I", "II", "V1"))
    unknown = [
        e for e, rms in zip(solved.electrodes, solved.noise_rms_uv, strict=True) if np.isnan(rms)
    ]
    assert unknown == [Electrode.C2, Electrode.C3, Electrode.C4, Electrode.C5, Electrode.C6]


def test_without_a_margin_it_is_a_coin_toss_and_nothing_is_certain() -> None:
    sure = [how_sure(margin) for margin in (-0.5, 0.0, 0.3, 0.6, 0.9, 1.0, 1.5)]
    assert sure[:2] == [0.5, 0.5]
    assert sure == sorted(sure)
    assert sure[-2:] == [0.99, 0.99]
