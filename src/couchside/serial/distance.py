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
from couchside.serial.shape import BeatShape

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
    there = _join(new, new.qrs[None], st_t_scale, p_scale, has_p=has_p)[0]
    then = _join(old, old.qrs_by_lag, st_t_scale, p_scale, has_p=has_p)
    best = _remainders(there, then, lead_maps, prices).min(axis=0)
    logarithms: FloatArray = np.log(np.maximum(best, np.finfo(np.float64).tiny))
    return logarithms


def _join(
    shape: BeatShape, qrs_by_lag: FloatArray, st_t_scale: float, p_scale: float, *, has_p: bool
) -> FloatArray:
    """All waves side by side, shape (lag, lead, sample); only QRS moves with the lag."""
    still = [st_t_scale * shape.st_t]
    if has_p and shape.p is not None:
        still.append(p_scale * shape.p)
    lags = qrs_by_lag.shape[0]
    return np.concatenate(
        [qrs_by_lag, *(np.broadcast_to(each, (lags, *each.shape)) for each in still)], axis=2
    )


def _remainders(
    new: FloatArray, old: FloatArray, lead_maps: FloatArray, prices: FloatArray
) -> FloatArray:
    """Penalised remainder over the mean power of both, shape (lag, map).

    With E = new − M old, the remainder of a lead is |E|² − E oldᵀ (old oldᵀ + price I)⁻¹ old Eᵀ;
    all that depends on samples is three products of 8 × 8 for each lag.
    """
    count = lead_maps.shape[0]
    across, within = new @ old.transpose(0, 2, 1), old @ old.transpose(0, 2, 1)
    own = (new**2).sum(axis=1)
    mapped = (lead_maps.reshape(-1, LEAD_COUNT) @ within).reshape(-1, count, *within.shape[1:])
    crossed = across[:, None] - mapped
    squares = own - ((2.0 * across[:, None] - mapped) * lead_maps).sum(axis=3)
    power = np.trace(within, axis1=1, axis2=2)
    total = np.zeros(squares.shape[:2])
    for price in np.unique(prices):
        leads = prices == price
        penalty = price * np.maximum(power, 1.0)[:, None, None] / LEAD_COUNT * np.eye(LEAD_COUNT)
        rows = crossed[:, :, leads].reshape(within.shape[0], -1, LEAD_COUNT)
        explained = ((rows @ np.linalg.inv(within + penalty)) * rows).sum(axis=2)
        total += squares[:, :, leads].sum(axis=2) - explained.reshape(*total.shape, -1).sum(axis=2)
    mean_power = 0.5 * (own.sum() + power)
    remainders: FloatArray = np.maximum(total, 0.0) / np.maximum(mean_power, 1.0)[:, None]
    return remainders
