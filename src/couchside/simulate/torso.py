"""From the heart's dipole to the potentials of the ten electrodes, by lead vectors."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from couchside.recording import get_lead_matrix

FloatArray = NDArray[np.float64]

DOWER = np.array(
    [
        [0.632, -0.235, 0.059],
        [0.235, 1.066, -0.132],
        [-0.515, 0.157, -0.917],
        [0.044, 0.164, -1.387],
        [0.882, 0.098, -1.277],
        [1.213, 0.127, -0.601],
        [1.125, 0.127, -0.086],
        [0.831, 0.076, 0.230],
    ]
)
"""Lead vectors of I, II, V1–V6 over Frank's x, y, z [Dower1980]."""

RIGHT_LEG_LESS_LEFT_LEG = np.array([-0.040, -0.010, 0.005])
"""The legs are nearly one point for the heart; what is left of their difference [from memory]."""


def standard_electrode_vectors() -> FloatArray:
    """Lead vectors of the ten electrodes at their standard sites.

    Returns
    -------
    array of shape (10, 3)
        Rows in the order of `ELECTRODES`, relative to the central terminal.
    """
    first, second = DOWER[0], DOWER[1]
    right = -(first + second) / 3.0
    left, foot = right + first, right + second
    return np.vstack([right, left, foot, foot + RIGHT_LEG_LESS_LEFT_LEG, DOWER[2:]])


def standard_lead_vectors() -> FloatArray:
    """Lead vectors of the twelve leads at the standard sites, shape (12, 3)."""
    return get_lead_matrix() @ standard_electrode_vectors()
