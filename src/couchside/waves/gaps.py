"""Missing samples: left out of every lead at once, or bridged in each."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def where_whole(microvolts: FloatArray) -> FloatArray:
    """The samples that no lead lacks.

    Parameters
    ----------
    microvolts : array of shape (lead, sample)
        NaN where missing.

    Returns
    -------
    array of shape (lead, sample)
        The same array where nothing is missing.
    """
    if not np.isnan(microvolts.sum()):
        return microvolts
    return microvolts[:, np.isfinite(microvolts).all(axis=0)]


def bridge_gaps(microvolts: FloatArray, missing: BoolArray) -> FloatArray:
    """Straight lines over missing samples.

    Parameters
    ----------
    microvolts : array of shape (lead, sample)
    missing : array of bool, shape (lead, sample)
        Where samples are missing.

    Returns
    -------
    array of shape (lead, sample)
        A lead that lacks all of them is 0; the same array where nothing is missing.
    """
    if not missing.any():
        return microvolts
    bridged = microvolts.copy()
    positions = np.arange(microvolts.shape[1])
    for row, gaps in zip(bridged, missing, strict=True):
        if gaps.all():
            row[:] = 0.0
        elif gaps.any():
            row[gaps] = np.interp(positions[gaps], positions[~gaps], row[~gaps])
    return bridged
