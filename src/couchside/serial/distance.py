"""How far one beat is from another, when electrodes may sit a little elsewhere.

A chest electrode a finger's breadth away, a deeper breath or a turned body changes each lead by a
little of all the others. The new leads are therefore taken as ``(M + A) old + rest``: M is what is
supposed (leads as they are, or as under exchanged cables), A a small change of mixture, and the
distance is what remains, with a price on A, against the size of both beats. The price is a ridge
penalty; the logarithm of such a remainder is, up to a factor, the log-likelihood of M when the size
of the noise is not known.
"""

from __future__ import annotations

import numpy as np

from couchside.serial.model import FloatArray
from couchside.serial.shape import LAGS_MS, BeatShape

LEAD_COUNT = 8


def log_distances(
    new: BeatShape,
    old: BeatShape,
    lead_maps: FloatArray,
    prices: FloatArray,
    *,
    st_t_scale: float,
    p_scale: float,
) -> FloatArray:
    """The distance under each supposed map of leads, at the best lag.

    Parameters
    ----------
    new, old : BeatShape
        The two beats.
    lead_maps : array of shape (map, 8, 8)
        What is supposed: the new leads from the old ones.
    prices : array of shape (8,)
        Price of a change of mixture in each lead; large where electrodes cannot be much elsewhere.
    st_t_scale, p_scale : float
        How much ST-T and P count against QRS, microvolt for microvolt.

    Returns
    -------
    array of shape (map,)
        Natural logarithms; 0 is "nothing in common", −5 is 0.7 % of the power.
    """
    has_p = new.p is not None and old.p is not None and p_scale > 0.0
    there = _join(new, new.qrs, st_t_scale, p_scale, has_p=has_p)
    best = np.full(lead_maps.shape[0], np.inf)
    for number in range(len(LAGS_MS)):
        then = _join(old, old.qrs_by_lag[number], st_t_scale, p_scale, has_p=has_p)
        best = np.minimum(best, _remainders(there, then, lead_maps, prices))
    logarithms: FloatArray = np.log(np.maximum(best, np.finfo(np.float64).tiny))
    return logarithms


def _join(
    shape: BeatShape, qrs: FloatArray, st_t_scale: float, p_scale: float, *, has_p: bool
) -> FloatArray:
    parts = [qrs, st_t_scale * shape.st_t]
    if has_p and shape.p is not None:
        parts.append(p_scale * shape.p)
    return np.hstack(parts)


def _remainders(
    new: FloatArray, old: FloatArray, lead_maps: FloatArray, prices: FloatArray
) -> FloatArray:
    """Penalised remainder over the mean power of both, for each map.

    With E = new − M old, the remainder of a lead is |E|² − E oldᵀ (old oldᵀ + price I)⁻¹ old Eᵀ;
    all that depends on samples is three products of 8 × 8.
    """
    across, within, own = new @ old.T, old @ old.T, new @ new.T
    crossed = across[None] - lead_maps @ within
    squares = (
        np.diag(own)[None]
        - 2.0 * np.einsum("ij,kij->ki", across, lead_maps)
        + np.einsum("kij,jl,kil->ki", lead_maps, within, lead_maps)
    )
    power = float(np.trace(within))
    total = np.zeros(lead_maps.shape[0])
    for price in np.unique(prices):
        leads = prices == price
        solver = np.linalg.inv(within + price * max(power, 1.0) / LEAD_COUNT * np.eye(LEAD_COUNT))
        rows = crossed[:, leads]
        explained = np.einsum("kij,kij->k", rows @ solver, rows)
        total += squares[:, leads].sum(axis=1) - explained
    mean_power = 0.5 * (float(np.trace(own)) + power)
    remainders: FloatArray = np.maximum(total, 0.0) / max(mean_power, 1.0)
    return remainders
