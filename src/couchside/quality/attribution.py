"""From noise in the leads back to the electrodes that bring it in.

Each lead is a known sum of electrode potentials. If the electrodes' noises have powers p and are
independent of each other, the noise covariance of the leads is  C = Σ p_e a_e a_eᵀ,  where a_e is
the column of electrode e in the lead matrix. The powers are found by least squares under p ≥ 0
[Lawson1974] over the entries of C. The right leg enters no lead and cannot be solved for.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

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
    rows = noise[[leads.index(name) for name in chosen]][:, kept]
    moments: FloatArray = rows @ rows.T / rows.shape[1]
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
    columns = [ELECTRODES.index(electrode) for electrode in SOLVABLE_ELECTRODES]
    weights = get_lead_matrix(leads)[:, columns]
    entries = np.triu_indices(len(leads))
    scale = np.where(entries[0] == entries[1], 1.0, np.sqrt(2.0))
    system = weights[entries[0]] * weights[entries[1]] * scale[:, None]
    target = covariance[entries] * scale
    size = float(np.linalg.norm(target))
    if size < _TINY:
        return Attribution(
            electrodes=SOLVABLE_ELECTRODES, noise_rms_uv=np.zeros(len(columns)), fit=0.0
        )
    powers, residual = nnls(system, target)
    powers = np.where(np.abs(weights).max(axis=0) > 0, powers, np.nan)
    return Attribution(
        electrodes=SOLVABLE_ELECTRODES,
        noise_rms_uv=np.sqrt(powers),
        fit=max(0.0, 1.0 - float(residual) / size),
    )


_TINY = 1e-12
