"""Least squares under x ≥ 0, against the solver of scipy.optimize."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import nnls

from couchside.quality.attribution import SOLVABLE_ELECTRODES, solve_powers
from couchside.quality.least_squares import NonNegativeSystem
from couchside.quality.sources import choose_leads
from couchside.recording import ELECTRODES, STANDARD_LEADS, get_lead_matrix

FloatArray = NDArray[np.float64]


@pytest.mark.parametrize("unknowns", [1, 3, 9])
@pytest.mark.parametrize("seed", range(40))
def test_the_solution_is_that_of_scipy(unknowns: int, seed: int) -> None:
    chance = np.random.default_rng(seed)
    matrix = chance.normal(size=(36, unknowns))
    targets = np.maximum(chance.normal(size=(2, unknowns)), 0.0) @ matrix.T
    targets += chance.normal(size=targets.shape)
    solutions, residuals = NonNegativeSystem.of(matrix).solve(targets)
    for solution, residual, target in zip(solutions, residuals, targets, strict=True):
        expected, expected_residual = nnls(matrix, target)
        np.testing.assert_allclose(solution, expected, atol=1e-9)
        assert residual == pytest.approx(expected_residual)


def test_where_every_unknown_would_be_negative_all_are_0() -> None:
    matrix = np.abs(np.random.default_rng(3).normal(size=(12, 4)))
    solutions, residuals = NonNegativeSystem.of(matrix).solve(-np.ones((1, 12)))
    assert solutions.tolist() == [[0.0] * 4]
    assert residuals[0] == pytest.approx(np.sqrt(12.0))


@pytest.mark.parametrize("leads", [STANDARD_LEADS, ("I", "III"), ("II", "aVF", "V1", "V5")])
@pytest.mark.parametrize("seed", range(25))
def test_powers_behind_any_covariance_are_those_of_scipy(leads: tuple[str, ...], seed: int) -> None:
    chosen = choose_leads(leads)
    assert chosen is not None
    mixed = np.random.default_rng(seed).normal(size=(len(chosen), 12)) ** 3
    covariance = mixed @ mixed.T
    solved = solve_powers(covariance, chosen)
    expected, residual = _solve_by_scipy(covariance, chosen)
    np.testing.assert_allclose(np.nan_to_num(solved.noise_rms_uv) ** 2, expected, atol=1e-6)
    size = float(np.linalg.norm(covariance))
    assert solved.fit == pytest.approx(max(0.0, 1.0 - residual / size))


def _solve_by_scipy(covariance: FloatArray, leads: tuple[str, ...]) -> tuple[FloatArray, float]:
    """Every entry of C = Σ p_e a_e a_eᵀ by itself, the equal ones too."""
    columns = [ELECTRODES.index(electrode) for electrode in SOLVABLE_ELECTRODES]
    weights = get_lead_matrix(leads)[:, columns]
    system = np.einsum("ie,je->ije", weights, weights).reshape(-1, len(columns))
    powers, residual = nnls(system, covariance.ravel())
    return powers, float(residual)
