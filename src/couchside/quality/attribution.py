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
from couchside.quality.sources import choose_leads, list_sources, source_weights
from couchside.recording import ELECTRODES, Electrode

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
    rows *= kept
    moments: FloatArray = rows @ rows.T / np.count_nonzero(kept)
    return moments


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
    if size < _TINY:
        return _by_electrode(leads, np.zeros(len(list_sources(leads))), 0.0)
    powers, residual = equations.system.solve(target)
    return _by_electrode(leads, powers, max(0.0, 1.0 - residual / size))


def _by_electrode(leads: tuple[str, ...], powers: FloatArray, fit: float) -> Attribution:
    """Noise of the nine; electrodes beside them count in the fit alone."""
    power_of = dict(zip(list_sources(leads), powers, strict=True))
    noise = [np.sqrt(power_of.get(electrode, np.nan)) for electrode in SOLVABLE_ELECTRODES]
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
