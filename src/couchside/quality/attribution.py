"""From noise in the leads back to the electrodes that bring it in.

Each lead is a known sum of electrode potentials. If the electrodes' noises have powers p and are
independent of each other, the noise covariance of the leads is  C = Σ p_e a_e a_eᵀ,  where a_e is
the column of electrode e in the lead matrix. The powers are found by least squares under p ≥ 0
[Lawson1974] over the entries of C. The right leg enters no lead and cannot be solved for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import nan

import numpy as np
from numpy.typing import NDArray

from couchside.quality.least_squares import NonNegativeSystem
from couchside.quality.sources import list_sources, source_weights
from couchside.recording import ELECTRODES, Electrode

FloatArray = NDArray[np.float64]

SOLVABLE_ELECTRODES = tuple(electrode for electrode in ELECTRODES if electrode != Electrode.RL)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Attribution:
    """Noise of one band, electrode by electrode.

    Parameters
    ----------
    electrodes : tuple of Electrode
        The nine that enter a lead.
    noise_rms_uv : array of shape (electrode,)
        Noise at each, in µV rms; NaN for one whose leads were not recorded.
    fit : float
        Share of the noise that electrodes alone explain, from 0 to 1.
    """

    electrodes: tuple[Electrode, ...]
    noise_rms_uv: FloatArray
    fit: float


def solve_powers(covariance: FloatArray, leads: tuple[str, ...]) -> Attribution:
    """Solve C = Σ p_e a_e a_eᵀ for p ≥ 0.

    Parameters
    ----------
    covariance : array of shape (lead, lead)
        Noise covariance in µV².
    leads : tuple of str
        From `choose_leads`.
    """
    return solve_each(covariance[None], leads)[0]


def solve_each(covariances: FloatArray, leads: tuple[str, ...]) -> list[Attribution]:
    """The same for several covariances at once, shape (noise, lead, lead)."""
    equations = _make_equations(leads)
    targets = covariances[:, *equations.entries] * equations.scale
    sizes = np.linalg.norm(targets, axis=1)
    powers, residuals = equations.system.solve(targets)
    return [
        _by_electrode(leads, np.zeros_like(each), 0.0)
        if size < _TINY
        else _by_electrode(leads, each, max(0.0, 1.0 - float(residual / size)))
        for each, residual, size in zip(powers, residuals, sizes, strict=True)
    ]


def _by_electrode(leads: tuple[str, ...], powers: FloatArray, fit: float) -> Attribution:
    """Noise of the nine; electrodes beside them count in the fit alone."""
    power_of = dict(zip(list_sources(leads), powers.tolist(), strict=True))
    noise = [power_of.get(electrode, nan) ** 0.5 for electrode in SOLVABLE_ELECTRODES]
    return Attribution(electrodes=SOLVABLE_ELECTRODES, noise_rms_uv=np.array(noise), fit=fit)


_TINY = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Equations:
    """How the covariance of some leads follows from the electrodes' powers.

    Parameters
    ----------
    entries : tuple of two integer arrays of shape (entry,)
        Which entries of the covariance are looked at: each once, though all but the diagonal stand
        in it twice.
    scale : array of shape (entry,)
        Root of how often each stands there.
    system : NonNegativeSystem
        For the powers of the sources.
    """

    entries: tuple[NDArray[np.intp], NDArray[np.intp]]
    scale: FloatArray
    system: NonNegativeSystem


@cache
def _make_equations(leads: tuple[str, ...]) -> _Equations:
    weights = source_weights(leads)
    first, second = np.triu_indices(len(leads))
    scale = np.where(first == second, 1.0, np.sqrt(2.0))
    matrix = weights[first] * weights[second] * scale[:, None]
    return _Equations(
        entries=(first, second),
        scale=scale,
        system=NonNegativeSystem.of(matrix),
    )
