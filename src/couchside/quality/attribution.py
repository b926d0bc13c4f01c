"""From noise in the leads back to the electrodes that bring it in.

Each lead is a known sum of electrode potentials. If the electrodes' noises have powers p and are
independent of each other, the noise covariance of the leads is  C = Σ p_e a_e a_eᵀ,  where a_e is
the column of electrode e in the lead matrix. The powers are found by least squares under p ≥ 0
[Lawson1974] over the entries of C. The right leg enters no lead and cannot be solved for.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from couchside.quality.least_squares import NonNegativeSystem
from couchside.recording import (
    CHEST_LEADS,
    ELECTRODES,
    LIMB_LEADS,
    Electrode,
    get_lead_matrix,
)

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

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


def attribute(noise: FloatArray, leads: tuple[str, ...], kept: BoolArray) -> Attribution | None:
    """Solve for the noise of each electrode.

    Parameters
    ----------
    noise : array of shape (lead, sample)
        One band, in µV.
    leads : tuple of str
        Names of the rows.
    kept : array of bool, shape (sample,)
        Samples to weigh.

    Returns
    -------
    Attribution or None
        None where fewer than two limb leads were recorded, so that no limb electrode can be told
        from another, or where no sample is kept.
    """
    chosen = choose_leads(leads)
    if chosen is None or not kept.any():
        return None
    return solve_powers(noise_covariance(noise, leads, chosen, kept), chosen)


def noise_covariance(
    noise: FloatArray, leads: tuple[str, ...], chosen: tuple[str, ...], kept: BoolArray
) -> FloatArray:
    """Second moments in µV² of the chosen leads over the kept samples, shape (lead, lead).

    0 where no sample is kept.
    """
    if not kept.any():
        return np.zeros((len(chosen), len(chosen)))
    rows = noise[[leads.index(name) for name in chosen]]
    moments: FloatArray = (rows * kept) @ rows.T / np.count_nonzero(kept)
    return moments


def choose_leads(leads: tuple[str, ...]) -> tuple[str, ...] | None:
    """Independent leads among those recorded: two limb leads and every chest lead."""
    limb = [name for name in LIMB_LEADS if name in leads][:2]
    if len(limb) < 2:
        return None
    chest = [name for name in CHEST_LEADS if name in leads]
    return (*map(str, limb), *map(str, chest))


def solve_powers(covariance: FloatArray, leads: tuple[str, ...]) -> Attribution:
    """Solve C = Σ p_e a_e a_eᵀ for p ≥ 0.

    Parameters
    ----------
    covariance : array of shape (lead, lead)
        Noise covariance in µV².
    leads : tuple of str
        From `choose_leads`.
    """
    equations = _make_equations(leads)
    target = covariance[equations.entries] * equations.scale
    size = float(np.linalg.norm(target))
    noise_rms_uv = np.where(equations.recorded, 0.0, np.nan)
    if size < _TINY:
        return Attribution(electrodes=SOLVABLE_ELECTRODES, noise_rms_uv=noise_rms_uv, fit=0.0)
    powers, residual = equations.system.solve(target)
    noise_rms_uv[equations.recorded] = np.sqrt(powers)
    return Attribution(
        electrodes=SOLVABLE_ELECTRODES,
        noise_rms_uv=noise_rms_uv,
        fit=max(0.0, 1.0 - residual / size),
    )


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
    recorded : array of bool, shape (electrode,)
        Electrodes that enter a lead.
    system : NonNegativeSystem
        For the powers of those.
    """

    entries: tuple[NDArray[np.intp], NDArray[np.intp]]
    scale: FloatArray
    recorded: BoolArray
    system: NonNegativeSystem


@cache
def _make_equations(leads: tuple[str, ...]) -> _Equations:
    columns = [ELECTRODES.index(electrode) for electrode in SOLVABLE_ELECTRODES]
    weights = get_lead_matrix(leads)[:, columns]
    recorded = np.abs(weights).max(axis=0) > 0
    first, second = np.triu_indices(len(leads))
    scale = np.where(first == second, 1.0, np.sqrt(2.0))
    matrix = weights[first] * weights[second] * scale[:, None]
    return _Equations(
        entries=(first, second),
        scale=scale,
        recorded=recorded,
        system=NonNegativeSystem.of(matrix[:, recorded]),
    )
